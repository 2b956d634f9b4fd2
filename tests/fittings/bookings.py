"""Bookings that the tests about the desk begin with."""

from datetime import UTC, datetime

from tests.factories import ClientFactory, DeskFactory, StylistFactory
from tests.fittings.factories import PlaceFactory, ServiceKindFactory

NOW = datetime(2026, 6, 1, 8, 0, tzinfo=UTC)
TEN = datetime(2026, 6, 2, 10, 0, tzinfo=UTC)  # a Tuesday; 11:00 by the salon's clock, which is London's in summer


def a_booking():
    """Everything a booking needs; a test changes what it is about."""
    return {
        "client": ClientFactory(),
        "kind": ServiceKindFactory(minutes=90, clean_up_minutes=15),
        "stylist": StylistFactory(),
        "place": PlaceFactory(),
        "starts_at": TEN,
        "by": DeskFactory(),
        "at": NOW,
    }


def another(booking, **changed):
    """A second booking that shares nothing with the first but what the test names."""
    return booking | {"client": ClientFactory(), "stylist": StylistFactory(), "place": PlaceFactory()} | changed


def moving(booking, **changed):
    """What a move is told: all as it was, but what the test names."""
    return {name: booking[name] for name in ("starts_at", "stylist", "place", "by", "at")} | changed
