"""Drops the columns whose meaning was carried over, and makes SQLite's triggers anew: they now look at one day only.

An appointment lasts 600 minutes and its clean-up 240 at most, so what overlaps began within the day before; without
that bound a trigger would read half of all that a stylist ever had.
"""

import uuid
from importlib import import_module

from django.db import migrations, models

before = import_module("fittings.migrations.0002_no_two_at_once_on_sqlite")


def trigger(name, event, column, until, message):
    return f"""
        CREATE TRIGGER {name} BEFORE {event} ON fittings_appointment
        WHEN NEW.state IN {before.STANDING} AND EXISTS (
            SELECT 1 FROM fittings_appointment AS other
            WHERE other.{column} = NEW.{column} AND other.id IS NOT NEW.id AND other.state IN {before.STANDING}
              AND other.starts_at > datetime(NEW.starts_at, '-1 day')
              AND other.starts_at < NEW.{until} AND other.{until} > NEW.starts_at
        )
        BEGIN SELECT RAISE(ABORT, '{message}'); END
    """  # noqa: S608  # put together from constants


def make_triggers(apps, schema_editor):
    if schema_editor.connection.vendor == "sqlite":
        for what, (column, until, message) in before.CLASHES.items():
            for event in ("INSERT", "UPDATE"):
                schema_editor.execute(trigger(f"appointment_one_{what}_{event.lower()}", event, column, until, message))


class Migration(migrations.Migration):
    dependencies = [("fittings", "0006_what_kinds_and_places_are")]
    operations = [
        migrations.AlterField(
            model_name="appointment",
            name="calendar_uid",
            field=models.UUIDField(default=uuid.uuid4, editable=False, unique=True, verbose_name="UID in calendars"),
        ),
        migrations.RemoveField(model_name="place", name="is_private"),
        migrations.RemoveField(model_name="servicekind", name="is_consult"),
        migrations.RunPython(make_triggers, before.drop_triggers),
    ]
