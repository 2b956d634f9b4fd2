"""How does a loss map look on paper and on screen: the flat chart and five views of the head, as SVG.

Every picture is a string that carries no style beyond presentation attributes: a strict content policy takes it, it
prints right in greyscale, and a style sheet may still recolour it by class:

- `scalp-picture` the svg; `scalp-label` words, `scalp-plate` what is behind them
- `scalp-figure` face, ears and neck, `scalp-lines` the lines in them
- `density-0` to `density-4` the five steps of remaining hair, `scalp-hairs` the strokes on them
- `scalp-shade` shadow, `scalp-edge` outline and hairline, `scalp-zone` borders of zones

Nothing is told by tone alone: the more hair remains the more strokes are drawn (none, then one, two, three and four of
every four), and the chart prints each zone's percentage. Lengths are millimetres on the head; y runs down as in SVG.
"""

from functools import lru_cache
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from clients.scalp.contours import outlines_at_least
from clients.scalp.field import on_picture, shades, values_at
from clients.scalp.figure import figure_before, figure_behind
from clients.scalp.grid import Floats, disk_coordinates, unit_normals
from clients.scalp.head import Head
from clients.scalp.loss_map import LossMap
from clients.scalp.regions import ZONES, zone_borders, zone_means
from clients.scalp.svg import INK, PAPER, Box, path, path_data, svg, words
from clients.scalp.views import View, view_named


class DensityStep(NamedTuple):
    """One step of the scale: `low` up to `high` percent remaining, painted by the brush of `brush` percent."""

    low: int
    high: int
    brush: int
    label: str
    fill: str


DENSITY_STEPS: Final = (
    DensityStep(0, 20, 0, "no hair", "#f8ecdd"),
    DensityStep(20, 40, 25, "a quarter left", "#e9cdad"),
    DensityStep(40, 60, 50, "half left", "#cfa47a"),
    DensityStep(60, 80, 75, "three quarters left", "#ab7a52"),
    DensityStep(80, 100, 100, "full", "#7d5539"),
)
"""The one scale of remaining hair: a single warm hue, darker where more remains. The head on screen has the same."""


class Detail(NamedTuple):
    """How finely a picture is drawn: the grid its outlines are found on, strokes on a full head, tones of shadow."""

    rows: int
    columns: int
    hairs: int
    shades: int


FINE: Final = Detail(48, 72, 620, 6)
CARD: Final = Detail(32, 48, 300, 3)

_HAIR_COLOUR: Final = "#3b281b"
_HAIR_LENGTH: Final = 0.075  # of the unit hemisphere, 7 to 9 mm
_WHORL: Final = np.array([-0.42, 0.0, 0.9075])  # hair grows away from here, about 62 % along the midline
TOP_BOX: Final = Box(-122, -122, 244, 244)
SIDE_BOX: Final = Box(-122, -136, 244, 292)
CHART_RADIUS: Final = 100.0


def draw_view(loss_map: LossMap, head: Head, view: str, *, title: str, size: float | None = None) -> str:
    """The head from one side with its loss map; `view` is a key of VIEWS, `size` its width in CSS pixels."""
    return draw_view_with(loss_map, head, view_named(view), "", title=title, size=size)


def draw_view_with(
    loss_map: LossMap,
    head: Head,
    view: View,
    laid_on: str,
    *,
    title: str,
    size: float | None = None,
    detail: Detail = FINE,
) -> str:
    """The same with something more laid on the scalp, as SVG in picture coordinates of `view`."""
    content = figure_behind(head, view) + _scalp(loss_map, head, view, detail) + laid_on + figure_before(head, view)
    box = TOP_BOX if view.key == "top" else SIDE_BOX
    return svg(content + sides_named(view), title=title, box=box, size=size)


def draw_flat_map(loss_map: LossMap, head: Head, *, title: str, size: float | None = None) -> str:
    """The whole scalp as a flat equal-area chart, forehead up, the client's left on the left.

    Equal pieces of the chart are equal pieces of the unit hemisphere; each zone has its mean percentage printed, by
    area on this head.
    """
    turn, rise = np.linspace(0, np.pi, FINE.columns), np.linspace(-1, 1, FINE.rows)
    disk = np.stack(np.broadcast_arrays(np.sin(turn) * rise[:, None], np.cos(turn)), axis=-1)
    picture = on_chart(disk)
    hairs = np.stack([disk_coordinates(part) for part in np.moveaxis(_hairs(FINE.hairs).strokes, 1, 0)], axis=1)
    drawn = _hairs_drawn(loss_map, _hairs(FINE.hairs))
    content = (
        _density_fills(values_at(loss_map.density, disk), picture)
        + _hair_path(list(on_chart(hairs[drawn])))
        + path([picture[0], picture[-1]], closed=False, kind="scalp-edge", fill="none", stroke="#4a3728")
        + zone_lines()
        + "".join(_zone_words(zone, percent) for zone, percent in enumerate(zone_means(loss_map, head).values()))
        + words("front", 0, -106, "middle")
        + words("nape", 0, 113, "middle")
        + words("left", -104, 3, "end")
        + words("right", 104, 3, "start")
    )
    return svg(content, title=title, box=Box(-128, -120, 256, 240), size=size)


def draw_density_key(*, title: str, size: float | None = None) -> str:
    """What the five steps mean: a swatch of each with its strokes, the percentages and the words."""
    swatches = []
    for number, step in enumerate(DENSITY_STEPS):
        left = 62 * number
        strokes = [
            np.array([[left + x, 6 + y], [left + x + 2, 12 + y]], dtype=float)
            for y in (0, 9)
            for x in range(8, 54, 6)
            if (x // 6 + y) % 4 < number
        ]
        swatches.append(
            f'<rect class="density-{number}" x="{left + 1}" y="1" width="58" height="24" fill="{step.fill}"'
            f' stroke="#4a3728" stroke-width=".6"/>'
            + _hair_path(strokes)
            + words(f"{step.low}–{step.high} %", left + 30, 35, "middle", size=8)
            + words(step.label, left + 30, 44, "middle", size=6.5)
        )
    return svg("".join(swatches), title=title, box=Box(0, 0, 308, 48), size=size)


@lru_cache(maxsize=32)  # a page of candidates draws one head with many bases
def _scalp(loss_map: LossMap, head: Head, view: View, detail: Detail) -> str:
    normals = view.seen_normals(head, detail.rows, detail.columns)
    points = normals * head.semi_axes_mm
    picture = view.project(points)
    hairs = _hairs(detail.hairs)
    strokes = hairs.strokes * head.semi_axes_mm
    drawn = _hairs_drawn(loss_map, hairs) & (view.facing(head, strokes) > 0.08).all(axis=1)
    return (
        _density_fills(values_at(loss_map.density, disk_coordinates(normals)), picture)
        + _hair_path(list(view.project(strokes[drawn])))
        + shades(view.facing(head, points), picture, detail.shades)
        + path([picture[-1], picture[0]], closed=False, kind="scalp-edge", fill="none", stroke="#4a3728")
    )


def _density_fills(remaining: Floats, picture: Floats) -> str:
    """The steps one upon the other, each where at least its lowest percentage remains, over the one below."""
    fills = []
    for number, step in enumerate(DENSITY_STEPS):
        outlines = on_picture(picture, outlines_at_least(remaining, step.low - 1e-9))
        fills.append(path(outlines, closed=True, kind=f"density-{number}", fill=step.fill))
    return "".join(fills)


class _Hairs(NamedTuple):
    """Strokes as unit normals of root and tip, (n, 2, 3), and the quarter 0 to 3 in which each comes."""

    strokes: Floats
    quarter: NDArray[np.int64]


@lru_cache(maxsize=4)
def _hairs(count: int) -> _Hairs:
    """Evenly strewn strokes, the same left and right, of which every quarter is evenly strewn by itself.

    Roots follow the additive recurrence R2 (M. Roberts 2018, MEMORY) on the left half of the disk.
    """
    n = np.arange(1, count // 2)
    ratio = 1.32471795724474602596  # the plastic number, root of x³ = x + 1
    disk = np.stack([2 * (n / ratio % 1) - 1, n / ratio**2 % 1], axis=-1)
    quarter = 4 * n // (count // 2)
    kept = (np.hypot(*disk.T) < 0.985) & (disk[:, 1] > 0.012)
    disk = np.concatenate([disk[kept], disk[kept] * (1, -1)])
    roots = unit_normals(disk[:, 0], disk[:, 1])
    flow = (roots @ _WHORL)[:, None] * roots - _WHORL
    tips = roots + _HAIR_LENGTH * flow / np.maximum(np.linalg.norm(flow, axis=-1, keepdims=True), 0.05)
    tips[:, 2] = np.maximum(tips[:, 2], 0)
    tips /= np.linalg.norm(tips, axis=-1, keepdims=True)
    return _Hairs(np.stack([roots, tips], axis=1), np.tile(quarter[kept], 2))


def _hairs_drawn(loss_map: LossMap, hairs: _Hairs) -> NDArray[np.bool_]:
    steps = np.array([step.low for step in DENSITY_STEPS[1:]])
    return np.asarray(values_at(loss_map.density, disk_coordinates(hairs.strokes[:, 0])) >= steps[hairs.quarter] - 1e-9)


def _hair_path(strokes: list[Floats]) -> str:
    return (
        f'<path class="scalp-hairs" fill="none" stroke="{_HAIR_COLOUR}" stroke-width=".6" stroke-opacity=".7"'
        f' stroke-linecap="round" d="{path_data(strokes, closed=False)}"/>'
    )


def on_chart(disk: Floats) -> Floats:
    """Chart coordinates (x right, y down) of disk points (X forward, Y left)."""
    return disk[..., ::-1] * -CHART_RADIUS


@lru_cache(maxsize=1)
def zone_lines() -> str:
    """The borders of the nine zones on the chart."""
    lines = [on_chart(disk_coordinates(border)) for border in zone_borders()]
    wide = path(lines, closed=False, kind="scalp-zone", fill="none", stroke=PAPER, more='stroke-opacity=".55"')
    return wide + path(
        lines, closed=False, kind="scalp-zone", fill="none", stroke=INK, more='stroke-width=".5" stroke-dasharray="1 2"'
    )


_ZONE_PLACES: Final = (
    (0.895, 0.0), (0.58, 0.62), (0.58, -0.62), (0.36, 0.0), (-0.02, 0.75), (-0.02, -0.75), (-0.27, 0.0), (-0.68, 0.0),
    (-0.92, 0.0),
)  # fmt: skip  # where each zone's words stand, in disk coordinates, in the order of ZONES


def _zone_words(zone: int, percent: float) -> str:
    """Name and percentage in the middle of a zone, on a plate that keeps them readable on any step."""
    x, y = on_chart(np.array(_ZONE_PLACES[zone])).tolist()
    lines = [f"{ZONES[zone].label} {percent:.0f} %"] if y < -80 or y > 60 else [ZONES[zone].label, f"{percent:.0f} %"]
    width, height = 4.1 * max(len(line) for line in lines) + 4, 8.5 * len(lines) + 1.5
    plate = (
        f'<rect class="scalp-plate" x="{x - width / 2:.1f}" y="{y - height / 2:.1f}" width="{width:.1f}"'
        f' height="{height:.1f}" rx="2.5" fill="{PAPER}" fill-opacity=".86"/>'
    )
    first = y - height / 2 + 7.3
    return plate + "".join(words(line, x, first + 8.5 * n, "middle", size=7) for n, line in enumerate(lines))


def sides_named(view: View) -> str:
    """Her left and right in the pictures that show both sides."""
    left_is_left = {"top": True, "back": True, "front": False}.get(view.key)
    if left_is_left is None:
        return ""
    x = -1 if left_is_left else 1
    return words("left", 106 * x, 76, "middle") + words("right", -106 * x, 76, "middle")
