"""Which service done in a visit a thing of the price list is proposed for."""

from django.db import migrations, models

FIELD = models.CharField(
    blank=True,
    help_text="The kind of service it is proposed for after a visit in which that was done.",
    max_length=8,
    verbose_name="stands for",
)


class Migration(migrations.Migration):
    dependencies = [("pieces", "0006_makers_units_and_words")]
    operations = [
        migrations.AddField("pricedservice", "done_as", FIELD),
        migrations.AddField("historicalpricedservice", "done_as", FIELD),
    ]
