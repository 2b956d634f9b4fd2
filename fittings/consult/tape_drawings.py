"""How is each tape laid: three small drawings on this client's own head, the tape as a thick line."""

from __future__ import annotations

import math
from functools import lru_cache
from typing import Any, NamedTuple

import numpy as np

from clients.scalp.drawing import CARD, draw_view_with
from clients.scalp.grid import Floats
from clients.scalp.head import Head
from clients.scalp.loss_map import LossMap
from clients.scalp.svg import path
from clients.scalp.views import view_named
from fittings.consult.map_form import head_of
from fittings.consult.step_form import StepForm


class _TapeLine(NamedTuple):
    view: str
    title: str
    along: tuple[int, int]  # the two axes whose ellipse the tape follows
    turn: tuple[float, float]  # where on it the drawn part begins and ends


_LINES = {
    "circumference_mm": _TapeLine(
        "left", "From her left: the tape runs level along the hairline, above the ears", (0, 1), (0.0, math.pi)
    ),
    "front_to_nape_mm": _TapeLine(
        "left",
        "From her left: the tape runs from the front hairline over the crown to the nape",
        (0, 2),
        (0.0, math.pi),
    ),
    "ear_to_ear_mm": _TapeLine(
        "front",
        "From the front: the tape runs from the top of one ear over the head to the other",
        (1, 2),
        (0.0, math.pi),
    ),
}


def drawn_beside_each(form: StepForm) -> dict[str, Any]:
    """Each tape's field with its drawing, in the order they are taken."""
    drawings = tape_drawings(head_of(form.assessment))
    return {"tapes": [(form[name], drawings[name]) for name in _LINES]}


@lru_cache(maxsize=16)
def tape_drawings(head: Head) -> dict[str, str]:
    """An SVG picture by the name of each tape."""
    return {name: _drawn(head, line) for name, line in _LINES.items()}


def _drawn(head: Head, line: _TapeLine) -> str:
    view = view_named(line.view)
    angles = np.linspace(*line.turn, 60)
    points: Floats = np.zeros((60, 3))
    first, second = line.along
    points[:, first] = head.semi_axes_mm[first] * np.cos(angles)
    points[:, second] = head.semi_axes_mm[second] * np.sin(angles)
    tape = path(
        [view.project(points)],
        closed=False,
        kind="tape-line",
        fill="none",
        stroke="#6a3a66",
        more='stroke-width="7" stroke-linecap="round" stroke-dasharray="13 8"',
    )
    return draw_view_with(LossMap.full(), head, view, tape, title=line.title, size=150, detail=CARD)
