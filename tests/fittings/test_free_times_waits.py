"""What a visit of a client waits for, until when, and in which words."""

from datetime import UTC, date, datetime, timedelta

import pytest

from fittings.free_times import STEP_MINUTES, Wish, earliest_for, free_times
from fittings.models import AwaitedPiece
from tests.factories import ClientFactory, SkinTestFactory, StylistFactory
from tests.fittings.factories import PlaceFactory, ServiceKindFactory

pytestmark = pytest.mark.django_db
MONDAY = datetime(2026, 3, 2, 0, 0, tzinfo=UTC)  # London keeps UTC until the 29th


def at(hour, minute=0, day=0):
    return MONDAY + timedelta(days=day, hours=hour, minutes=minute)


@pytest.fixture
def cut_in():
    return ServiceKindFactory(name="Cut-in", purpose="cut-in", needs_tape_test=True)


def a_piece(client, expected_on):
    return AwaitedPiece.objects.create(
        client=client, what="Mono topper, walnut", expected_on=expected_on, noted_by=client.created_by, noted_at=MONDAY
    )


def test_a_visit_waits_for_a_piece_that_is_on_its_way(cut_in):
    client = ClientFactory()
    a_piece(client, date(2026, 4, 10))
    a_piece(client, None)
    a_piece(client, date(2026, 3, 1))
    a_piece(ClientFactory(), date(2026, 3, 20))
    waits = earliest_for(client=client, kind=cut_in, at=at(10))
    assert {(wait.until, wait.because) for wait in waits} == {
        (datetime(2026, 4, 9, 23, tzinfo=UTC), "Mono topper, walnut is expected on Friday 10 April."),
        (None, "Mono topper, walnut is on its way; nobody knows yet when it comes."),
        (None, "Mono topper, walnut was expected on Sunday 1 March and has not come in."),
    }
    check_up = ServiceKindFactory(name="Check-up", purpose="check-up")
    assert earliest_for(client=client, kind=check_up, at=at(10)) == []  # a check-up is about what she wears already


def test_a_piece_that_came_in_or_is_not_wanted_any_more_is_not_waited_for(cut_in):
    client = ClientFactory()
    came, given_up = a_piece(client, date(2026, 3, 20)), a_piece(client, date(2026, 3, 20))
    came.in_at, came.in_by = at(9), client.created_by
    given_up.given_up_at, given_up.given_up_by = at(9), client.created_by
    came.save(), given_up.save()
    assert earliest_for(client=client, kind=cut_in, at=at(10)) == []


@pytest.mark.parametrize(
    ("kind", "purpose", "needs", "waits"),
    [
        ("adhesive", "fitting", "needs_tape_test", True),
        ("adhesive", "fitting", "needs_colour_test", False),
        ("colour", "colour", "needs_colour_test", True),
        ("colour", "consult", None, False),
        ("colour", "test reading", None, True),
        ("adhesive", "test reading", None, True),
    ],
)
def test_a_visit_waits_until_a_test_it_needs_can_be_read(kind, purpose, needs, waits):
    test = SkinTestFactory(kind=kind, at=at(9, 30))
    visit = ServiceKindFactory(purpose=purpose, **({needs: True} if needs else {}))
    found = earliest_for(client=test.client, kind=visit, at=at(10))
    assert [wait.until for wait in found] == ([at(9, 30, day=2)] if waits else [])
    assert all(wait.because == "A test is to be read, not before Wednesday 4 March, 09:30." for wait in found)
    assert earliest_for(client=test.client, kind=visit, at=at(9, 30, day=2)) == []


def test_the_wait_is_the_wish_of_the_search():
    StylistFactory(), PlaceFactory()
    test = SkinTestFactory(at=at(9, 5))
    reading = ServiceKindFactory(name="Reading", purpose="test reading", minutes=15)
    (wait,) = earliest_for(client=test.client, kind=reading, at=at(9, 10))
    found = free_times(kind=reading, since=at(9, 10), client=test.client, wish=Wish(not_before=wait.until))
    assert found[0].starts_at == at(9, STEP_MINUTES, day=2)  # the first quarter hour after five past nine
