"""Several owners at one record of the catalogue at the same moment: one writes, the others are told."""

from collections import Counter

import pytest
from django.utils.timezone import localdate, now

from pieces.models import Base, Variant
from pieces.seen_versions import version_of
from tests.factories import DeskFactory, OwnerFactory
from tests.pieces.factories import MakerFactory, PieceFactory, UnitFactory, VariantFactory

AT_ONCE, ROUNDS = 6, 6
KEEPING = "pieces.keeping_catalogue"
pytestmark = [pytest.mark.slow, pytest.mark.django_db(transaction=True)]


def told(outcomes):
    assert [outcome for outcome in outcomes if outcome.what == "broke"] == []
    return Counter(outcome.what for outcome in outcomes)


def test_of_all_who_change_the_same_version_one_does(racers):
    owner = OwnerFactory().pk
    for _ in range(ROUNDS):
        piece = PieceFactory(name="Quarry Lane")
        asked = {"piece": piece.pk, "by": owner, "shown": version_of(piece)}
        deeds = [(f"{KEEPING}.change_piece", {**asked, "name": f"Quarry Lane {n}"}) for n in range(AT_ONCE)]
        outcomes = racers.race(deeds)
        assert told(outcomes) == {"done": 1, "refused": AT_ONCE - 1}
        assert all("changed this on" in outcome.says for outcome in outcomes if outcome.what == "refused")
        assert piece.history.count() == 2


def test_a_base_is_added_once(racers):
    for number in range(ROUNDS):
        asked = {"maker": MakerFactory().pk, "name": f"Lattice {number}", "by": OwnerFactory().pk}
        size = {"outline": "oval", "length_mm": 152, "width_mm": 140, "construction": "mono"}
        assert told(racers.race([(f"{KEEPING}.add_base", asked | size)] * AT_ONCE)) == {
            "done": 1,
            "refused": AT_ONCE - 1,
        }
        assert Base.objects.filter(name=f"Lattice {number}").count() == 1


def test_discontinuing_and_setting_aside_do_not_wait_for_each_other_in_a_ring(racers):
    desk, owner = DeskFactory().pk, OwnerFactory().pk
    for _ in range(ROUNDS):
        piece = PieceFactory()
        units = [UnitFactory(variant=VariantFactory(piece=piece)) for _ in range(AT_ONCE - 2)]
        deeds = [(f"{KEEPING}.discontinue", {"of": piece.pk, "on": localdate(), "by": owner})] * 2
        deeds += [("pieces.stock.reserve_unit", {"unit": unit.pk, "by": desk, "at": now()}) for unit in units]
        assert told(racers.race(deeds)) == {"done": AT_ONCE}
        assert not Variant.objects.filter(piece=piece).offered(localdate()).exists()
