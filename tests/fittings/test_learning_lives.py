"""How long pieces of a fibre last is learnt from the salon's own, and used once enough have worn out."""

from datetime import UTC, date, datetime, timedelta

import pytest

from fittings.care.grounds import OwnLife
from fittings.care_facts import own_life
from fittings.caring import (
    learn_life,
    work_out_care,
)
from fittings.models import HouseRule, LifeLearnt, OwnedPiece, WearEntry
from fittings.owning import end_piece
from tests.factories import StylistFactory
from tests.fittings.factories import OwnedPieceFactory

pytestmark = pytest.mark.django_db

SINCE = date(2026, 3, 2)
NOW = datetime(2026, 3, 12, 10, 0, tzinfo=UTC)
TODAY = NOW.date()


@pytest.fixture
def stylist():
    return StylistFactory()


@pytest.fixture
def owned(stylist):
    return OwnedPieceFactory(since=SINCE, begun_by=stylist)


def dates(owned):
    return dict(owned.care_dates.values_list("kind", "due_on"))


def daily(owned, by, on=SINCE, **facts):
    told = {"days_per_week": 7, "hours_per_day": 8, "worn_to_bed": "no", "swum_in": "no", "water": "soft"} | facts
    return WearEntry.objects.create(owned_piece=owned, told_on=on, recorded_by=by, recorded_at=NOW, **told)


def lasted(days, ended="worn out", since=date(2025, 1, 1)):
    owned = OwnedPieceFactory(since=since)
    how = {"until": since + timedelta(days=days), "ended": ended, "ended_by": owned.begun_by, "ended_at": NOW}
    OwnedPiece.objects.filter(pk=owned.pk).update(**how)
    return owned


def test_a_life_is_learnt_from_those_that_wore_out_and_those_that_did_not():
    for days in (100, 150, 200, 250):
        lasted(days)
    lasted(120, ended="outgrown")
    OwnedPieceFactory(since=TODAY - timedelta(days=400))
    learnt = learn_life(fibre="human", at=NOW)
    assert (learnt.pieces, learnt.ended, learnt.median_days) == (6, 4, 200)  # 5/6, ×3/4, ×2/3 is less than one half
    assert LifeLearnt.objects.get() == learnt


def test_when_it_was_learnt_moves_with_the_figure():
    for days in (100, 150, 200):
        lasted(days)
    learn_life(fibre="human", at=NOW)
    OwnedPieceFactory(since=TODAY - timedelta(days=30))
    again = learn_life(fibre="human", at=NOW + timedelta(days=1))
    assert (again.pieces, again.learnt_at) == (4, NOW)
    lasted(10)
    lasted(11)
    assert learn_life(fibre="human", at=NOW + timedelta(days=2)).learnt_at == NOW + timedelta(days=2)


def test_it_is_used_once_enough_have_worn_out():
    LifeLearnt.objects.create(
        fibre="human", pieces=20, ended=9, median_days=240, low_days=190, high_days=300, learnt_at=NOW
    )
    assert own_life("human", learn_from=10) is None
    assert own_life("human", learn_from=9) == OwnLife(20, 9, 240, 190, 300)
    assert own_life("blend", learn_from=9) is None


def test_the_own_figure_and_its_interval_are_kept_with_the_date(owned):
    LifeLearnt.objects.create(
        fibre="human", pieces=20, ended=14, median_days=240, low_days=190, high_days=None, learnt_at=NOW
    )
    work_out_care(owned=owned, on=SINCE)
    row = owned.care_dates.get(kind="replace")
    assert (row.due_on - SINCE, row.earliest_on - SINCE, row.latest_on) == (
        timedelta(days=240),
        timedelta(days=190),
        None,
    )
    assert any("own 20 pieces" in ground["says"] for ground in row.rests_on["grounds"])


def test_the_owners_own_house_rule_holds(owned, stylist):
    HouseRule.objects.create(key="care_wash_wears_human", value=16)
    daily(owned, stylist)
    work_out_care(owned=owned, on=SINCE)
    assert dates(owned)["wash"] == SINCE + timedelta(days=16)


def test_one_that_wears_out_is_learnt_from(owned, stylist):
    end_piece(owned=owned, until=TODAY, ended="outgrown", by=stylist, at=NOW)
    assert not LifeLearnt.objects.exists()
    other = OwnedPieceFactory(since=SINCE)
    end_piece(owned=other, until=TODAY, ended="worn out", by=stylist, at=NOW)
    assert (LifeLearnt.objects.get().pieces, LifeLearnt.objects.get().ended) == (2, 1)
