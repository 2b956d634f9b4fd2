"""What was measured, for the client's paper: tapes, the share of hair that is gone, and pictures of her head.

Numbers come from the signed assessment alone; where the base sits is told by the caller as a placement.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from django.utils.safestring import SafeString, mark_safe

from clients.models import Assessment
from clients.scalp.drawing import DENSITY_STEPS, draw_density_key, draw_view
from clients.scalp.head import Head
from clients.scalp.loss_map import LossMap
from clients.scalp.regions import ZONES, zone_means
from clients.scalp.salt import salt_score
from clients.scalp.scales import named
from fittings.paper.salon_words import SalonWords, joined
from fittings.placement.drawing import draw_placement
from fittings.placement.placing import Placement
from pieces.bases.construction import BaseShape

# view, what its picture is called, and from where it is seen
_SIDES = (
    ("front", "Front", "from the front"),
    ("back", "Back", "from behind"),
    ("left", "Your left", "from your left"),
    ("right", "Your right", "from your right"),
)
_TAPES = {
    "circumference_mm": "Round the hairline",
    "front_to_nape_mm": "Front to nape",
    "ear_to_ear_mm": "Ear to ear, over the top",
}
_LEAST_ZONES = 3
_WORDS_IN_PICTURE = re.compile(r'<text class="scalp-label".*?</text>')


@dataclass(frozen=True)
class Fact:
    """One line of a paper: what, and what is said of it."""

    label: str
    words: str


@dataclass(frozen=True)
class Picture:
    """A drawing with its caption; what it shows is its accessible name."""

    caption: str
    svg: SafeString


@dataclass(frozen=True)
class Base:
    """A base in the seat in which it is drawn on the head, and what it is called."""

    name: str
    shape: BaseShape
    placement: Placement


@dataclass(frozen=True)
class Loss:
    """The share of scalp hair that is gone, in all and by side, and the zones where least remains.

    `by_side` is empty where nothing was painted, `least` where no zone has thinned.
    """

    says: str
    by_side: tuple[Fact, ...] = ()
    least: str = ""


@dataclass(frozen=True)
class Measured:
    """What the tapes, the map and the pictures say."""

    tapes: tuple[Fact, ...]
    assumed: str
    loss: Loss
    pattern: str
    """What the stylist called the pattern, in one line; empty where she left it."""
    from_above: Picture
    from_the_sides: tuple[Picture, ...]
    density_key: Picture


def measured(assessment: Assessment, head: Head, loss_map: LossMap, base: Base | None, words: SalonWords) -> Measured:
    """Her head as it was measured on the day, with the chosen base on it if there is one."""
    return Measured(
        tapes=tapes_told(head, words),
        assumed=_assumed(head),
        loss=loss_told(assessment, head, loss_map),
        pattern=pattern_told(assessment),
        from_above=from_above(head, loss_map, base),
        from_the_sides=tuple(_picture(*side, head, loss_map, base) for side in _SIDES),
        density_key=_density_key(),
    )


def tapes_told(head: Head, words: SalonWords) -> tuple[Fact, ...]:
    """The three tapes; one that was not taken is said to be assumed."""
    return tuple(_tape(name, head, words) for name in _TAPES)


def from_above(head: Head, loss_map: LossMap, base: Base | None = None) -> Picture:
    """Her head with the map, and a base on it if there is one, seen from above."""
    return _picture("top", "From above", "from above", head, loss_map, base)


def _tape(name: str, head: Head, words: SalonWords) -> Fact:
    length = words.length(getattr(head.tapes_mm, name))
    return Fact(_TAPES[name], f"{length}, assumed" if name in head.assumed else length)


def _assumed(head: Head) -> str:
    if not head.assumed:
        return ""
    what = "All three lengths are" if len(head.assumed) == len(_TAPES) else "A length marked “assumed” is"
    return f"{what} an average head's, for no tape was taken; what follows from it is an estimate."


def loss_told(assessment: Assessment, head: Head, loss_map: LossMap) -> Loss:
    """The share that is gone, in all, by side and by zone; that nothing was painted where nothing was."""
    if not assessment.map_painted:
        return Loss("No map of your hair was painted, so no share is given.")
    salt = salt_score(loss_map, head)
    sides = (("Top", salt.top), ("Left", salt.left), ("Right", salt.right), ("Back", salt.back))
    least = sorted((percent, zone) for zone, percent in _thinned(loss_map, head).items())[:_LEAST_ZONES]
    return Loss(
        says=f"{_share(salt.total)} of your scalp hair is gone; {_share(100 - salt.total)} remains.",
        by_side=tuple(Fact(side, _share(percent)) for side, percent in sides),
        least=joined([f"{zone} {percent:.0f} %" for percent, zone in least]),
    )


def pattern_told(assessment: Assessment) -> str:
    """What the stylist called the pattern; empty where she left it."""
    if not assessment.scale:
        return ""
    return f"Pattern seen: {named(assessment.scale, assessment.stage)}; a name for it, no diagnosis."


def _thinned(loss_map: LossMap, head: Head) -> dict[str, float]:
    """Zones whose mean is under the full step of the scale, by name, in percent remaining."""
    means = zone_means(loss_map, head)
    return {zone.label.lower(): means[zone.key] for zone in ZONES if means[zone.key] < DENSITY_STEPS[-1].low}


def _share(percent: float) -> str:
    """Whole percent, but neither “0 %” for a little nor “100 %” for not quite all."""
    if 0.05 <= percent < 0.95 or 99.05 < percent <= 99.95:
        return f"{percent:.1f} %"
    return f"{round(percent)} %"


def _picture(view: str, caption: str, seen_from: str, head: Head, loss_map: LossMap, base: Base | None) -> Picture:
    seen = f"Your head {seen_from}: the darker and the more strokes, the more hair remains"
    if base is None:
        drawing = draw_view(loss_map, head, view, title=f"{seen}.")
    else:
        title = f"{seen}. The line is the edge of the base of {base.name}, dots are its clips."
        drawing = draw_placement(head, loss_map, base.shape, base.placement, view, title=title)
    if view != "top":
        drawing = _WORDS_IN_PICTURE.sub("", drawing)  # too small to read there; the caption says which side it is
    return Picture(caption, mark_safe(drawing))  # noqa: S308  # our own drawing; its title is escaped


def _density_key() -> Picture:
    steps = ", ".join(f"{step.low} to {step.high} % {step.label}" for step in DENSITY_STEPS)
    drawing = draw_density_key(title=f"Hair that remains, in five steps: {steps}.")
    return Picture("Hair that remains", mark_safe(drawing))  # noqa: S308  # our own drawing
