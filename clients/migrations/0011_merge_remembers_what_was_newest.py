import django.core.serializers.json
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("clients", "0010_name_words_go"),
    ]

    operations = [
        migrations.AddField(
            model_name="merge",
            name="newest",
            field=models.JSONField(
                blank=True,
                default=dict,
                help_text="The highest primary key there was, by app.model.field: what is above it was written since.",
            ),
        ),
        migrations.AlterField(
            model_name="merge",
            name="filled_in",
            field=models.JSONField(
                blank=True,
                default=dict,
                encoder=django.core.serializers.json.DjangoJSONEncoder,
                help_text="Fields of the kept record: [before, after].",
            ),
        ),
        migrations.AlterField(
            model_name="merge",
            name="moved",
            field=models.JSONField(
                blank=True,
                default=dict,
                encoder=django.core.serializers.json.DjangoJSONEncoder,
                help_text="Primary keys of the rows that moved, by app.model.field.",
            ),
        ),
        migrations.AlterField(
            model_name="merge",
            name="stayed",
            field=models.JSONField(
                blank=True,
                default=dict,
                encoder=django.core.serializers.json.DjangoJSONEncoder,
                help_text="Those the kept record had already, left where they were.",
            ),
        ),
    ]
