"""Two who set up the salon at the same moment: each gets an answer, and what is kept is one thing."""

from concurrent.futures import ThreadPoolExecutor
from datetime import date, time

import pytest
from django.core.exceptions import ValidationError
from django.db import connections

from fittings.furnishing import add_place
from fittings.keeping_hours import keep_closure, keep_opening_hours
from fittings.models import Closure, OpeningHours, Place
from salon.models import Salon
from tests.factories import OwnerFactory

pytestmark = pytest.mark.django_db(transaction=True)

AT_ONCE = 8


@pytest.fixture(autouse=True)
def salon():
    """Its record is there: the page that somebody sets it up on has read it."""
    return Salon.objects.default()


def all_at_once(deed):
    """What each of several threads was answered: the sentence of a refusal, or nothing."""

    def one(_):
        try:
            deed()
        except ValidationError as refusal:
            return " ".join(refusal.messages)
        finally:
            connections.close_all()
        return ""

    with ThreadPoolExecutor(AT_ONCE) as threads:
        return list(threads.map(one, range(AT_ONCE)))


def test_a_week_sent_twice_is_kept_once():
    owner = OwnerFactory()
    week = {day: {"opens": time(9), "closes": time(17)} for day in range(1, 6)}
    assert all_at_once(lambda: keep_opening_hours(hours=week, by=owner)) == [""] * AT_ONCE
    assert OpeningHours.objects.count() == 5
    assert OpeningHours.history.count() == 5


def test_a_closure_sent_twice_is_kept_once_and_the_others_are_told():
    owner, today = OwnerFactory(), date(2026, 3, 2)
    fields = {"first_day": today, "last_day": today, "because": "Works", "opens": None, "closes": None}
    answers = all_at_once(lambda: keep_closure(closure=None, fields=fields, by=owner, on=today))
    assert Closure.objects.count() == 1
    assert sorted(answers)[0] == ""
    assert all("takes in some of these days already" in answer for answer in sorted(answers)[1:])


def test_a_name_given_twice_is_refused_by_its_sentence():
    answers = all_at_once(lambda: add_place(name="Basin"))
    assert Place.objects.count() == 1
    assert sorted(answers) == ["", *["There is a place of that name already."] * (AT_ONCE - 1)]
