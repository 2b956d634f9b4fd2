"""How does a base look on this head, where it sits: its outline and clips drawn over the loss map, as SVG.

Adds to the pictures of `clients.scalp.drawing` the classes `base-outline` and `base-casing` (the line and the paper
round it), `clip-holds` (a filled disc) and `clip-loose` (a ring with a cross). What the head hides is left out. Where
the base sits is `placing`'s to say.
"""

from itertools import pairwise
from typing import Final

import numpy as np
from numpy.typing import NDArray

from clients.scalp.drawing import CARD, FINE, Detail, draw_view_with
from clients.scalp.grid import Floats
from clients.scalp.head import Head
from clients.scalp.loss_map import LossMap
from clients.scalp.svg import PAPER, path
from clients.scalp.views import View, view_named
from fittings.placement.placing import Placement
from fittings.placement.searching import Base

ACCENT: Final = "#502a4d"
_CARD_SIZE: Final = 240
_POINTS_A_SIDE: Final = 40
_CLIP_RADIUS: Final = 4.2
_ON_THE_SCALP_MM: Final = 1.0


def draw_candidate(head: Head, loss_map: LossMap, base_shape: Base, placement: Placement, *, title: str) -> str:
    """The top view for a card, 240 CSS pixels wide, drawn more coarsely so that many fit a page."""
    return _draw(head, loss_map, base_shape, placement, view_named("top"), title, _CARD_SIZE, CARD)


def draw_placement(
    head: Head,
    loss_map: LossMap,
    base_shape: Base,
    placement: Placement,
    view: str,
    *,
    title: str,
    size: float | None = None,
) -> str:
    """The head from one side (a key of VIEWS) with its loss map, the base on it, and its clips."""
    return _draw(head, loss_map, base_shape, placement, view_named(view), title, size, FINE)


def outline_on_scalp(head: Head, base_shape: Base, placement: Placement) -> tuple[Floats, NDArray[np.bool_]]:
    """The base's edge, (n, 3) in mm, round from the middle of its front edge; and where it is on the scalp, (n,).

    A wide cap's edge leaves the scalp beside the ears, where its tape coordinates belong to no point.
    """
    wanted = outline_in_tape(base_shape, placement)
    edge = head.points_at(wanted)
    astray = np.linalg.norm(head.tape_coordinates(edge) - wanted, axis=-1)
    return edge, astray < _ON_THE_SCALP_MM


def outline_in_tape(base_shape: Base, placement: Placement) -> Floats:
    """The base's edge where it sits, (n, 2) tape coordinates in mm, once round from the middle of its front edge."""
    outline = base_shape.outline
    u = outline.length_mm * (1 - np.cos(np.linspace(0, np.pi, _POINTS_A_SIDE))) / 2
    half_width = np.asarray(outline.half_width_mm(outline.length_mm - u if placement.turned else u))
    along = np.concatenate([[u[0]], u, u[::-1], [u[0]]])
    across = np.concatenate([[0], half_width, -half_width[::-1], [0]])
    tape = np.stack([along + placement.set_back_mm, across + placement.side_shift_mm], axis=-1)
    return _filled_in(tape)


def clips_on_scalp(head: Head, base_shape: Base, placement: Placement) -> Floats:
    """The middles of the clips on the scalp, (clips, 3) in mm, in the order of `placement.clips`."""
    return head.points_at(clips_in_tape(base_shape, placement))


def clips_in_tape(base_shape: Base, placement: Placement) -> Floats:
    """The middles of the clips where the base sits, (clips, 2) tape coordinates in mm."""
    places = np.array([(hold.clip.u_mm, hold.clip.v_mm) for hold in placement.clips]).reshape(-1, 2)
    if placement.turned:
        places = np.array([base_shape.outline.length_mm, 0]) - places
    moved: Floats = places + np.array([placement.set_back_mm, placement.side_shift_mm])
    return moved


def _filled_in(tape: Floats, step_mm: float = 3) -> Floats:
    """The same corners with points between them, so that straight edges bend with the scalp."""
    parts = []
    for start, end in pairwise(tape):
        count = max(1, int(np.ceil(np.linalg.norm(end - start) / step_mm)))
        parts.append(start + (end - start) * np.arange(count)[:, None] / count)
    return np.concatenate([*parts, tape[-1:]])


def _draw(
    head: Head,
    loss_map: LossMap,
    base_shape: Base,
    placement: Placement,
    view: View,
    title: str,
    size: float | None,
    detail: Detail,
) -> str:
    edge, on_scalp = outline_on_scalp(head, base_shape, placement)
    shown = _runs(view.project(edge), on_scalp & (view.facing(head, edge) >= 0))
    laid_on = (
        path(shown, closed=False, kind="base-casing", fill="none", stroke=PAPER, more='stroke-width="4.4"')
        + path(shown, closed=False, kind="base-outline", fill="none", stroke=ACCENT, more='stroke-width="2.2"')
        + _clips(head, base_shape, placement, view)
    )
    return draw_view_with(loss_map, head, view, laid_on, title=title, size=size, detail=detail)


def _runs(line: Floats, wanted: NDArray[np.bool_]) -> list[Floats]:
    """The stretches of a line whose points are wanted."""
    starts = np.flatnonzero(np.diff(wanted, prepend=False) & wanted)
    ends = np.flatnonzero(np.diff(wanted, append=False) & wanted)
    return [line[start : end + 1] for start, end in zip(starts, ends, strict=True)]


def _clips(head: Head, base_shape: Base, placement: Placement, view: View) -> str:
    if not placement.clips:
        return ""
    points = clips_on_scalp(head, base_shape, placement)
    dots = []
    for hold, (x, y), facing in zip(
        placement.clips, view.project(points).tolist(), view.facing(head, points).tolist(), strict=True
    ):
        if facing >= 0:
            dots.append(_holding(x, y) if hold.holds else _loose(x, y))
    return "".join(dots)


def _holding(x: float, y: float) -> str:
    return (
        f'<circle class="clip-holds" cx="{x:.1f}" cy="{y:.1f}" r="{_CLIP_RADIUS}" fill="{ACCENT}" stroke="{PAPER}"'
        f' stroke-width="1.2"/>'
    )


def _loose(x: float, y: float) -> str:
    arm = 2.4
    return (
        f'<g class="clip-loose" fill="{PAPER}" stroke="{ACCENT}" stroke-width="1.3">'
        f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{_CLIP_RADIUS}"/>'
        f'<path fill="none" d="M{x - arm:.1f} {y - arm:.1f}l{2 * arm} {2 * arm}m0-{2 * arm}l-{2 * arm} {2 * arm}"/></g>'
    )
