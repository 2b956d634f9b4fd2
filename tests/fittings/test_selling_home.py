"""What a sale takes from a visit, and the piece that becomes hers when it is handed over."""

import pytest
from django.core.exceptions import ValidationError
from django.utils.timezone import localdate, now

from fittings.models import OwnedPiece
from fittings.selling_home import hand_over_hers, measured_for
from pieces.selling import LineAsked
from tests.factories import ClientFactory, DeskFactory
from tests.fittings.factories import OwnedPieceFactory
from tests.fittings.paper.papers import decided_visit
from tests.pieces.factories import SaleFactory, UnitFactory, VariantFactory

pytestmark = pytest.mark.django_db


def handed(line):
    return hand_over_hers(line=line, since=localdate(), by=DeskFactory(), at=now())


def test_what_was_measured_is_that_of_the_visit_in_which_she_chose_it():
    visit = decided_visit()
    chosen = visit.candidates.get()
    visit.assessment.wished_length_mm = 300
    visit.assessment.save()
    measured, candidate = measured_for(visit.client, chosen.variant)
    assert candidate == chosen
    assert (measured.visit_reference, measured.cover, measured.margin_mm) == (
        visit.reference,
        chosen.cover,
        chosen.margin_mm,
    )
    assert (measured.clips_holding, measured.clips_total) == (chosen.clips_holding, chosen.clips_total)
    assert measured.colour_difference == chosen.colour["weighted"]
    assert measured.length_step_mm == chosen.variant.length_mm - 300
    assert measured.is_first_piece is True


def test_a_piece_that_nobody_measured_says_only_whether_it_is_her_first():
    owned = OwnedPieceFactory()
    measured, candidate = measured_for(owned.client, VariantFactory())
    assert candidate is None
    assert (measured.is_first_piece, measured.cover, measured.visit_reference) == (False, None, "")
    assert measured_for(ClientFactory(), VariantFactory())[0].is_first_piece


def test_a_chosen_piece_becomes_hers_with_the_place_it_was_chosen_for():
    visit = decided_visit()
    chosen = visit.candidates.get()
    unit = chosen.variant.units.get()
    line = SaleFactory(client=visit.client, lines=[LineAsked(unit=unit)]).lines.get()
    owned = handed(line)
    assert (owned.unit, owned.client, owned.candidate) == (unit, visit.client, chosen)
    unit.refresh_from_db()
    assert unit.state == "with client"


def test_without_her_consent_it_is_handed_over_and_not_kept_as_hers():
    line = SaleFactory().lines.get()
    assert handed(line) is None
    line.refresh_from_db()
    assert line.handed_over_at


def test_it_is_handed_over_whole_or_not_at_all():
    line = SaleFactory(client=ClientFactory(record_consent=True), lines=[LineAsked(unit=UnitFactory())]).lines.get()
    tomorrow = localdate().replace(year=localdate().year + 1)
    with pytest.raises(ValidationError, match="still to come"):
        hand_over_hers(line=line, since=tomorrow, by=DeskFactory(), at=now())
    line.refresh_from_db()
    line.unit.refresh_from_db()
    assert (line.handed_over_at, line.unit.state, OwnedPiece.objects.count()) == (None, "reserved", 0)
