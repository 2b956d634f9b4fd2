"""Which of many bases should be tried on this head first?

Each base is put in its best seat. Those that cover with the house margin come first, the smallest before the bigger;
then the rest, best cover first (to a percent), the smaller before the bigger. Whether its colour matches and the rules
allow it is for `fittings.candidates` to say. cm² for areas.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Generic, TypeVar

import numpy as np

from clients.scalp.head import Head
from clients.scalp.loss_map import LossMap
from fittings.placement.house_rules import HouseRules
from fittings.placement.placing import HOUSE_START, Placement, best_in
from fittings.placement.searching import WITHIN, Base, seat_search
from pieces.bases.outline import BaseOutline

AnyBase = TypeVar("AnyBase", bound=Base | BaseOutline)


@dataclass(frozen=True)
class Ranked(Generic[AnyBase]):
    """A base as it was given, its best placement, and whether it covers with the house margin all round."""

    base: AnyBase
    placement: Placement
    covers_with_margin: bool


def rank(
    head: Head, loss_map: LossMap, bases: Iterable[AnyBase], house_rules: HouseRules = HOUSE_START
) -> list[Ranked[AnyBase]]:
    """All the bases, best first; bases that tell nothing apart keep the order in which they came."""
    search, ranked = seat_search(head, loss_map, house_rules), []
    for base in bases:
        placement = best_in(search, base)
        ranked.append(Ranked(base, placement, covers_with_margin(placement, house_rules)))
    return sorted(ranked, key=_place_in_line)


def covers_with_margin(placement: Placement, house_rules: HouseRules) -> bool:
    """Whether a base reaches past the thinning by the house margin on every side.

    Loss at the front hairline needs a front edge that makes a hairline. Where nothing is thin enough to have an edge,
    covering what little is lost (to a percent) is enough.
    """
    if placement.loss_reaches_hairline and not placement.front_edge_fits:
        return False
    if np.isinf(placement.margin_mm):
        return placement.cover >= 1 - WITHIN
    return placement.margin_mm >= house_rules.margin_mm


def _place_in_line(ranked: Ranked[AnyBase]) -> tuple[bool, float, float]:
    cover = 0.0 if ranked.covers_with_margin else -round(ranked.placement.cover, 2)
    return (not ranked.covers_with_margin, cover, _area_cm2(ranked.base))


def _area_cm2(base: Base | BaseOutline) -> float:
    outline = base if isinstance(base, BaseOutline) else base.outline
    u = (np.arange(1000) + 0.5) * outline.length_mm / 1000
    return float(2 * np.asarray(outline.half_width_mm(u)).mean() * outline.length_mm / 100)
