"""What tests of the booking pages share: somebody at the desk, a kind, a place, a stylist, and days that lie ahead."""

from datetime import UTC, datetime, time, timedelta
from zoneinfo import ZoneInfo

from django.urls import reverse
from django.utils.timezone import localdate, now

from fittings.desk.chosen_time import code_of

LONDON = ZoneInfo("Europe/London")


def in_days(days, hour, minute=0):
    """That hour by the salon's clock, so many days from today."""
    return datetime.combine(localdate() + timedelta(days=days), time(hour, minute), LONDON).astimezone(UTC)


def clock_goes_back_on():
    """The next day on which Europe/London's clock shows 01:30 twice: 30 minutes either side of 01:00 UTC (tzdata)."""
    day = now().astimezone(LONDON).date() + timedelta(days=1)
    while datetime.combine(day, time(0), LONDON).utcoffset() <= datetime.combine(day, time(12), LONDON).utcoffset():
        day += timedelta(days=1)
    return day


def book_for(client, **query):
    more = "".join(f"&{name}={value}" for name, value in query.items())
    return f"{reverse('appointment-new')}?client={client.reference}{more}"


def pressed(kind, free, **changed):
    """What a press on a free time sends."""
    return {"kind": kind.pk, "chosen": code_of(*free)} | changed


def by_hand(kind, starts_at, stylist, place, **changed):
    local = starts_at.astimezone(LONDON)
    return {
        "kind": kind.pk,
        "stylist": stylist.pk,
        "place": place.pk,
        "starts_on": f"{local:%Y-%m-%d}",
        "starts_time": f"{local:%H:%M}",
    } | changed
