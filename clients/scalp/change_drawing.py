"""How does the change between two loss maps look, as SVG, on the flat chart?

One scale runs both ways from paper: to a burnt orange where there is less hair than before, to a blue where there is
more; the two are told apart by every kind of colour sight. Nothing is told by tone alone: minus signs stand where there
is less, plus signs where there is more, larger ones where it is far less or far more. The same rules as in `drawing`
hold for the SVG itself; its further classes are `change-0` to `change-4` and `change-signs`. Points are percent
remaining, now less then.
"""

from typing import Final, NamedTuple

import numpy as np

from clients.scalp.contours import outlines_at_least
from clients.scalp.drawing import FINE, on_chart, zone_lines
from clients.scalp.field import on_picture, values_at
from clients.scalp.grid import DISK_X, DISK_Y, GRID, INSIDE, Floats
from clients.scalp.svg import Box, path, path_data, svg, words


class ChangeStep(NamedTuple):
    """One step of the scale: from `low` points up to the next step's; painted on the turning head at `at` points."""

    low: float
    at: int
    label: str
    meaning: str
    fill: str


CHANGE_STEPS: Final = (
    ChangeStep(-100, -50, "far less hair", "38 points less or more", "#a8501a"),
    ChangeStep(-37.5, -25, "less hair", "13 to 37 points less", "#e6ac78"),
    ChangeStep(-12.5, 0, "much the same", "within 12 points", "#f3eee7"),
    ChangeStep(12.5, 25, "more hair", "13 to 37 points more", "#8db9dc"),
    ChangeStep(37.5, 50, "far more hair", "38 points more or more", "#275f9e"),
)
"""The one scale of change; the head on screen has the same."""

SIGN_CELLS: Final = tuple(
    row * GRID + column
    for row in range(1, GRID, 4)
    for column in range(1 + row // 4 % 2 * 2, GRID, 4)
    if INSIDE[row, column]
)
"""The cells on which a sign may stand: every fourth of every fourth row, each row shifted by half against the next."""

_EDGE: Final = "#4a3728"


def draw_flat_change(points: Floats, *, title: str, size: float | None = None) -> str:
    """The whole scalp as a flat equal-area chart, forehead up, the client's left on the left."""
    turn, rise = np.linspace(0, np.pi, FINE.columns), np.linspace(-1, 1, FINE.rows)
    disk = np.stack(np.broadcast_arrays(np.sin(turn) * rise[:, None], np.cos(turn)), axis=-1)
    picture = on_chart(disk)
    places = on_chart(np.stack([DISK_X, DISK_Y], axis=-1).reshape(-1, 2)[list(SIGN_CELLS)])
    content = (
        _fills(values_at(points, disk), picture)
        + _signs(points, places)
        + path([picture[0], picture[-1]], closed=False, kind="scalp-edge", fill="none", stroke=_EDGE)
        + zone_lines()
        + words("front", 0, -106, "middle")
        + words("nape", 0, 113, "middle")
        + words("left", -104, 3, "end")
        + words("right", 104, 3, "start")
    )
    return svg(content, title=title, box=Box(-128, -120, 256, 240), size=size)


def _fills(points: Floats, picture: Floats) -> str:
    """The steps one upon the other, each where there are at least its lowest points, over the one below."""
    return "".join(
        path(
            on_picture(picture, outlines_at_least(points, step.low - 1e-9)),
            closed=True,
            kind=f"change-{number}",
            fill=step.fill,
        )
        for number, step in enumerate(CHANGE_STEPS)
    )


def _signs(points: Floats, places: Floats) -> str:
    """A minus or a plus at every place whose cell has changed, as strokes: they print and scale with the rest."""
    changed = points.ravel()[list(SIGN_CELLS)]
    strokes = []
    for (x, y), change in zip(places.tolist(), changed.tolist(), strict=True):
        if abs(change) < CHANGE_STEPS[3].low:
            continue
        arm = 3.4 if abs(change) >= CHANGE_STEPS[4].low else 2.0
        strokes.append(np.array([[x - arm, y], [x + arm, y]]))
        if change > 0:
            strokes.append(np.array([[x, y - arm], [x, y + arm]]))
    data = path_data(strokes, closed=False)
    if not data:
        return ""
    return "".join(
        f'<path class="change-signs" fill="none" stroke="{colour}" stroke-width="{width}" stroke-linecap="round"'
        f' d="{data}"/>'
        for colour, width in (("#fffaf2", "2.2"), ("#2b211d", "1"))
    )
