"""Heads to paint twice and pairs that were painted, as pictures and words."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from django.utils.safestring import SafeString, mark_safe

from clients.models import Repainting
from clients.repainting import head_painted
from clients.scalp.change_drawing import draw_flat_change
from clients.scalp.comparing import MapChange, map_change
from clients.scalp.drawing import CARD, draw_flat_map, draw_view_with
from clients.scalp.head import Head
from clients.scalp.loss_map import LossMap
from clients.scalp.patterns import PATTERNS, pattern_start
from clients.scalp.views import view_named

_SIDES = (("top", "from above"), ("front", "from the front"), ("left", "from her left"), ("back", "from behind"))
_LABELS = {pattern.key: pattern.label for pattern in PATTERNS}


@dataclass(frozen=True)
class Example:
    """One picture of an example head."""

    key: str
    label: str
    drawing: SafeString


@lru_cache(maxsize=64)
def example_pictures(key: str = "") -> tuple[Example, ...]:
    """Every example from above; with a key that example from four sides. None of them prints a number."""
    head = Head.from_tapes()
    if key:
        sides = _SIDES if key in _LABELS else ()  # an example of before, which is drawn no more
        return tuple(_drawn(key, head, side, f"{_LABELS[key]}, {words}") for side, words in sides)
    return tuple(_drawn(pattern.key, head, "top", pattern.label) for pattern in PATTERNS)


def _drawn(key: str, head: Head, side: str, label: str) -> Example:
    drawing = draw_view_with(pattern_start(key, head), head, view_named(side), "", title=label, size=170, detail=CARD)
    return Example(key, label, mark_safe(drawing))  # noqa: S308  # our own drawing


def whose_head(repainting: Repainting) -> str:
    """“example “Temples””, or the client's name."""
    if repainting.assessment is not None:
        return str(repainting.assessment.client)
    return f"example “{_LABELS.get(repainting.pattern, repainting.pattern)}”"


@dataclass(frozen=True)
class Result:
    """Both paintings of a finished pair, drawn flat, and what lies between them."""

    change: MapChange
    drawings: list[tuple[str, SafeString]]


def result_of(repainting: Repainting) -> Result:
    head = head_painted(repainting)
    first, second = LossMap.from_hex(repainting.first_hex), LossMap.from_hex(repainting.second_hex)
    change = map_change(first, second, head)
    drawings = [
        ("First painting", draw_flat_map(first, head, title="First painting, percent of hair remaining", size=360)),
        ("Second less first", draw_flat_change(change.points, title="What differs between the two", size=360)),
        ("Second painting", draw_flat_map(second, head, title="Second painting, percent of hair remaining", size=360)),
    ]
    return Result(change, [(caption, mark_safe(drawing)) for caption, drawing in drawings])  # noqa: S308  # our own
