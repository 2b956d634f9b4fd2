"""SQLite's share of the refusal of double bookings: triggers, where PostgreSQL has exclusion constraints.

A later migration that rebuilds the table on SQLite drops its triggers; a test looks whether they are still there.
"""

from django.db import migrations

STANDING = "('booked', 'arrived', 'in the chair', 'done')"
CLASHES = {
    "place": ("place_id", "place_free_at", "This place is taken at that time."),
    "stylist": ("stylist_id", "ends_at", "The stylist is with somebody else at that time."),
    "client": ("client_id", "ends_at", "The client has another appointment at that time."),
}


def trigger(name, event, column, until, message):
    return f"""
        CREATE TRIGGER {name} BEFORE {event} ON fittings_appointment
        WHEN NEW.state IN {STANDING} AND EXISTS (
            SELECT 1 FROM fittings_appointment AS other
            WHERE other.{column} = NEW.{column} AND other.id IS NOT NEW.id AND other.state IN {STANDING}
              AND other.starts_at < NEW.{until} AND other.{until} > NEW.starts_at
        )
        BEGIN SELECT RAISE(ABORT, '{message}'); END
    """  # noqa: S608  # put together from the constants above


def make_triggers(apps, schema_editor):
    if schema_editor.connection.vendor == "sqlite":
        for what, (column, until, message) in CLASHES.items():
            for event in ("INSERT", "UPDATE"):
                name = f"appointment_one_{what}_{event.lower()}"
                schema_editor.execute(trigger(name, event, column, until, message))


def drop_triggers(apps, schema_editor):
    if schema_editor.connection.vendor == "sqlite":
        for what in CLASHES:
            for event in ("insert", "update"):
                schema_editor.execute(f"DROP TRIGGER appointment_one_{what}_{event}")


class Migration(migrations.Migration):
    dependencies = [("fittings", "0001_appointments_visits_and_house_rules")]
    operations = [migrations.RunPython(make_triggers, drop_triggers)]
