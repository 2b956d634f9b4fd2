"""On which part of the head does each clip of a placed base sit?

Zones are those of `clients.scalp.regions`, named as a stylist points to them.
"""

from __future__ import annotations

import numpy as np

from clients.scalp.grid import GRID
from clients.scalp.head import Head
from clients.scalp.regions import ZONE_OF_CELL, ZONES
from fittings.placement.drawing import clips_on_scalp
from fittings.placement.placing import Placement
from fittings.placement.searching import Base


def zones_under_clips(head: Head, base_shape: Base, placement: Placement) -> tuple[str, ...]:
    """The key of the zone under the middle of each clip, in the order of `placement.clips`; a clip that hangs over the
    hairline counts to the zone at its edge."""
    if not placement.clips:
        return ()
    normals = clips_on_scalp(head, base_shape, placement) / np.array(head.semi_axes_mm)
    normals /= np.linalg.norm(normals, axis=-1, keepdims=True)
    up = np.maximum(normals[:, 2], 0.0)
    across = normals[:, :2] / np.maximum(np.linalg.norm(normals[:, :2], axis=-1, keepdims=True), 1e-12)
    disk = across * np.sqrt(1 - up)[:, None] * (1 - 1 / GRID)  # a hair inside the rim, whose cells are cut
    rows, columns = np.clip(((1 - disk) * GRID / 2).astype(int), 0, GRID - 1).T
    return tuple(ZONES[index].key for index in ZONE_OF_CELL[rows, columns].tolist())
