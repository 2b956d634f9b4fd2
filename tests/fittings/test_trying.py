"""Trying on and deciding: what is frozen, what may be chosen, and who may go past a stop."""

import pytest
from django.core.exceptions import ValidationError
from django.utils.timezone import localdate, now

from clients.assessing import save_map, sign_off
from clients.scalp.head import Head
from fittings.models import Candidate, Override, TryOn
from fittings.trying import AT_MOST, choose_to_try, decide, log_try_on, remove_from_try
from fittings.visiting import examine_anew, finish_visit
from salon.models import Salon
from tests.factories import OwnerFactory, StylistFactory
from tests.fittings.colours import CARD, as_photographed, photo_of_the_ring, read_by_card, ring_read_both_ways
from tests.fittings.test_candidates import clipped_base
from tests.fittings.visits import BROWN, signed_off_visit, thin_crown
from tests.pieces.factories import PieceFactory, ShadeFactory, UnitFactory, VariantFactory

pytestmark = pytest.mark.django_db
WELL = {"covers": "well", "sits": "well", "matches": "nearly"}


@pytest.fixture
def fitting():
    return signed_off_visit()


def chosen_to_try(fitting, variant=None):
    return choose_to_try(
        fitting=fitting,
        variant=variant or VariantFactory(piece=PieceFactory(base=clipped_base())),
        salon=Salon.objects.default(),
        by=fitting.stylist,
        at=now(),
        on=localdate(),
    )


def tried(fitting, candidate=None):
    return log_try_on(fitting=fitting, candidate=candidate or chosen_to_try(fitting), by=fitting.stylist, **WELL)


def stopped(fitting):
    """A candidate that a rule stops."""
    candidate = chosen_to_try(fitting)
    stop = {"rule_id": "hairline", "severity": "stop", "says": "Only a lace front makes a new hairline.", "asks": []}
    Candidate.objects.filter(pk=candidate.pk).update(findings=[stop | {"questions": []}])
    candidate.refresh_from_db()
    return candidate


def test_a_candidate_is_frozen_with_numbers_rules_and_price(fitting):
    candidate = chosen_to_try(fitting)
    assert candidate.cover > 0.99
    assert candidate.clips_holding == candidate.clips_total == 4
    assert candidate.colour["band"] == "disappears"
    assert candidate.house_rules["margin_mm"] == 13
    assert candidate.price_minor == 124900
    assert all({"rule_id", "since", "says", "source"} <= finding.keys() for finding in candidate.findings)


def test_the_colours_that_were_compared_are_kept_with_the_candidate(fitting):
    strands = {"pigment": (20.0, 5.0, 6.0), "grey": (75.0, 1.0, 6.0)}
    read_by_card(fitting, BROWN | strands)
    ring_read_both_ways(photo_of_the_ring(fitting.stylist))
    kept = Candidate.objects.get(pk=chosen_to_try(fitting).pk).colour
    shade = ShadeFactory.build()
    assert kept["colours"]["root"] == pytest.approx(list(as_photographed(shade.lab()["root"])), abs=0.2)
    assert kept["scales"] == {"root": CARD, "mid": CARD, "ends": CARD}
    assert kept["crossed"] == "carried over from an instrument by 6 shades read both ways, give or take 0.0"
    assert kept["words"].endswith(kept["crossed"])
    assert 0 < kept["grey"]["share"] < 0.5


def test_the_same_piece_is_chosen_once_and_five_are_enough(fitting):
    candidate = chosen_to_try(fitting)
    with pytest.raises(ValidationError, match="already among those to try"):
        chosen_to_try(fitting, candidate.variant)
    for _ in range(AT_MOST - 1):
        chosen_to_try(fitting)
    with pytest.raises(ValidationError, match="Take one away"):
        chosen_to_try(fitting)


def test_a_piece_is_chosen_again_where_the_visit_was_examined_anew(fitting):
    first = chosen_to_try(fitting)
    visit = examine_anew(client=fitting.client, stylist=fitting.stylist, at=now())
    draft = visit.assessment
    thinner = thin_crown(Head.from_tapes(**draft.tapes()), radius_mm=85.0).to_hex()
    draft = save_map(assessment=draft, revision=draft.revision, by=fitting.stylist, density_hex=thinner)
    sign_off(assessment=draft, by=fitting.stylist, at=now())
    again = chosen_to_try(visit, first.variant)
    earlier, newer = visit.candidates.all()
    assert (earlier, newer) == (first, again)
    assert newer.cover < earlier.cover
    assert (earlier.is_earlier, newer.is_earlier) == (True, False)
    assert earlier.name == f"{newer.name} (by the earlier examination)"


def test_nothing_is_tried_before_the_assessment_is_signed_off(fitting):
    fitting.assessment.state = "draft"
    fitting.assessment.signed_at = fitting.assessment.signed_by = None
    fitting.assessment.save()
    with pytest.raises(ValidationError, match="Sign the assessment off first"):
        chosen_to_try(fitting)


def test_a_piece_that_was_tried_stays_in_the_record(fitting):
    candidate = tried(fitting).candidate
    with pytest.raises(ValidationError, match="stays in the record"):
        remove_from_try(fitting=fitting, candidate=candidate)
    remove_from_try(fitting=fitting, candidate=chosen_to_try(fitting))
    assert fitting.candidates.count() == 1


def test_a_unit_of_another_piece_is_refused(fitting):
    with pytest.raises(ValidationError, match="is another piece"):
        log_try_on(fitting=fitting, candidate=chosen_to_try(fitting), unit=UnitFactory(), by=fitting.stylist, **WELL)


def test_one_piece_or_a_pair_is_chosen_and_a_later_decision_replaces_it(fitting):
    first, second = tried(fitting), tried(fitting)
    decide(fitting=fitting, chosen=first, second=second, by=fitting.stylist)
    assert set(fitting.try_ons.values_list("outcome", flat=True)) == {"chosen", "second"}
    decide(fitting=fitting, chosen=second, by=fitting.stylist, why_chosen="She smiled")
    assert fitting.try_ons.get(outcome=TryOn.Outcome.CHOSEN) == second
    assert not fitting.try_ons.filter(outcome=TryOn.Outcome.SECOND).exists()


def test_a_pair_is_two_different_pieces(fitting):
    look = tried(fitting)
    with pytest.raises(ValidationError, match="two different pieces"):
        decide(fitting=fitting, chosen=look, second=tried(fitting, look.candidate), by=fitting.stylist)


def test_none_is_chosen_only_with_a_reason(fitting):
    with pytest.raises(ValidationError, match="write why none"):
        decide(fitting=fitting, chosen=None, by=fitting.stylist)
    decide(fitting=fitting, chosen=None, none_chosen_because="She sleeps on it", by=fitting.stylist)
    fitting.refresh_from_db()
    assert fitting.none_chosen_because == "She sleeps on it"


def test_a_stop_is_passed_by_an_owner_with_a_written_reason_only(fitting):
    look = tried(fitting, stopped(fitting))
    with pytest.raises(ValidationError, match="ask an owner"):
        decide(fitting=fitting, chosen=look, by=fitting.stylist, reasons={"hairline": "She wants it"})
    with pytest.raises(ValidationError, match="ask an owner"):
        decide(fitting=fitting, chosen=look, by=fitting.stylist, owner=StylistFactory(), reasons={"hairline": "Yes"})
    owner = OwnerFactory()
    with pytest.raises(ValidationError, match="Write why this may pass"):
        decide(fitting=fitting, chosen=look, by=fitting.stylist, owner=owner, reasons={"hairline": "  "})
    assert not Override.objects.exists()
    assert not fitting.try_ons.exclude(outcome="tried").exists()
    decide(fitting=fitting, chosen=look, by=fitting.stylist, owner=owner, reasons={"hairline": "Fringe hides it"})
    override = Override.objects.get()
    assert (override.rule_id, override.reason, override.owner) == ("hairline", "Fringe hides it", owner)


def test_a_finished_visit_takes_nothing_more(fitting):
    look = tried(fitting)
    decide(fitting=fitting, chosen=look, by=fitting.stylist)
    finish_visit(fitting=fitting, by=fitting.stylist, at=now(), next_visit_on=None)
    with pytest.raises(ValidationError, match="is finished"):
        tried(fitting, look.candidate)
    with pytest.raises(ValidationError, match="is finished"):
        decide(fitting=fitting, chosen=None, none_chosen_because="changed her mind", by=fitting.stylist)
