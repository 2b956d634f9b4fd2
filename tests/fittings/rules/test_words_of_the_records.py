"""The rules and the records use the same words, so that a record's value is a fact as it stands."""

import pytest

from clients.models.assessment import Chemotherapy, CurlPattern, ReferralSign, ScalpCondition, YesNo
from clients.models.health import Substance
from fittings.rules.facts import FACTS
from pieces.models import Base, Piece


@pytest.mark.parametrize(
    ("fact", "choices"),
    [
        ("referral_signs", ReferralSign),
        ("chemotherapy", Chemotherapy),
        ("scalp_condition", ScalpCondition),
        ("reactions", Substance),
        ("own_curl_pattern", CurlPattern),
        ("piece_texture", Piece.Texture),
        ("fibre", Piece.Fibre),
        ("synthetic_part", Piece.SyntheticPart),
        ("base_outline", Base.Outline),
        ("front_edge", Base.FrontEdge),
    ],
)
def test_a_fact_can_be_whatever_its_record_can_be(fact, choices):
    assert set(FACTS[fact].values) == set(choices.values)


@pytest.mark.parametrize("choices", [YesNo, Piece.Colourable, Base.NickelFree])
def test_yes_and_no_are_written_alike(choices):
    assert set(choices.values) == {"yes", "no"}
