"""What a deposit paid and where an awaited piece is ordered.

Going back, the table of the appointments is rebuilt on SQLite and loses its triggers: they are made anew after that.
"""

from importlib import import_module

import django.db.models.deletion
from django.db import migrations, models

make_triggers = import_module("fittings.migrations.0007_no_two_at_once_among_many").make_triggers


class Migration(migrations.Migration):
    dependencies = [
        ("fittings", "0014_try_ons_keep_what_the_rules_said"),
        ("pieces", "0004_every_units_first_movement_and_reasons"),
    ]

    operations = [
        migrations.RunPython(migrations.RunPython.noop, make_triggers),  # going back, this is what comes last
        migrations.AddField(
            model_name="appointment",
            name="deposit_payment",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="appointments",
                to="pieces.payment",
                verbose_name="how it was paid",
            ),
        ),
        migrations.AddField(
            model_name="awaitedpiece",
            name="order_line",
            field=models.OneToOneField(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="awaited",
                to="pieces.orderline",
                verbose_name="ordered in",
            ),
        ),
    ]
