"""Giving a piece, telling how it is worn, pairing it, and ending it; and where its unit is meanwhile."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.utils.timezone import localdate, now

from clients.consenting import withdraw_consent
from fittings.caring import make_wash_link
from fittings.lending import lend
from fittings.models import CareDate, OwnedPiece, WearEntry
from fittings.owning import (
    end_piece,
    give_piece,
    set_fixing,
    stop_taking_turns,
    take_in_brought,
    take_turns,
    tell_wear,
)
from fittings.repairing import send_to_repair
from pieces.models import Unit
from pieces.stock import reserve_unit
from tests.factories import ClientFactory, OwnerFactory, StylistFactory
from tests.fittings.factories import CandidateFactory, OwnedPieceFactory
from tests.fittings.visits import signed_off_visit
from tests.pieces.factories import BaseClipFactory, UnitFactory, VariantFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def stylist():
    return StylistFactory()


@pytest.fixture
def her():
    return ClientFactory(record_consent=True)


def given(her, stylist, unit=None, **how):
    return give_piece(client=her, unit=unit or UnitFactory(), by=stylist, **{"since": localdate(), "at": now()} | how)


def told(owned, stylist, **facts):
    return tell_wear(owned=owned, by=stylist, **{"told_on": localdate(), "at": now()} | facts)


def state_of(unit):
    return Unit.objects.get(pk=unit.pk).state


def refusal_of(deed, *args, **how):
    with pytest.raises(ValidationError) as refusal:
        deed(*args, **how)
    return " ".join(refusal.value.messages)


# Giving


def test_a_unit_from_the_drawer_is_hers_and_with_her(her, stylist):
    unit = UnitFactory()
    owned = given(her, stylist, unit)
    assert (owned.client, owned.unit, owned.is_hers) == (her, unit, True)
    assert state_of(unit) == "with client"
    assert owned.history.first().history_user == stylist
    assert CareDate.objects.filter(owned_piece=owned).exists()


def test_a_unit_that_was_set_aside_can_be_given_and_no_other(her, stylist):
    set_aside, gone = UnitFactory(), UnitFactory(state="gone")
    reserve_unit(unit=set_aside, by=OwnerFactory())
    assert given(her, stylist, set_aside).is_hers
    assert "it is written off" in refusal_of(given, her, stylist, gone)
    assert "it is with a client" in refusal_of(given, ClientFactory(record_consent=True), stylist, set_aside)
    assert OwnedPiece.objects.count() == 1


def test_a_lent_unit_is_not_given_before_it_is_back(her, stylist):
    unit = UnitFactory()
    lend(client=her, unit=unit, lent_on=localdate(), due_back_on=localdate(), by=stylist, at=now())
    assert "it is with a client" in refusal_of(given, her, stylist, unit)


def test_its_clips_are_those_of_the_base(her, stylist):
    unit = UnitFactory()
    BaseClipFactory(base=unit.variant.piece.base, u_mm=8, v_mm=-20, length_mm=32)
    assert given(her, stylist, unit).clips == [{"u_mm": 8, "v_mm": -20, "length_mm": 32}]


def test_nothing_is_hers_without_her_consent_or_from_a_day_to_come(her, stylist):
    unit = UnitFactory()
    assert "has not agreed" in refusal_of(given, ClientFactory(), stylist, unit)
    assert "still to come" in refusal_of(given, her, stylist, unit, since=localdate() + timedelta(days=1))
    assert "years ago" in refusal_of(given, her, stylist, unit, since=date(1926, 1, 1))
    assert state_of(unit) == "drawer"


def test_where_it_was_placed_goes_along_if_it_is_this_piece_and_her_visit(stylist):
    candidate = CandidateFactory(fitting=signed_off_visit(stylist=stylist))
    her, unit = candidate.fitting.client, UnitFactory(variant=candidate.variant)
    other = refusal_of(given, her, stylist, UnitFactory(), candidate=candidate)
    assert f"take one of {candidate.kept.name}" in other
    somebody = ClientFactory(record_consent=True)
    assert "by somebody else" in refusal_of(given, somebody, stylist, unit, candidate=candidate)
    assert given(her, stylist, unit, candidate=candidate).candidate == candidate


def test_a_piece_she_brought_gets_a_unit_of_its_own(her, stylist):
    variant = VariantFactory()
    owned = take_in_brought(client=her, variant=variant, since=localdate() - timedelta(days=400), by=stylist, at=now())
    assert owned.unit.variant == variant
    assert owned.unit.received_on == localdate()
    assert state_of(owned.unit) == "with client"
    assert owned.candidate is None


def test_a_refused_one_she_brought_leaves_no_unit(stylist):
    variant = VariantFactory()
    assert refusal_of(take_in_brought, client=ClientFactory(), variant=variant, since=localdate(), by=stylist, at=now())
    assert not Unit.objects.exists()


# How it is worn


def test_what_she_tells_is_kept_and_the_last_word_stands_first(her, stylist):
    owned = given(her, stylist, since=localdate() - timedelta(days=30))
    told(owned, stylist, told_on=localdate() - timedelta(days=30), days_per_week=7, swum_in="yes")
    told(owned, stylist, days_per_week=4, hours_per_day=Decimal("7.5"))
    newest = owned.wear_entries.standing().first()
    assert (newest.days_per_week, newest.hours_per_day, newest.swum_in, newest.recorded_by) == (4, 7.5, "", stylist)


def test_a_correction_stands_in_the_place_of_what_it_corrects(her, stylist):
    owned = given(her, stylist)
    first = told(owned, stylist, days_per_week=1)
    second = told(owned, stylist, days_per_week=7, corrects=first, because="Misheard")
    assert list(WearEntry.objects.standing()) == [second]
    assert refusal_of(told, owned, stylist, days_per_week=2, corrects=second) == (
        "A correction says which entry it corrects, and why."
    )
    assert "corrected already" in refusal_of(told, owned, stylist, days_per_week=2, corrects=first, because="Again")
    other = given(her, stylist)
    assert "of another piece" in refusal_of(told, other, stylist, corrects=second, because="Mixed up")


def test_days_that_can_not_be_and_the_same_told_twice_are_refused(her, stylist):
    owned = given(her, stylist)
    assert "still to come" in refusal_of(told, owned, stylist, told_on=localdate() + timedelta(days=1))
    assert "not worn before" in refusal_of(told, owned, stylist, told_on=localdate() - timedelta(days=1))
    assert "less than or equal to 7" in refusal_of(told, owned, stylist, days_per_week=8)
    told(owned, stylist, days_per_week=5)
    assert "already for that day" in refusal_of(told, owned, stylist, days_per_week=5)
    assert told(owned, stylist, days_per_week=6)


def test_nothing_is_told_after_the_consent_is_taken_back(her, stylist):
    owned = given(her, stylist)
    withdraw_consent(consent=her.consents.get(), by=stylist, at=now())
    assert "has not agreed" in refusal_of(told, owned, stylist, days_per_week=5)


# What holds it


def test_clips_and_tape_are_as_they_sit_now(her, stylist):
    owned = given(her, stylist)  # on an oval of 152 by 140 mm
    moved = set_fixing(owned=owned, by=stylist, clips=[{"u_mm": 20, "v_mm": 60, "length_mm": 28}])
    assert (moved.clips, moved.tape) == ([{"u_mm": 20, "v_mm": 60, "length_mm": 28}], [])
    tape = [{"where": "front edge", "product": "Tape", "since": "2026-01-02"}]
    taped = set_fixing(owned=owned, by=stylist, tape=tape)
    assert (taped.clips, taped.tape) == (moved.clips, tape)


@pytest.mark.parametrize(
    "clip",
    [
        {"u_mm": 153, "v_mm": 0, "length_mm": 28},
        {"u_mm": -1, "v_mm": 0, "length_mm": 28},
        {"u_mm": 10, "v_mm": 71, "length_mm": 28},
        {"u_mm": 10, "v_mm": 0, "length_mm": 0},
        {"u_mm": 10, "v_mm": 0, "length_mm": 81},
    ],
)
def test_a_clip_off_its_base_is_refused(clip, her, stylist):
    assert "lies on its base" in refusal_of(set_fixing, owned=given(her, stylist), by=stylist, clips=[clip])


def test_a_clip_without_its_place_and_tape_without_where_are_refused(her, stylist):
    owned = given(her, stylist)
    assert "how far from" in refusal_of(set_fixing, owned=owned, by=stylist, clips=[{"u_mm": 3}])
    assert "front edge" in refusal_of(set_fixing, owned=owned, by=stylist, tape=[{"where": " "}])


# Turns


def test_two_pieces_take_turns_until_they_no_longer_do(her, stylist):
    one, other = given(her, stylist), given(her, stylist)
    take_turns(one=one, other=other, by=stylist)
    take_turns(one=other, other=one, by=stylist)  # a second press
    one.refresh_from_db()
    other.refresh_from_db()
    assert (one.partner, other.partner) == (other, one)
    third = given(her, stylist)
    assert "takes turns with" in refusal_of(take_turns, one=third, other=one, by=stylist)
    stop_taking_turns(owned=other, by=stylist)
    stop_taking_turns(owned=other, by=stylist)  # a second press
    assert not OwnedPiece.objects.filter(partner__isnull=False).exists()


def test_a_piece_takes_turns_with_another_of_hers_alone(her, stylist):
    one, anothers = given(her, stylist), OwnedPieceFactory()
    assert "not with itself" in refusal_of(take_turns, one=one, other=one, by=stylist)
    assert "of one client" in refusal_of(take_turns, one=one, other=anothers, by=stylist)
    ended = given(her, stylist)
    ended_now(ended, stylist)
    assert "has not had this piece" in refusal_of(take_turns, one=one, other=ended, by=stylist)


# The end


def ended_now(owned, stylist, ended="worn out", **how):
    return end_piece(owned=owned, ended=ended, by=stylist, **{"until": localdate(), "at": now()} | how)


@pytest.mark.parametrize(
    ("ended", "state"),
    [("returned", "drawer"), ("worn out", "gone"), ("outgrown", "gone"), ("lost", "gone"), ("not worn", "gone")],
)
def test_only_a_piece_given_back_lies_in_the_drawer_again(ended, state, her, stylist):
    owned = given(her, stylist)
    after = ended_now(owned, stylist, ended, note="As she  said")
    assert (after.is_hers, after.ended, after.ended_note, after.ended_by) == (False, ended, "As she said", stylist)
    assert state_of(owned.unit) == state
    assert not CareDate.objects.exists()


def test_one_given_back_can_be_another_clients(her, stylist):
    unit = UnitFactory()
    ended_now(given(her, stylist, unit), stylist, "returned")
    assert given(ClientFactory(record_consent=True), stylist, unit).is_hers


def test_its_turns_and_its_wash_address_end_with_it(her, stylist):
    one, other = given(her, stylist), given(her, stylist)
    take_turns(one=one, other=other, by=stylist)
    link, _ = make_wash_link(owned=one, by=stylist, at=now())
    ended_now(one, stylist)
    link.refresh_from_db()
    other.refresh_from_db()
    assert link.revoked_by == stylist
    assert other.partner is None
    assert other.care_dates.exists()


def test_it_does_not_end_twice_nor_on_a_day_that_can_not_be_nor_without_a_reason(her, stylist):
    owned = given(her, stylist)
    assert "can't have ended before" in refusal_of(ended_now, owned, stylist, until=localdate() - timedelta(days=1))
    assert "still to come" in refusal_of(ended_now, owned, stylist, until=localdate() + timedelta(days=1))
    assert refusal_of(ended_now, owned, stylist, "")
    assert state_of(owned.unit) == "with client"
    ended_now(owned, stylist)
    assert "has not had this piece since" in refusal_of(ended_now, owned, stylist)
    assert "has not had this piece since" in refusal_of(told, owned, stylist, days_per_week=5)
    assert "has not had this piece since" in refusal_of(set_fixing, owned=owned, by=stylist, clips=[])


def test_it_does_not_end_while_it_is_away(her, stylist):
    owned = given(her, stylist)
    send_to_repair(owned=owned, what="A tear", done_by="The lace mender", sent_on=localdate(), by=stylist, at=now())
    assert "away with The lace mender" in refusal_of(ended_now, owned, stylist, "lost")
