from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("clients", "0002_names_by_word_and_tests_read_twice"),
    ]

    operations = [
        migrations.AddField(
            model_name="assessment",
            name="traction_zones",
            field=models.JSONField(blank=True, default=list, verbose_name="where it pulls"),
        ),
    ]
