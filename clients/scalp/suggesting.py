"""Which stage of which published scale does a painted map come near, how near, and why?

A suggestion is read off the map; it sets nothing and diagnoses nothing, and the stylist names the pattern herself or
leaves it. The stage follows from how much is lost in a few places (below), so that more loss never suggests a lower
stage; how near it is, is the share that the map's loss and our own shape of that stage have in common. Maps beyond a
scale's reach get no stage of it and a sentence that says why: separate patches, hair thinner all over, a front hairline
that has gone where the scale keeps it. The least stages (Sinclair 1, Norwood I) are never suggested: a map that shows
little can't tell.

Places are in tape coordinates as shares of the front-to-nape tape (see `patterns`); losses are in percent. Every
threshold is ours, chosen to lie between our shapes of neighbouring stages: no scale prints a number (common practice).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from clients.scalp.grid import INSIDE, Floats
from clients.scalp.head import Head
from clients.scalp.loss_map import LossMap
from clients.scalp.patterns import pattern_start
from clients.scalp.scales import LUDWIG, NORWOOD, OLSEN, SCALES, SINCLAIR, Scale

Where = NDArray[np.bool_]

_AVERAGE_E_OVER_F = 343 / 356
_LEAST_LOST = 0.5  # percent of the scalp's hair; below it nothing is told from a map
_LEAST_PATCH = 6  # cells, about 1.5 cm²
_HALF = 50.0  # percent lost: half the hair or less is left


@dataclass(frozen=True)
class Suggestion:
    """What the map says of one scale. `stage` is empty when no stage of it is near, `because` says why in either case.

    nearness: 0 to 1, the lost hair that map and stage have in common over all that either has; 0 without a stage.
    """

    scale: str
    stage: str
    nearness: float
    because: str


def suggested_stages(loss_map: LossMap, head: Head) -> tuple[Suggestion, ...]:
    """One suggestion a scale, the nearest first and those without a stage last; none at all for a map without loss."""
    lost = _Lost.of(loss_map, head)
    if lost.in_all < _LEAST_LOST:
        return ()
    beyond = _beyond_every_scale(lost)
    found = [Suggestion(scale.key, "", 0.0, beyond) if beyond else _suggested(scale, lost, head) for scale in SCALES]
    return tuple(sorted(found, key=lambda one: -one.nearness))


@dataclass(frozen=True)
class _Lost:
    """Loss of each cell in percent with where it lies: s back from the hairline, t left, both in shares of F."""

    loss: Floats
    area: Floats
    s: Floats
    t: Floats
    front_to_nape_mm: float

    @classmethod
    def of(cls, loss_map: LossMap, head: Head) -> _Lost:
        s_mm, t_mm = np.moveaxis(head.cell_tape_coordinates, -1, 0)
        _, front_to_nape_mm, ear_to_ear_mm = head.tapes_mm
        s, t = s_mm / front_to_nape_mm, t_mm / ear_to_ear_mm * _AVERAGE_E_OVER_F
        return cls(loss_map.loss, head.cell_areas_cm2, s, t, front_to_nape_mm)

    @property
    def in_all(self) -> float:
        """Percent of all scalp hair."""
        return self.mean(INSIDE)

    def box(self, front: float, back: float, inner: float, outer: float) -> Where:
        """Cells from `front` to `back` behind the hairline, `inner` to `outer` from the midline on both sides."""
        out = np.abs(self.t)
        return INSIDE & (self.s >= front) & (self.s <= back) & (out >= inner) & (out <= outer)

    def in_mm(self, share: float) -> int:
        """A length on this head to the half centimetre: no hand paints finer."""
        return 5 * round(share * self.front_to_nape_mm / 5)

    def mean(self, where: Where) -> float:
        return float((self.loss * self.area)[where].sum() / self.area[where].sum())

    def most_of(self, where: Where) -> float:
        """What three quarters of a place have lost at least: a patch in it does not count for the whole."""
        return float(np.quantile(self.loss[where], 0.25))

    def depth(self, where: Where, furthest: float, step: float = 0.03) -> float:
        """How far back from the hairline half the hair or more is gone without a break, in shares of F.

        where: the strip to look along. Rows of the strip count by their share of lost cells, and none by more than the
        one before it.
        """
        depth, reached = 0.0, 1.0
        for row in range(round(furthest / step)):
            cells = where & (self.s >= row * step) & (self.s < (row + 1) * step)
            if cells.any():
                reached = min(reached, float((self.loss[cells] >= _HALF).mean()))
            depth += reached * step
        return depth


Told = tuple[str, str]
"""The key of a stage, or nothing, and why."""


def _suggested(scale: Scale, lost: _Lost, head: Head) -> Suggestion:
    stage, because = _RULES[scale.key](lost)
    if not stage:
        return Suggestion(scale.key, "", 0.0, because)
    shape = pattern_start(scale.stage(stage).pattern, head).loss
    both, either = np.minimum(lost.loss, shape), np.maximum(lost.loss, shape)
    return Suggestion(scale.key, stage, float((both * lost.area).sum() / (either * lost.area).sum()), because)


def _beyond_every_scale(lost: _Lost) -> str:
    """Why no scale of these names such a map; empty when one may."""
    if _patchy(lost):
        return "The map shows separate patches with hair around them; this scale names one connected place."
    top, rim = lost.mean(lost.box(0.05, 0.65, 0, 0.20)), lost.mean(_rim(lost))
    if rim >= 15 and rim >= 0.6 * top:
        return "The hair is thinner at the sides and the back as well; this scale names a top that thins alone."
    return ""


def _rim(lost: _Lost) -> Where:
    return INSIDE & ((np.abs(lost.t) > 0.40) | (lost.s > 0.90))


def _patchy(lost: _Lost) -> bool:
    """Whether a third or more of the loss lies in places on one side of the midline with hair all around."""
    from scipy.ndimage import binary_dilation, label

    around = np.ones((3, 3), dtype=bool)
    places, _ = label(INSIDE & (lost.loss >= _HALF), structure=around)
    sizes = np.bincount(places.ravel())
    weight = lost.loss * lost.area
    patches = 0.0
    for number in np.flatnonzero(sizes[1:] >= _LEAST_PATCH) + 1:
        place = places == number
        is_crossed = (lost.t[place] > 0).any() and (lost.t[place] < 0).any()
        reaches_hairline = lost.s[place].min() < 0.05
        if is_crossed or reaches_hairline:
            continue
        edge = binary_dilation(place, around, 5) & ~binary_dilation(place, around, 3) & INSIDE
        if lost.loss[edge].mean() < 20:
            patches += weight[place].sum()
    return bool(patches >= weight.sum() / 3)


def _ludwig(lost: _Lost) -> Told:
    if refusal := _front_gone(lost):
        return "", refusal
    stage = _reached(_middle(lost), ((20, "I"), (45, "II"), (78, "III")))
    left = _left(lost.mean(_middle_of_the_top(lost)), "in the middle of the top")
    if not stage:
        return "", f"{left}; this scale begins where that place as a whole has thinned."
    return stage, f"{left}, and the front hairline is kept."


def _sinclair(lost: _Lost) -> Told:
    if refusal := _front_gone(lost):
        return "", refusal
    part, beside = lost.most_of(lost.box(0.22, 0.48, 0, 0.02)), lost.most_of(lost.box(0.20, 0.50, 0.06, 0.10))
    front, top = lost.mean(lost.box(0.05, 0.18, 0, 0.06)), lost.most_of(lost.box(0.08, 0.60, 0, 0.16))
    if part < 25:
        return "", "Along the part the hair is hardly thinner than elsewhere; this scale looks at the part."
    if part < 30 or beside < 22:
        return "2", f"{_left(part, 'along the part')}, and the hair beside it is denser."
    if top >= 75:
        return "5", f"{_left(top, 'on the whole top')}."
    if front >= 80:
        return "4", f"{_left(front, 'at the front end of the part')}, {_share(beside)} beside the part."
    return "3", f"{_left(part, 'along the part')}, {_share(beside)} on both sides of it."


def _norwood(lost: _Lost) -> Told:
    """Types by the temples, the crown and the band between them; type A by the front as a whole. The higher counts."""
    temples, front, crown = _temple_depth(lost), _front_depth(lost), lost.most_of(_crown(lost))
    if temples < 0.045 and (crown < 45 or _middle(lost) >= 30):
        return "", "The temples are kept; this scale names where they recede, or a crown that thins by itself."
    by_type, as_whole = _norwood_type(lost, temples, crown), _norwood_type_a(min(temples, front))
    is_whole = _degree(as_whole) > _degree(by_type) or (as_whole != "" and _degree(as_whole) == _degree(by_type))
    if crown >= 45 and _degree(as_whole) == _degree(by_type):
        is_whole = False  # type A has no place of its own on the crown
    stage = as_whole if is_whole else by_type
    said = []
    if temples >= 0.03:
        said.append(f"the temples have receded about {lost.in_mm(temples)} mm")
    if is_whole:
        said.append(f"the middle of the front about {lost.in_mm(front)} mm")
    if crown >= 45:
        said.append(f"{_share(lost.mean(_crown(lost)))} of the hair is left on the crown")
    if _degree(stage) >= 4 and not is_whole:
        said.append(f"{_share(_band(lost))} between front and crown")
    sentence = ", ".join(said)
    return stage, f"{sentence[0].upper()}{sentence[1:]}."


def _norwood_type(lost: _Lost, temples: float, crown: float) -> str:
    if crown < 45:
        return _reached(temples, ((0.045, "II"), (0.10, "III")))
    band, sides = _band(lost), lost.mean(lost.box(0.25, 0.60, 0.27, 0.31))
    if temples < 0.15:
        return "III vertex"
    if temples < 0.17 or band < 25:
        return "IV"
    if band < 75:
        return "V"
    return "VI" if sides < 60 else "VII"


def _norwood_type_a(depth: float) -> str:
    return _reached(depth, ((0.04, "IIa"), (0.11, "IIIa"), (0.21, "IVa"), (0.33, "Va")))


def _olsen(lost: _Lost) -> Told:
    if refusal := _front_gone(lost):
        return "", refusal
    front, top = lost.mean(lost.box(0.05, 0.18, 0, 0.12)), lost.most_of(lost.box(0.25, 0.55, 0.10, 0.16))
    is_accented = front >= 25 and front >= top + 15
    if not is_accented and top < 20:
        return "", "Neither the front nor the full width of the top has thinned much; this scale compares the two."
    stage = "diffuse" if not is_accented else "front" if top < 20 else "mixed"
    return stage, f"{_left(front, 'behind the front hairline')}, {_share(top)} on the sides of the top."


_RULES: Final[dict[str, Callable[[_Lost], Told]]] = {
    LUDWIG.key: _ludwig,
    SINCLAIR.key: _sinclair,
    NORWOOD.key: _norwood,
    OLSEN.key: _olsen,
}


def _front_gone(lost: _Lost) -> str:
    """Why a scale of the top alone does not name this map; empty while the front hairline is kept."""
    if _temple_depth(lost) >= 0.05:
        return "The temples have receded; this scale names thinning behind a front hairline that is kept."
    if _front_depth(lost) >= 0.20:
        return "The front hairline has gone; this scale names thinning behind one that is kept."
    return ""


def _temple_depth(lost: _Lost) -> float:
    """Of the temple that has receded less: these scales name both together."""
    strip = lost.box(0, 0.36, 0.15, 0.24)
    return min(lost.depth(strip & (lost.t > 0), 0.36), lost.depth(strip & (lost.t < 0), 0.36))


def _front_depth(lost: _Lost) -> float:
    return lost.depth(lost.box(0, 0.60, 0, 0.08), 0.60)


def _crown(lost: _Lost) -> Where:
    return INSIDE & (np.hypot(lost.s - 0.64, lost.t) <= 0.09)


def _band(lost: _Lost) -> float:
    return lost.most_of(lost.box(0.33, 0.45, 0, 0.14))


def _middle_of_the_top(lost: _Lost) -> Where:
    return lost.box(0.22, 0.52, 0, 0.09)


def _middle(lost: _Lost) -> float:
    return lost.most_of(_middle_of_the_top(lost))


def _reached(value: float, steps: tuple[tuple[float, str], ...]) -> str:
    """The last step whose threshold the value has reached, empty before the first."""
    return next((stage for threshold, stage in reversed(steps) if value >= threshold), "")


def _degree(stage: str) -> int:
    """Of a type of Norwood; 0 for none."""
    return NORWOOD.stage(stage).degree if stage else 0


def _left(lost_percent: float, where: str) -> str:
    """The first half of a sentence: how much hair is left there."""
    share = _share(lost_percent)
    return f"{share[0].upper()}{share[1:]} of the hair is left {where}"


def _share(lost_percent: float) -> str:
    """How much is left, to five percent: a map painted by hand tells no more."""
    left = 5 * round((100 - lost_percent) / 5)
    return {0: "hardly any", 50: "about half", 100: "nearly all"}.get(left, f"about {left} %")
