from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("clients", "0003_assessment_says_where_something_pulls"),
    ]

    operations = [
        migrations.AlterField(
            model_name="nameword",
            name="word",
            field=models.CharField(max_length=80),
        ),
        migrations.AddIndex(
            model_name="nameword",
            index=models.Index(
                fields=["word", "client"], name="name_word_begins", opclasses=["varchar_pattern_ops", "int8_ops"]
            ),
        ),
    ]
