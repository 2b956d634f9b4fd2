"""The dates of a piece follow what is on record, and a wash moves the next."""

from datetime import UTC, date, datetime, timedelta

import pytest
from django.core.exceptions import ValidationError
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils.timezone import now

from clients.consenting import withdraw_consent
from clients.models import Consent
from fittings.care.dates import Span
from fittings.care_facts import care_facts
from fittings.caring import (
    mark_told,
    take_back_told,
    tell_wash,
    work_out_care,
)
from fittings.models import CareDate, ConditionCheck, OwnedPiece, Repair, Wash, WearEntry
from tests.factories import DeskFactory, StylistFactory
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


def rows(owned):
    return list(owned.care_dates.order_by("kind").values())


def daily(owned, by, on=SINCE, **facts):
    told = {"days_per_week": 7, "hours_per_day": 8, "worn_to_bed": "no", "swum_in": "no", "water": "soft"} | facts
    return WearEntry.objects.create(owned_piece=owned, told_on=on, recorded_by=by, recorded_at=NOW, **told)


def checked(owned, by, day, **grades):
    at = datetime.combine(day, NOW.time(), UTC)
    return ConditionCheck.objects.create(owned_piece=owned, checked_at=at, checked_by=by, **grades)


# Dates


def test_a_new_piece_has_its_dates_and_each_says_what_it_rests_on(owned):
    work_out_care(owned=owned, on=TODAY)
    assert set(dates(owned)) == {"wash", "deep care", "check-up", "order", "replace"}
    assert all(row.due_on >= TODAY and row.rests_on["grounds"] for row in owned.care_dates.all())
    owned.refresh_from_db()
    assert owned.care_worked_out_at is not None


def test_worked_out_again_nothing_is_written(owned):
    work_out_care(owned=owned, on=TODAY)
    before = rows(owned)
    with CaptureQueriesContext(connection) as queries:
        work_out_care(owned=owned, on=TODAY + timedelta(days=40))
    assert rows(owned) == before
    written = [query["sql"] for query in queries if query["sql"].startswith(("INSERT", "DELETE", "UPDATE"))]
    assert len(written) == 1  # when they were worked out
    assert "care_worked_out_at" in written[0]


def test_a_date_that_passes_stays_where_it_is(owned, stylist):
    daily(owned, stylist)
    work_out_care(owned=owned, on=SINCE)
    work_out_care(owned=owned, on=SINCE + timedelta(days=60))
    assert dates(owned)["wash"] == SINCE + timedelta(days=8)


def test_what_she_tells_moves_them_and_she_is_to_be_told_anew(owned, stylist):
    work_out_care(owned=owned, on=SINCE)
    for row in owned.care_dates.all():
        mark_told(care_date=row, by=stylist, at=NOW)
    daily(owned, stylist)
    work_out_care(owned=owned, on=SINCE)
    assert set(owned.care_dates.filter(told_at__isnull=True).values_list("kind", flat=True)) == {
        "wash",
        "deep care",
        "order",
        "replace",
    }


def test_what_is_no_longer_so_has_no_date(owned):
    owned.tape = [{"where": "front edge", "product": "Soft tape", "since": "2026-03-04"}]
    owned.save()
    work_out_care(owned=owned, on=SINCE)
    assert dates(owned)["tape"] == date(2026, 3, 18)
    owned.tape = []
    owned.save()
    work_out_care(owned=owned, on=SINCE)
    assert "tape" not in dates(owned)


def test_a_piece_that_ended_has_none(owned, stylist):
    work_out_care(owned=owned, on=TODAY)
    OwnedPiece.objects.filter(pk=owned.pk).update(until=TODAY, ended="lost", ended_by=stylist, ended_at=NOW)
    assert work_out_care(owned=owned, on=TODAY) == []
    assert dates(owned) == {}


def test_the_queries_do_not_grow_with_what_is_on_record(owned, stylist):
    counts = []
    for more in (1, 12):
        for number in range(more):
            daily(owned, stylist, on=SINCE + timedelta(days=number))
            checked(owned, stylist, SINCE + timedelta(days=number), fibre=1)
        work_out_care(owned=owned, on=TODAY)
        with CaptureQueriesContext(connection) as queries:
            work_out_care(owned=owned, on=TODAY)
        counts.append(len(queries))
    assert counts[0] == counts[1]


# What is on record


def facts(owned):
    kept = OwnedPiece.objects.with_what_they_are().get(pk=owned.pk)
    return care_facts(kept, standing=kept.care_dates.all(), learn_from=10)


def test_of_two_in_turns_what_she_said_of_either_counts(owned, stylist):
    other = OwnedPieceFactory(client=owned.client, since=SINCE + timedelta(days=3), partner=owned)
    OwnedPiece.objects.filter(pk=owned.pk).update(partner=other)
    daily(other, stylist, on=SINCE + timedelta(days=4))
    assert [told.days_per_week for told in facts(owned).wear] == [7]
    assert facts(owned).takes_turns_since == facts(other).takes_turns_since == SINCE + timedelta(days=3)


@pytest.mark.parametrize(
    ("construction", "front_edge", "is_lace"),
    [("mono", "plain", False), ("mono", "lace", True), ("lace", "plain", True)],
)
def test_a_lace_front_is_known_from_the_base(owned, construction, front_edge, is_lace):
    base = owned.unit.variant.piece.base
    base.construction, base.front_edge = construction, front_edge
    base.save()
    assert facts(owned).lace_front is is_lace


def test_clips_and_elastic_end_no_piece(owned, stylist):
    checked(owned, stylist, TODAY, clips=3, elastic=3, fibre=1)
    assert [check.worst for check in facts(owned).checks] == [1]


def test_a_repair_makes_the_base_good_and_not_the_fibre(owned, stylist):
    checked(owned, stylist, date(2026, 3, 5), base=3, fibre=2)
    checked(owned, stylist, date(2026, 3, 6), lace=3)
    mended = {"back_on": date(2026, 3, 8), "back_by": stylist, "back_at": NOW}
    Repair.objects.create(
        owned_piece=owned,
        what="A tear",
        done_by="K. Weaver",
        sent_on=date(2026, 3, 6),
        sent_by=stylist,
        sent_at=NOW,
        **mended,
    )
    assert [check.worst for check in facts(owned).checks] == [2]


def test_what_was_corrected_counts_no_longer(owned, stylist):
    first = checked(owned, stylist, TODAY, fibre=3)
    checked(owned, stylist, TODAY, fibre=1, corrects=first, corrected_because="Another piece")
    wrong = Wash.objects.create(owned_piece=owned, washed_on=TODAY, recorded_by=stylist, recorded_at=NOW)
    Wash.objects.create(
        owned_piece=owned,
        washed_on=TODAY,
        recorded_by=stylist,
        recorded_at=NOW,
        corrects=wrong,
        corrected_because="Not this one",
        struck_out=True,
    )
    found = facts(owned)
    assert [check.worst for check in found.checks] == [1]
    assert (found.last_wash_on, found.washes_since_deep) == (None, 0)


def test_washes_are_counted_since_the_last_deep_care_by_days(owned, stylist):
    for day, deep in [(3, False), (5, True), (7, False), (7, False), (9, False)]:
        Wash.objects.create(
            owned_piece=owned,
            washed_on=SINCE.replace(day=day),
            deep_care=deep,
            recorded_by=stylist,
            recorded_at=NOW,
        )
    found = facts(owned)
    assert (found.last_wash_on, found.washes_since_deep) == (SINCE.replace(day=9), 2)


def test_tape_counts_from_its_oldest_readable_day(owned):
    owned.tape = [{"since": "2026-03-09"}, {"since": "2026-03-04"}, {"since": "spring"}, {"where": "nape"}]
    owned.save()
    assert facts(owned).tape_since == date(2026, 3, 4)


def test_the_dates_kept_go_into_the_reckoning(owned):
    work_out_care(owned=owned, on=TODAY)
    assert facts(owned).standing["check-up"] == Span(date(2026, 3, 30))


# Washes


def test_a_wash_moves_the_next(owned, stylist):
    daily(owned, stylist)
    wash = tell_wash(owned=owned, washed_on=date(2026, 3, 11), by=stylist, at=NOW)
    assert dates(owned)["wash"] == date(2026, 3, 19)
    assert (wash.recorded_by, wash.deep_care, wash.service) == (stylist, False, None)


@pytest.mark.parametrize(
    ("day", "says"),
    [
        (TODAY + timedelta(days=1), "on its day or later"),
        (SINCE - timedelta(days=1), "was not hers yet"),
        (date(2026, 3, 11), "written down already"),
    ],
)
def test_a_wash_that_can_not_be_is_refused(owned, stylist, day, says):
    tell_wash(owned=owned, washed_on=date(2026, 3, 11), by=stylist, at=NOW)
    with pytest.raises(ValidationError, match=says):
        tell_wash(owned=owned, washed_on=day, by=stylist, at=NOW)
    assert Wash.objects.count() == 1


def test_without_her_consent_to_the_record_nothing_is_written(owned, stylist):
    withdraw_consent(consent=Consent.objects.get(client=owned.client), by=stylist, at=now())
    with pytest.raises(ValidationError, match="has not agreed"):
        tell_wash(owned=owned, washed_on=TODAY, by=stylist, at=NOW)


def test_a_wash_is_corrected_by_another(owned, stylist):
    wrong = tell_wash(owned=owned, washed_on=date(2026, 3, 11), by=stylist, at=NOW)
    right = tell_wash(
        owned=owned,
        washed_on=date(2026, 3, 11),
        deep_care=True,
        by=stylist,
        at=NOW,
        corrects=wrong,
        because="With mask",
    )
    assert list(Wash.objects.standing()) == [right]
    with pytest.raises(ValidationError, match="corrected already"):
        tell_wash(owned=owned, washed_on=TODAY, by=stylist, at=NOW, corrects=wrong, because="Again")
    other = OwnedPieceFactory(since=SINCE)
    with pytest.raises(ValidationError, match="another piece's"):
        tell_wash(owned=other, washed_on=TODAY, by=stylist, at=NOW, corrects=right, because="No")


# Told


def test_told_once_and_taken_back(owned, stylist):
    row = work_out_care(owned=owned, on=TODAY)[0]
    mark_told(care_date=row, by=stylist, at=NOW)
    kept = mark_told(care_date=row, by=DeskFactory(), at=NOW + timedelta(days=1))
    assert (kept.told_by, kept.told_at) == (stylist, NOW)
    assert row not in CareDate.objects.due_by(row.due_on)
    take_back_told(care_date=row)
    assert row in CareDate.objects.due_by(row.due_on)
