"""Many bases on one head: the smallest that covers with the margin first."""

import numpy as np

from clients.scalp.head import Head
from clients.scalp.loss_map import LossMap
from fittings.placement.house_rules import HouseRules
from fittings.placement.placing import best_placement
from fittings.placement.ranking import rank
from pieces.bases.construction import BaseShape
from pieces.bases.outline import BaseOutline

HEAD = Head.from_tapes()
RULES = HouseRules()


def thinned(where, density=10):
    return LossMap.from_tape_coordinates(HEAD, lambda s, t: np.where(where(s, t), density, 100))


CROWN = thinned(lambda s, t: np.hypot(s - 200, t) < 40)
FRONT = thinned(lambda s, t: (s < 60) & (np.abs(t) < 40))


def oval(key, length, width, **other):
    return BaseShape(key, BaseOutline.oval(length_mm=length, width_mm=width), **other)


SIZES = [oval("huge", 220, 200), oval("scant", 60, 50), oval("right", 130, 120), oval("snug", 95, 90)]


def test_the_smallest_base_that_covers_with_the_margin_comes_first():
    ranked = rank(HEAD, CROWN, SIZES, RULES)
    assert [entry.base.key for entry in ranked] == ["right", "huge", "snug", "scant"]
    assert [entry.covers_with_margin for entry in ranked] == [True, True, False, False]
    assert [entry.placement.cover for entry in ranked[:2]] == [1, 1]
    assert ranked[2].placement.cover > 0.99


def test_each_base_comes_back_as_it_was_given_in_its_best_seat():
    for entry in rank(HEAD, CROWN, SIZES, RULES):
        assert entry.base in SIZES
        assert entry.placement == best_placement(HEAD, CROWN, entry.base, RULES)


def test_the_rest_are_told_apart_by_cover_and_then_by_size():
    scanty = [oval("b", 60, 60), oval("a", 50, 40), oval("c", 70, 70)]
    assert [entry.base.key for entry in rank(HEAD, CROWN, scanty)] == ["c", "b", "a"]


def test_bare_outlines_can_be_ranked():
    outlines = [base.outline for base in SIZES]
    assert rank(HEAD, CROWN, outlines)[0].base == SIZES[2].outline


def test_loss_at_the_hairline_is_covered_by_lace_only():
    strips = [
        BaseShape(edge, BaseOutline.full_cap(length_mm=120, width_mm=130), front_edge=edge)
        for edge in ("plain", "polyurethane", "lace")
    ]
    ranked = rank(HEAD, FRONT, strips)
    assert ranked[0].base.key == "lace"
    assert [entry.covers_with_margin for entry in ranked] == [True, False, False]


def test_without_loss_the_smallest_base_is_enough():
    ranked = rank(HEAD, LossMap.full(), SIZES)
    assert ranked[0].base.key == "scant"
    assert all(entry.covers_with_margin for entry in ranked)


def test_even_thinning_above_the_house_rule_asks_for_cover_not_for_a_margin():
    sparse = LossMap.from_tape_coordinates(HEAD, lambda s, t: 80)
    cap = BaseShape("cap", BaseOutline.full_cap(length_mm=380, width_mm=350))
    ranked = rank(HEAD, sparse, [*SIZES, cap])
    assert ranked[0].base.key == "cap"
    assert [entry.covers_with_margin for entry in ranked] == [True, False, False, False, False]


def test_no_bases_rank_to_none():
    assert rank(HEAD, CROWN, []) == []
