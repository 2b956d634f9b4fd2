"""What is drawn round the scalp so that one sees which way she looks: a quiet face, ears and neck.

Line drawings by hand, one for each view, for the assumed head and stretched to this one. They say nothing about the
client. Millimetres of the picture: x right, y down, from the middle of the hairline plane (`views`).
"""

from typing import Final, NamedTuple

import numpy as np

from clients.scalp.grid import Floats
from clients.scalp.head import Head
from clients.scalp.tapes import ASSUMED_TAPES
from clients.scalp.views import View

_SKIN: Final = "#f4ede5"
_LINE: Final = "#9c8e82"


class _Figure(NamedTuple):
    """Shapes and open lines behind the scalp, and those before it; each shape is filled and outlined."""

    shapes_behind: tuple[str, ...] = ()
    lines_behind: tuple[str, ...] = ()
    shapes_before: tuple[str, ...] = ()
    lines_before: tuple[str, ...] = ()


def _both(*shapes: str) -> tuple[str, ...]:
    """Shapes of the right half of a picture, and their mirror images."""
    return (*shapes, *(_mirrored(shape) for shape in shapes))


def _mirrored(shape: str) -> str:
    """A path of absolute commands with x and y in turn, mirrored at x = 0."""
    parts = []
    is_x = True
    for word in shape.split():
        if word.isalpha():
            parts.append(word)
            continue
        parts.append(f"{-float(word):g}" if is_x else word)
        is_x = not is_x
    return " ".join(parts)


_EAR_FROM_THE_FRONT = "M 80 8 C 88 -2 97 4 95 20 C 94 36 88 54 75 55 Z"
_EAR_FROM_THE_BACK = "M 79 14 C 88 2 97 8 95 26 C 93 44 84 62 69 56 Z"
_EAR_FROM_ABOVE = "M 80 -4 C 88 -8 94 2 93 14 C 92 24 86 30 79 30 Z"
_EAR_FROM_THE_SIDE = (
    "M 4 42 C 2 34 8 28 7 18 C 6 6 -8 0 -18 8 C -28 16 -26 34 -18 48 C -14 56 -12 68 -2 66 C 6 64 5 52 4 42 Z"
)

_SIDE = _Figure(
    shapes_behind=(
        # the profile from the hairline round to the nape, open at the foot of the neck
        "M 70 -56 C 88 -40 97 -24 99 -8 C 100 0 95 6 96 12 C 100 26 108 36 112 45 C 113 51 107 54 99 55"
        " C 98 60 103 65 102 69 C 101 72 97 73 97 74 C 101 77 101 82 98 85 C 95 89 97 94 98 100 C 98 111 91 118 80 118"
        " C 64 118 52 116 42 113 C 37 130 39 150 46 170 L -80 170 C -71 136 -72 90 -79 44 L -40 10 Z",
    ),
    lines_behind=(
        "M 78 8 C 82 12 88 13 92 11",  # closed eye
        "M 76 -6 C 82 -11 90 -11 95 -8",  # brow
        "M 97 55 C 93 54 92 49 95 46",  # nostril
        "M 97 74 C 92 74 88 75 86 76",  # mouth
        "M 42 113 C 30 107 18 97 11 80",  # jaw
    ),
    shapes_before=(_EAR_FROM_THE_SIDE,),
    lines_before=("M 0 20 C -4 10 -16 10 -19 22 C -20 34 -14 40 -9 50 C -7 55 -5 54 -3 50",),
)
_FIGURES: Final = {
    "right": _SIDE,
    "front": _Figure(
        shapes_behind=(
            "M 46 112 C 45 132 48 150 58 170 L -58 170 C -48 150 -45 132 -46 112 Z",
            *_both(_EAR_FROM_THE_FRONT),
            "M 83 -6 C 83 24 79 58 67 88 C 58 110 26 139 0 139"
            " C -26 139 -58 110 -67 88 C -79 58 -83 24 -83 -6 L 0 -40 Z",
        ),
        lines_behind=_both(
            "M 17 52 C 26 58 38 58 47 52",  # closed eye
            "M 15 38 C 25 31 40 31 50 37",  # brow
            "M 10 84 C 11 89 6 91 0 92",  # nose
            "M 0 112 C 7 112 13 111 18 109",  # mouth
        ),
    ),
    "back": _Figure(
        shapes_behind=(
            *_both(_EAR_FROM_THE_BACK),
            "M 82 4 C 81 38 66 70 54 88 C 48 108 49 142 60 170"
            " L -60 170 C -49 142 -48 108 -54 88 C -66 70 -81 38 -82 4 Z",
        ),
    ),
    "top": _Figure(
        shapes_behind=(
            *_both(_EAR_FROM_ABOVE),
            "M -7 -98 C -6 -108 6 -108 7 -98 Z",
            "M 76 -30 C 70 -74 36 -100 0 -100 C -36 -100 -70 -74 -76 -30 Z",
        ),
    ),
}


def figure_behind(head: Head, view: View) -> str:
    """What the scalp hides in part: face, neck, and ears where they are not nearest."""
    figure = _figure(view)
    return _drawn(head, view, figure.shapes_behind, figure.lines_behind)


def figure_before(head: Head, view: View) -> str:
    """What lies over the scalp: the near ear of a side view."""
    figure = _figure(view)
    return _drawn(head, view, figure.shapes_before, figure.lines_before)


def _figure(view: View) -> _Figure:
    return _FIGURES["right" if view.key == "left" else view.key]


def _drawn(head: Head, view: View, shapes: tuple[str, ...], lines: tuple[str, ...]) -> str:
    if not shapes and not lines:
        return ""
    across, up = _reach(head, view) / _reach(Head.from_tapes(*ASSUMED_TAPES), view)
    across = -across if view.key == "left" else across
    filled = "".join(f'<path d="{shape}"/>' for shape in shapes)
    drawn = "".join(f'<path d="{line}"/>' for line in lines)
    return (
        f'<g class="scalp-figure" transform="scale({across:.3f} {up:.3f})" fill="{_SKIN}" stroke="{_LINE}" '
        f'stroke-width="1" stroke-linecap="round" stroke-linejoin="round">{filled}'
        f'<g class="scalp-lines" fill="none">{drawn}</g></g>'
    )


def _reach(head: Head, view: View) -> Floats:
    """How far the head's outline reaches across and up in the picture, mm."""
    return np.asarray(np.linalg.norm(view.axes[:2] * head.semi_axes_mm, axis=1))
