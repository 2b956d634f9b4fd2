"""Gives every unit that was there before movements were kept its first one, and the salon a list of reasons to start.

Nobody is named for that first movement: it says only where the unit was found when the ledger began.
"""

from django.db import migrations
from django.utils.timezone import now

REASONS = (
    "Shows at the front edge",
    "Does not cover enough",
    "Slips or does not hold",
    "Colour does not match",
    "Too long or too short",
    "Itches or feels warm",
    "Does not feel like her",
    "Faulty when it came",
    "Another reason",
)
BATCH = 2_000


def begin_the_ledger(apps, schema_editor):
    Unit, Movement = apps.get_model("pieces", "Unit"), apps.get_model("pieces", "StockMovement")
    at = now()
    found = Unit.objects.filter(movements__isnull=True).values_list("pk", "state").iterator(chunk_size=BATCH)
    rows = []
    for pk, state in found:
        rows.append(Movement(unit_id=pk, seq=0, kind="before", from_state="", to_state=state, at=at))
        if len(rows) == BATCH:
            Movement.objects.bulk_create(rows)
            rows = []
    Movement.objects.bulk_create(rows)


def end_the_ledger(apps, schema_editor):
    apps.get_model("pieces", "StockMovement").objects.filter(kind="before").delete()


def add_reasons(apps, schema_editor):
    Reason = apps.get_model("pieces", "ReturnReason")
    Reason.objects.bulk_create(Reason(name=name, position=place) for place, name in enumerate(REASONS))


def take_unused_reasons_away(apps, schema_editor):
    apps.get_model("pieces", "ReturnReason").objects.filter(name__in=REASONS, returns__isnull=True).delete()


class Migration(migrations.Migration):
    dependencies = [("pieces", "0003_stock_orders_and_sales")]
    operations = [
        migrations.RunPython(begin_the_ledger, end_the_ledger),
        migrations.RunPython(add_reasons, take_unused_reasons_away),
    ]
