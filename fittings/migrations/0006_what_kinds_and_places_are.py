"""Carries over what a private room and a consult were called before, and gives each booking its UID and its first entry.

What else a kind of visit is for can't be known; it is "something else" until the owner says. A place is a chair unless
it was a private room or is called a basin.
"""

import uuid

from django.db import migrations


def carry_over(apps, schema_editor):
    Place = apps.get_model("fittings", "Place")
    ServiceKind = apps.get_model("fittings", "ServiceKind")
    Appointment = apps.get_model("fittings", "Appointment")
    AppointmentChange = apps.get_model("fittings", "AppointmentChange")
    Place.objects.filter(name__icontains="basin").update(sort="basin")
    Place.objects.filter(is_private=True).update(sort="room")
    ServiceKind.objects.filter(is_consult=True).update(purpose="consult")
    batch = []
    for appointment in Appointment.objects.filter(calendar_uid__isnull=True).only("pk").iterator(chunk_size=2_000):
        appointment.calendar_uid = uuid.uuid4()
        batch.append(appointment)
        if len(batch) == 2_000:
            Appointment.objects.bulk_update(batch, ["calendar_uid"])
            batch = []
    Appointment.objects.bulk_update(batch, ["calendar_uid"])
    AppointmentChange.objects.bulk_create(
        (
            AppointmentChange(
                appointment_id=row["pk"],
                what="booked",
                by_id=row["booked_by"],
                at=row["booked_at"],
                starts_at=row["starts_at"],
                stylist_id=row["stylist"],
                place_id=row["place"],
            )
            for row in Appointment.objects.values("pk", "booked_by", "booked_at", "starts_at", "stylist", "place")
        ),
        batch_size=2_000,
    )
    AppointmentChange.objects.bulk_create(
        (
            AppointmentChange(
                appointment_id=row["pk"],
                what=row["state"],
                by_id=row["closed_by"],
                at=row["closed_at"],
                starts_at=row["starts_at"],
                stylist_id=row["stylist"],
                place_id=row["place"],
                because=row["closed_because"],
            )
            for row in Appointment.objects.filter(state__in=["cancelled", "missed"], closed_at__isnull=False).values(
                "pk", "state", "closed_by", "closed_at", "closed_because", "starts_at", "stylist", "place"
            )
        ),
        batch_size=2_000,
    )


def carry_back(apps, schema_editor):
    apps.get_model("fittings", "Place").objects.filter(sort="room").update(is_private=True)
    apps.get_model("fittings", "ServiceKind").objects.filter(purpose="consult").update(is_consult=True)
    apps.get_model("fittings", "AppointmentChange").objects.all().delete()


class Migration(migrations.Migration):
    dependencies = [("fittings", "0005_hours_waiting_reminders_and_calendars")]
    operations = [migrations.RunPython(carry_over, carry_back)]
