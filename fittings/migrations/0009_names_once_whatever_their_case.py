"""A place and a kind of visit are named once, in whatever case: “chair 1” beside “Chair 1” is one too many."""

import django.db.models.functions.text
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("fittings", "0008_whole_short_days_and_breaks"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.AddConstraint(
            model_name="place",
            constraint=models.UniqueConstraint(
                django.db.models.functions.text.Lower("name"),
                name="place_named_once",
                violation_error_message="There is a place of that name already.",
            ),
        ),
        migrations.AddConstraint(
            model_name="servicekind",
            constraint=models.UniqueConstraint(
                django.db.models.functions.text.Lower("name"),
                name="service_kind_named_once",
                violation_error_message="There is a kind of visit of that name already.",
            ),
        ),
    ]
