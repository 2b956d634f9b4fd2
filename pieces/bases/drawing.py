"""What does a base look like flat on the table: front up, the client's left on the left, every part to scale?

Gives path data and places in millimetres for a template to draw: x right of the midline, y behind the front edge.
A clip lies along the edge that is nearest to it. Where the base sits on a head is drawn by `fittings.placement`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from pieces.bases.construction import BaseShape, Clip, TapeArea
from pieces.bases.outline import BaseOutline

Floats = NDArray[np.float64]

AVERAGE_SCALP_MM: Final = (356.0, 343.0)  # front to nape, ear to ear: the head assumed where no tape was taken
CLIP_DEPTH_MM: Final = 9.0  # a sewn-in clip, closed (common practice)
FRONT_SHARE: Final = 0.12  # how far back along the sides the front edge is drawn as such
_STEPS: Final = 96
_FEW_STEPS: Final = 24  # enough at the size of a thumb, and a list of pieces stays light


@dataclass(frozen=True, slots=True)
class ClipMark:
    """A clip as a line through (x, y), turned by `angle` degrees clockwise from lying across the base."""

    x: float
    y: float
    angle: float
    length: float

    @property
    def left(self) -> float:
        return self.x - self.length / 2

    @property
    def top(self) -> float:
        return self.y - self.depth / 2

    @property
    def depth(self) -> float:
        return CLIP_DEPTH_MM


@dataclass(frozen=True, slots=True)
class BaseDrawing:
    """Path data of the outline, of its front edge and of the tape strips, and the clips."""

    length: float
    width: float
    outline: str
    front: str
    tape: tuple[str, ...]
    clips: tuple[ClipMark, ...]


@dataclass(frozen=True, slots=True)
class Frame:
    """What stands around the drawing: the word front above it, its measures to the right and below, a scale bar."""

    view: str
    letter: float
    thin: float
    thick: float
    dashes: str
    midline: str
    length_line: str
    width_line: str
    scale_line: str
    scale_mm: float
    front_word: float
    length_word: float
    middle: float
    width_word: float
    scale_word_x: float
    scale_word_y: float


def draw_base(shape: BaseShape) -> BaseDrawing:
    """The whole base."""
    outline = shape.outline
    edge = _edge(outline, 0.0, outline.length_mm)
    return BaseDrawing(
        length=outline.length_mm,
        width=outline.width_mm,
        outline=_closed(edge),
        front=_front(outline),
        tape=tuple(_closed(_strip(outline, area)) for area in shape.tape_areas),
        clips=tuple(_mark(clip, edge) for clip in shape.clips),
    )


def frame_of(drawing: BaseDrawing, *, scale_mm: float) -> Frame:
    """Lettering and lines in proportion to the drawing, with a bar of `scale_mm`."""
    length, half = drawing.length, drawing.width / 2
    extent = max(length, drawing.width)
    letter, end = extent * 0.055, extent * 0.018
    beside, below, bar = half + 1.1 * letter, length + 1.1 * letter, length + 4.4 * letter
    left, top = -half - 1.2 * letter, -2.2 * letter
    across, down = drawing.width + 7 * letter, length + 7.4 * letter

    def across_ends(x: float, y: float) -> str:
        return f"M{x - end:.1f} {y:.1f}h{2 * end:.1f}"

    def upright_ends(x: float, y: float) -> str:
        return f"M{x:.1f} {y - end:.1f}v{2 * end:.1f}"

    return Frame(
        view=f"{left:.1f} {top:.1f} {across:.1f} {down:.1f}",
        letter=round(letter, 1),
        thin=round(extent * 0.005, 2),
        thick=round(extent * 0.014, 2),
        dashes=f"{letter * 0.5:.1f} {letter * 0.4:.1f}",
        midline=f"M0 0V{length:.1f}",
        length_line=f"M{beside:.1f} 0V{length:.1f}{across_ends(beside, 0)}{across_ends(beside, length)}",
        width_line=f"M{-half:.1f} {below:.1f}H{half:.1f}{upright_ends(-half, below)}{upright_ends(half, below)}",
        scale_line=f"M{-half:.1f} {bar:.1f}h{scale_mm:.1f}",
        scale_mm=scale_mm,
        front_word=round(-0.7 * letter, 1),
        length_word=round(beside + 0.6 * letter, 1),
        middle=round(length / 2 + 0.35 * letter, 1),
        width_word=round(below + 1.3 * letter, 1),
        scale_word_x=round(-half + scale_mm + 0.5 * letter, 1),
        scale_word_y=round(bar + 0.35 * letter, 1),
    )


def outline_path(outline: BaseOutline) -> str:
    """Path data of the outline alone, for small pictures."""
    return _closed(_edge(outline, 0.0, outline.length_mm, _FEW_STEPS))


def _edge(outline: BaseOutline, start_mm: float, end_mm: float, steps: int = _STEPS) -> Floats:
    """The outline between two distances from the front edge, once round, shape (2 × steps, 2) of x, y.

    Steps are closest at both ends, where round outlines turn fastest.
    """
    u = start_mm + (end_mm - start_mm) * (1 - np.cos(np.linspace(0, np.pi, steps))) / 2
    half = outline.half_width_mm(np.clip(u, 0, outline.length_mm))
    return np.column_stack([np.concatenate([-half, half[::-1]]), np.concatenate([u, u[::-1]])])


def _front(outline: BaseOutline) -> str:
    """The part of the edge that lies in front, from the client's left to her right."""
    around = _edge(outline, 0.0, FRONT_SHARE * outline.length_mm)
    return "M" + "L".join(
        f"{x:.1f} {y:.1f}" for x, y in np.concatenate([around[_STEPS - 1 :: -1], around[: _STEPS - 1 : -1]])
    )


def _strip(outline: BaseOutline, area: TapeArea) -> Floats:
    return _edge(outline, float(area.from_mm), float(area.to_mm))


def _mark(clip: Clip, edge: Floats) -> ClipMark:
    """The clip turned to lie along the nearest stretch of the edge."""
    here = np.array([-clip.v_mm, clip.u_mm], dtype=float)
    starts, steps = edge, np.roll(edge, -1, axis=0) - edge
    lengths = (steps**2).sum(axis=1)
    along = np.clip(((here - starts) * steps).sum(axis=1) / np.where(lengths > 0, lengths, 1), 0, 1)
    distances = ((starts + along[:, None] * steps - here) ** 2).sum(axis=1)
    nearest = steps[np.where(lengths > 1e-9, distances, np.inf).argmin()]
    angle = float(np.degrees(np.arctan2(nearest[1], nearest[0]))) % 180
    return ClipMark(
        float(here[0]), float(here[1]), round(angle if angle <= 90 else angle - 180, 1), float(clip.length_mm)
    )


def _closed(points: Floats) -> str:
    return "M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in points) + "Z"
