"""How is a drawing written down: the few pieces of SVG that the pictures are made of.

Presentation attributes only, no style and no ids, so that many pictures can stand in one page under a strict content
policy. Coordinates are millimetres, x right and y down, written to a tenth.
"""

import html
from typing import Final, NamedTuple

import numpy as np

from clients.scalp.grid import Floats

INK: Final = "#2e2621"
PAPER: Final = "#ffffff"


class Box(NamedTuple):
    """The part of the plane that a picture shows."""

    left: float
    top: float
    width: float
    height: float


def svg(content: str, *, title: str, box: Box, size: float | None = None) -> str:
    """A whole picture; `title` is its accessible name, `size` its width in CSS pixels (the box's own if None)."""
    width = box.width if size is None else size
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="scalp-picture" role="img"'
        f' viewBox="{box.left:g} {box.top:g} {box.width:g} {box.height:g}"'
        f' width="{width:g}" height="{width * box.height / box.width:g}">'
        f"<title>{html.escape(title)}</title>{content}</svg>"
    )


def path(lines: list[Floats], *, closed: bool, kind: str, fill: str, stroke: str = "none", more: str = "") -> str:
    """One path of several polylines (n, 2); "" when there is nothing to draw. `kind` is its class."""
    data = path_data(lines, closed=closed)
    if not data:
        return ""
    more = f" {more}" if more else ""
    return f'<path class="{kind}" fill="{fill}" fill-rule="evenodd" stroke="{stroke}"{more} d="{data}"/>'


def path_data(lines: list[Floats], *, closed: bool) -> str:
    """Path data of polylines, relative and in tenths; points that fall together are one, a line of one point none."""
    parts = []
    for line in lines:
        tenths = np.rint(line * 10).astype(int)
        steps = np.diff(tenths, axis=0)
        steps = steps[steps.any(axis=1)]
        if len(steps):
            x, y = tenths[0].tolist()
            walk = " ".join(f"{_tenths(dx)} {_tenths(dy)}" for dx, dy in steps.tolist())
            parts.append(f"M{_tenths(x)} {_tenths(y)}l{walk}{'z' if closed else ''}")
    return "".join(parts).replace(" -", "-")


def words(text: str, x: float, y: float, anchor: str, *, size: float = 9, weight: str = "normal") -> str:
    """A line of text; `anchor` is start, middle or end."""
    return (
        f'<text class="scalp-label" x="{x:g}" y="{y:g}" text-anchor="{anchor}" font-family="sans-serif"'
        f' font-size="{size:g}" font-weight="{weight}" fill="{INK}">{html.escape(text)}</text>'
    )


def _tenths(tenths: int) -> str:
    """A number of tenths as short as SVG reads it: -5 is -.5, 20 is 2."""
    whole, tenth = divmod(abs(tenths), 10)
    return f"{'-' if tenths < 0 else ''}{whole or ('' if tenth else 0)}{f'.{tenth}' if tenth else ''}"
