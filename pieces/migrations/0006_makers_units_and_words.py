"""What the bare numbers and the words of a maker's files mean."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("pieces", "0005_an_order_is_drafted_and_a_wish_written_down_once")]
    operations = [
        migrations.AddField("makercolumns", "units", models.JSONField(blank=True, default=dict)),
        migrations.AddField("makercolumns", "words", models.JSONField(blank=True, default=dict)),
    ]
