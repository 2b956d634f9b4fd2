"""What was asked for and not in the drawer, and how long makers take."""

from datetime import date, datetime, timedelta

import numpy as np
import pytest
from django.core.exceptions import ValidationError
from django.utils.timezone import get_current_timezone, localdate, now
from hypothesis import given
from hypothesis import strategies as st

from pieces.asking import note_asked_for
from pieces.lead_times import FEWEST_PARCELS, lead_time_of, lead_times
from pieces.models import AskedFor
from pieces.ordering import receive_against
from tests.factories import OwnerFactory, StylistFactory
from tests.pieces.factories import MakerOrderFactory, OrderLineFactory, PieceFactory, VariantFactory

VISIT = "F-7K2M9QAV"


@pytest.fixture
def who(db):
    return {"by": StylistFactory(), "at": now()}


def test_a_variant_is_written_down_once_in_a_visit_with_its_length(who):
    variant = VariantFactory()
    noted = {note_asked_for(visit_reference=VISIT, variant=variant, **who) for _ in range(2)}
    [asked] = noted
    assert (asked.variant, asked.length_mm, asked.words) == (variant, 350, "")
    note_asked_for(visit_reference="F-0000000X", variant=variant, **who)
    assert AskedFor.objects.count() == 2


def test_words_are_written_down_once_however_they_are_spaced_or_cased(who):
    first = note_asked_for(visit_reference=VISIT, words="Short  fringe, ash", length_mm=200, **who)
    assert note_asked_for(visit_reference=VISIT, words="short fringe, Ash", length_mm=200, **who) == first
    assert note_asked_for(visit_reference=VISIT, words="short fringe, ash", **who) != first


def test_nothing_and_too_much_are_refused(who):
    with pytest.raises(ValidationError, match="Write what was missed"):
        note_asked_for(visit_reference=VISIT, words="  ", **who)
    with pytest.raises(ValidationError, match="at most 160"):
        note_asked_for(visit_reference=VISIT, words="x" * 161, **who)
    assert not AskedFor.objects.exists()


def test_the_database_itself_keeps_the_same_words_out(who):
    note_asked_for(visit_reference=VISIT, words="Fringe", **who)
    second = AskedFor(visit_reference=VISIT, words="FRINGE", asked_at=who["at"], asked_by=who["by"])
    with pytest.raises(ValidationError, match="written down for this visit already"):
        second.full_clean()


@given(days=st.lists(st.integers(0, 400), min_size=FEWEST_PARCELS, max_size=60))
def test_median_and_middle_half_are_those_of_numpy(days):
    """NumPy's default quantile is definition 7 of Hyndman and Fan, by another implementation."""
    found = lead_time_of(days)
    expected = np.quantile(days, [0.5, 0.25, 0.75])
    np.testing.assert_allclose([found.median_days, found.low_days, found.high_days], expected)
    assert found.count == len(days)


def test_a_few_parcels_tell_nothing():
    assert lead_time_of([10] * (FEWEST_PARCELS - 1)) is None
    assert lead_time_of([]) is None


def parcel(*, days, line=None, count=1, sent_on=None, **order):
    """One that took so many days, in the salon's own time."""
    received_on = localdate() - timedelta(days=30) if sent_on is None else sent_on + timedelta(days=days)
    sent_at = datetime.combine(received_on - timedelta(days=days), datetime.min.time(), get_current_timezone())
    if line is None:
        line = OrderLineFactory(order=MakerOrderFactory(sent=True, drafted_at=sent_at, **order), count=count)
    receive_against(line=line, count=count, received_on=received_on, by=OwnerFactory(), at=now())
    return line


@pytest.mark.django_db
def test_a_makers_time_is_learnt_parcel_by_parcel():
    """Ten pieces that came together waited once; an order that came in two parts waited twice."""
    for days in (8, 12, 16):
        parcel(days=days, count=10)
    order = MakerOrderFactory(
        sent=True, drafted_at=datetime.combine(localdate() - timedelta(days=60), datetime.min.time()).astimezone()
    )
    for part, days in enumerate((20, 30)):
        line = OrderLineFactory(order=order, variant=VariantFactory(piece=PieceFactory(name=f"Heron {part}")), count=1)
        if part == 0:
            OrderLineFactory(order=order, count=5)  # still to come
        parcel(days=days, line=line, sent_on=localdate() - timedelta(days=60))
    [learnt] = lead_times(on=localdate()).values()
    assert (learnt.median_days, learnt.low_days, learnt.high_days, learnt.count) == (16, 12, 20, 5)


@pytest.mark.django_db
def test_makers_are_told_apart_and_one_with_few_parcels_is_left_out():
    for days in (5, 6, 7, 8):
        parcel(days=days, maker__name="Tarn & Loom")
    parcel(days=40, maker__name="Marrowick Atelier")
    known = lead_times(on=localdate())
    assert [lead_time.median_days for lead_time in known.values()] == [6.5]


@pytest.mark.django_db
def test_what_came_long_ago_or_after_the_day_asked_about_is_not_counted(django_assert_num_queries):
    for days in (5, 6, 7, 8):
        parcel(days=days)
    assert lead_times(on=localdate() - timedelta(days=31)) == {}
    assert lead_times(on=date(2100, 1, 1)) == {}
    with django_assert_num_queries(1):
        lead_times(on=localdate())
