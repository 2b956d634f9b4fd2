"""An order is drafted once by one form, and what was missed in words is written down once in a visit."""

from django.db import migrations, models
from django.db.models.functions import Coalesce, Lower


class Migration(migrations.Migration):
    dependencies = [("pieces", "0004_every_units_first_movement_and_reasons")]
    operations = [
        migrations.AddField(
            model_name="makerorder",
            name="once",
            field=models.UUIDField(
                blank=True,
                help_text="A form sent twice drafts once.",
                null=True,
                unique=True,
                verbose_name="key of the form that made it",
            ),
        ),
        migrations.AddConstraint(
            model_name="askedfor",
            constraint=models.UniqueConstraint(
                models.F("visit_reference"),
                Lower("words"),
                Coalesce("length_mm", 0),
                condition=models.Q(variant__isnull=True),
                name="asked_for_in_words_once_in_a_visit",
                violation_error_message="That is written down for this visit already.",
            ),
        ),
    ]
