"""Keeping opening hours, working hours, closures and time off: whole or not at all, with who did it."""

from datetime import UTC, date, datetime, time, timedelta

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from fittings.keeping_hours import (
    keep_closure,
    keep_opening_hours,
    keep_time_off,
    keep_working_hours,
    remove_closure,
    remove_time_off,
)
from fittings.models import Closure, OpeningHours, TimeOff, WorkingHours
from tests.factories import DeskFactory, OwnerFactory, StylistFactory

pytestmark = pytest.mark.django_db

TODAY = date(2026, 3, 2)
NOW = datetime(2026, 3, 2, 12, tzinfo=UTC)
NINE_TO_FIVE = {"opens": time(9), "closes": time(17)}
WORK = {"begins": time(9), "ends": time(17), "break_begins": time(13), "break_ends": time(13, 30)}


@pytest.fixture
def owner():
    return OwnerFactory()


@pytest.fixture
def imke():
    return StylistFactory()


def closed(first=9, last=9, because="Works", opens=None, closes=None):
    return {
        "first_day": date(2026, 3, first),
        "last_day": date(2026, 3, last),
        "because": because,
        "opens": opens,
        "closes": closes,
    }


def away(stylist, begins, ends, because=""):
    return {
        "stylist": stylist,
        "starts_at": NOW + timedelta(hours=begins),
        "ends_at": NOW + timedelta(hours=ends),
        "because": because,
    }


# Opening hours


def test_only_the_weekdays_that_change_are_touched(owner):
    assert keep_opening_hours(hours={1: NINE_TO_FIVE, 2: NINE_TO_FIVE}, by=owner) == ["Monday", "Tuesday"]
    other = OwnerFactory()
    changed = keep_opening_hours(hours={1: NINE_TO_FIVE, 3: {"opens": time(10), "closes": time(12)}}, by=other)
    assert changed == ["Tuesday", "Wednesday"]
    assert [str(row) for row in OpeningHours.objects.all()] == ["Monday 09:00 to 17:00", "Wednesday 10:00 to 12:00"]
    assert [row.history_user for row in OpeningHours.history.filter(weekday=1)] == [owner]
    assert [row.history_type for row in OpeningHours.history.filter(weekday=2)] == ["-", "+"]
    assert OpeningHours.history.filter(weekday=2).first().history_user == other


def test_a_day_that_cannot_be_is_refused_under_its_name_and_none_is_kept(owner):
    with pytest.raises(ValidationError) as refusal:
        keep_opening_hours(hours={1: NINE_TO_FIVE, 6: {"opens": time(13), "closes": time(9)}}, by=owner)
    assert refusal.value.message_dict == {"saturday": ["The salon closes after it opens, on the same day."]}
    assert not OpeningHours.objects.exists()


def test_no_days_at_all_are_no_limit(owner):
    keep_opening_hours(hours={1: NINE_TO_FIVE}, by=owner)
    assert keep_opening_hours(hours={}, by=owner) == ["Monday"]
    assert not OpeningHours.objects.exists()


# Working hours


def test_her_hours_are_hers_alone(owner, imke):
    noor = StylistFactory()
    keep_working_hours(stylist=noor, hours={2: WORK}, by=owner)
    keep_working_hours(stylist=imke, hours={1: WORK}, by=owner)
    assert WorkingHours.objects.get(stylist=imke).break_ends == time(13, 30)
    assert WorkingHours.objects.get(stylist=noor).weekday == 2


@pytest.mark.parametrize(
    "pause",
    [
        {"break_begins": time(8, 30), "break_ends": time(9, 30)},
        {"break_begins": time(14), "break_ends": time(13)},
        {"break_begins": time(13), "break_ends": None},
        {"break_begins": None, "break_ends": time(13)},
    ],
)
def test_a_break_lies_whole_within_her_hours(owner, imke, pause):
    with pytest.raises(ValidationError, match="A break begins and ends within the working hours"):
        keep_working_hours(stylist=imke, hours={1: WORK | pause}, by=owner)


def test_half_a_break_is_refused_by_the_database_too(imke):
    with pytest.raises(IntegrityError), transaction.atomic():
        WorkingHours.objects.create(
            stylist=imke, weekday=1, begins=time(9), ends=time(17), break_begins=time(13), break_ends=None
        )


# Closures


def test_a_closure_is_kept_changed_and_taken_away_with_who_did_it(owner):
    closure = keep_closure(closure=None, fields=closed(9, 13), by=owner, on=TODAY)
    changed = keep_closure(closure=closure, fields=closed(9, 12, opens=time(10), closes=time(12)), by=owner, on=TODAY)
    assert changed.opens == time(10)
    remove_closure(closure=closure, by=owner)
    remove_closure(closure=closure, by=owner)  # pressed twice
    assert not Closure.objects.exists()
    kept = Closure.history.values_list("history_type", "history_user")
    assert list(kept) == [(what, owner.pk) for what in ("-", "~", "+")]


@pytest.mark.parametrize(
    ("fields", "field", "sentence"),
    [
        (closed(13, 9), "__all__", "The last closed day is not before the first."),
        (closed(opens=time(12), closes=time(9)), "__all__", "A short day opens and then closes"),
        (closed(opens=time(12)), "__all__", "A short day opens and then closes"),
        (closed(1, 1), "last_day", "The 01 March 2026 is over; choose days to come."),
        (closed() | {"last_day": date(2036, 3, 9)}, "last_day", "2036 is too far from now; write the year again."),
        (closed() | {"first_day": date(226, 3, 9)}, "first_day", "0226 is too far from now"),
        (closed(because=""), "because", "cannot be blank"),
    ],
)
def test_what_cannot_be_a_closure_is_refused(owner, fields, field, sentence):
    with pytest.raises(ValidationError) as refusal:
        keep_closure(closure=None, fields=fields, by=owner, on=TODAY)
    assert sentence in refusal.value.message_dict[field][0]
    assert not Closure.objects.exists()


def test_two_closures_never_share_a_day(owner):
    keep_closure(closure=None, fields=closed(9, 13, because="Works on the pipes"), by=owner, on=TODAY)
    with pytest.raises(
        ValidationError, match="“Works on the pipes” takes in some of these days already: 09 March to 13"
    ):
        keep_closure(closure=None, fields=closed(13, 14), by=owner, on=TODAY)
    keep_closure(closure=None, fields=closed(14, 14), by=owner, on=TODAY)


# Time off


def test_time_off_is_kept_changed_and_taken_away_with_who_did_it(owner, imke):
    desk = DeskFactory()
    off = keep_time_off(time_off=None, fields=away(imke, 24, 26, "Dentist"), by=desk, at=NOW)
    keep_time_off(time_off=off, fields=away(imke, 24, 27, "Dentist"), by=owner, at=NOW)
    remove_time_off(time_off=off, by=desk)
    kept = TimeOff.history.values_list("history_type", "history_user")
    assert list(kept) == [("-", desk.pk), ("~", owner.pk), ("+", desk.pk)]


def test_she_is_away_once_at_a_time_and_touching_is_not_sharing(owner, imke):
    keep_time_off(time_off=None, fields=away(imke, 24, 26), by=owner, at=NOW)
    with pytest.raises(ValidationError, match="is away already from 03 March, 12:00 to 03 March, 14:00"):
        keep_time_off(time_off=None, fields=away(imke, 25, 30), by=owner, at=NOW)
    keep_time_off(time_off=None, fields=away(imke, 26, 30), by=owner, at=NOW)
    keep_time_off(time_off=None, fields=away(StylistFactory(), 24, 26), by=owner, at=NOW)


@pytest.mark.parametrize(
    ("begins", "ends", "sentence"),
    [
        (26, 24, "Time off ends after it begins."),
        (-3, 0, "02 March 2026, 12:00 is over; choose a time to come."),
        (24, 24 * 366 * 4, "2030 is too far from now; write the year again."),
    ],
)
def test_what_cannot_be_time_off_is_refused(owner, imke, begins, ends, sentence):
    with pytest.raises(ValidationError, match=sentence):
        keep_time_off(time_off=None, fields=away(imke, begins, ends), by=owner, at=NOW)
    assert not TimeOff.objects.exists()
