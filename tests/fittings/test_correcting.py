"""Striking out: a new entry says so, the old one stays, and what rested on it is worked out anew."""

from datetime import date, timedelta

import pytest
from django.core.exceptions import ValidationError
from django.utils.timezone import now

from fittings.correcting import strike_out
from fittings.models import Fitting, Service, Wash, WearEntry
from tests.factories import StylistFactory
from tests.fittings.factories import OwnedPieceFactory

pytestmark = pytest.mark.django_db
NOW = now()


@pytest.fixture
def stylist():
    return StylistFactory()


@pytest.fixture
def hers():
    return OwnedPieceFactory()


def told(hers, stylist, **fields):
    return WearEntry.objects.create(
        owned_piece=hers, told_on=date(2026, 9, 1), recorded_by=stylist, recorded_at=NOW - timedelta(days=3), **fields
    )


def test_the_new_entry_repeats_the_old_one_and_says_who_and_why(hers, stylist):
    entry = told(hers, stylist, days_per_week=6, note="on weekdays")
    other = StylistFactory()
    again = strike_out(entry=entry, because=" The other client. ", by=other, at=NOW)
    assert (again.corrects, again.struck_out, again.corrected_because) == (entry, True, "The other client.")
    assert (again.days_per_week, again.note) == (6, "on weekdays")
    assert (again.recorded_by, again.recorded_at) == (other, NOW)
    entry.refresh_from_db()
    assert (entry.recorded_by, entry.struck_out) == (stylist, False)


def test_without_a_reason_nothing_is_struck_out(hers, stylist):
    entry = told(hers, stylist)
    with pytest.raises(ValidationError, match="and why"):
        strike_out(entry=entry, because="  ", by=stylist, at=NOW)
    assert WearEntry.objects.standing().get() == entry


def test_what_strikes_out_is_not_struck_out(hers, stylist):
    again = strike_out(entry=told(hers, stylist), because="No.", by=stylist, at=NOW)
    with pytest.raises(ValidationError, match="it stays"):
        strike_out(entry=again, because="Yes.", by=stylist, at=NOW)


def test_an_entry_is_corrected_once(hers, stylist):
    entry = told(hers, stylist)
    strike_out(entry=entry, because="No.", by=stylist, at=NOW)
    with pytest.raises(ValidationError, match="corrected already"):
        strike_out(entry=entry, because="No.", by=stylist, at=NOW)


def test_a_service_only_planned_is_taken_out_of_the_plan_instead(hers, stylist):
    visit = Fitting.objects.create(client=hers.client, stylist=stylist, began_at=NOW)
    planned = Service.objects.create(fitting=visit, owned_piece=hers, kind="wash", planned_by=stylist)
    with pytest.raises(ValidationError, match="out of the plan"):
        strike_out(entry=planned, because="No.", by=stylist, at=NOW)


def test_the_wash_of_a_service_goes_with_it(hers, stylist):
    visit = Fitting.objects.create(client=hers.client, stylist=stylist, began_at=NOW)
    service = Service.objects.create(
        fitting=visit, owned_piece=hers, kind="wash", planned_by=stylist, done_by=stylist, done_at=NOW
    )
    Wash.objects.create(
        owned_piece=hers, washed_on=date(2026, 11, 1), service=service, recorded_by=stylist, recorded_at=NOW
    )
    strike_out(entry=service, because="It was not washed.", by=stylist, at=NOW)
    assert not Wash.objects.standing().exists()
    assert not Service.objects.done().exists()
