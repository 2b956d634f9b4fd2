"""From which side is the head drawn, and where does a point of the scalp fall in that picture?

Five named views, orthographic, in millimetres: x to the right and y down, as SVG has it, from the middle of the
hairline plane. A seated client's hairline plane is not level, it falls from forehead to nape; SEATED_TILT sets her
upright. The top view leans 25° towards her face so that the front hairline shows, and is seen from behind the chair:
forehead up, the client's left on the left. The head that turns on screen has the same views.
"""

import math
from dataclasses import dataclass
from functools import cached_property
from typing import Final

import numpy as np

from clients.scalp.grid import Floats
from clients.scalp.head import Head

SEATED_TILT: Final = math.radians(33)
_TOP_LEAN: Final = 25  # degrees


@dataclass(frozen=True)
class View:
    """One direction to look from: yaw 0 in front of her face, 90 at her left; elevation above the horizon; degrees."""

    key: str
    label: str
    yaw: float
    elevation: float

    @cached_property
    def axes(self) -> Floats:
        """Unit vectors of the scalp's own axes that point right, up and towards the viewer; shape (3, 3)."""
        yaw, elevation = math.radians(self.yaw), math.radians(self.elevation)
        cy, sy, ce, se = math.cos(yaw), math.sin(yaw), math.cos(elevation), math.sin(elevation)
        seated = np.array([[-sy, cy, 0.0], [-se * cy, -se * sy, ce], [ce * cy, ce * sy, se]])
        cosine, sine = math.cos(SEATED_TILT), math.sin(SEATED_TILT)
        return np.asarray(seated @ np.array([[cosine, 0.0, -sine], [0.0, 1.0, 0.0], [sine, 0.0, cosine]]))

    def project(self, points_mm: Floats) -> Floats:
        """Picture coordinates (x right, y down) of points (..., 3) in mm; shape (..., 2)."""
        return np.asarray(points_mm @ (self.axes[:2] * [[1], [-1]]).T)

    def facing(self, head: Head, points_mm: Floats) -> Floats:
        """How squarely the scalp faces the viewer at its points: 1 straight on, 0 at the outline, negative behind."""
        outward = points_mm / np.square(head.semi_axes_mm)
        return np.asarray(outward @ self.axes[2] / np.linalg.norm(outward, axis=-1))

    def seen_normals(self, head: Head, rows: int, columns: int) -> Floats:
        """The part of the scalp that is seen, as a grid of unit normals, shape (rows, columns, 3).

        Every row runs from one end of the head's outline to the other (all rows meet there); the first row lies along
        the hairline where it is seen, the last along the outline.
        """
        towards = self.axes[2] / head.semi_axes_mm
        towards = towards / np.linalg.norm(towards)
        upward = np.array([0.0, 0.0, 1.0]) - towards[2] * towards
        upward = upward / np.linalg.norm(upward)
        sideways = np.cross(upward, towards)
        turn = np.linspace(0, math.pi, columns)[None, :, None]
        rise = np.linspace(-math.asin(towards[2]), math.pi / 2, rows)[:, None, None]
        normals: Floats = np.cos(turn) * sideways + np.sin(turn) * (np.sin(rise) * upward + np.cos(rise) * towards)
        normals[..., 2] = np.maximum(normals[..., 2], 0)  # rounding at the hairline
        return normals


VIEWS: Final = {
    view.key: view
    for view in (
        View("top", "Top", 180, 90 - (math.degrees(SEATED_TILT) - _TOP_LEAN)),
        View("front", "Front", 0, 26),
        View("left", "Left", 90, 12),
        View("right", "Right", -90, 12),
        View("back", "Back", 180, 12),
    )
}


def view_named(key: str) -> View:
    """The view with that key; ValueError names the five when there is none."""
    if key not in VIEWS:
        raise ValueError(f"no view is called {key!r}; the views are {', '.join(VIEWS)}")
    return VIEWS[key]
