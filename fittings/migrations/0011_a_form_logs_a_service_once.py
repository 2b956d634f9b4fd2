"""The key of the form that logged a service or kept a strand test, so that a form sent twice does it once."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("fittings", "0010_owned_pieces_their_care_and_what_was_done"),
    ]

    operations = [
        migrations.AddField(
            model_name="service",
            name="once",
            field=models.UUIDField(
                blank=True,
                help_text="A form sent twice logs once.",
                null=True,
                unique=True,
                verbose_name="key of the form that logged it",
            ),
        ),
        migrations.AddField(
            model_name="strandtest",
            name="once",
            field=models.UUIDField(
                blank=True,
                help_text="A form sent twice keeps one.",
                null=True,
                unique=True,
                verbose_name="key of the form that kept it",
            ),
        ),
    ]
