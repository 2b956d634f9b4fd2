"""Where do clips usually sit on a base of this size?

A start for a base whose maker does not say: measure the piece when it is in your hands. Four clips on a small base,
six on a medium one, seven on a full one (common practice: 4, 5–6, 5 and more). Positions as in `construction`:
u from the front edge, v from the midline, left positive, whole millimetres.
"""

from __future__ import annotations

from typing import Final

from pieces.bases.construction import Clip
from pieces.bases.outline import BaseOutline

INSET_MM: Final = 8.0  # the middle of a clip lies so far inside the edge it is sewn along (common practice)
CLIP_LENGTH_MM: Final = 32
SMALL_CM2: Final = 75.0  # a 51 × 102 mm starter base and what is not much bigger
MEDIUM_CM2: Final = 330.0


def usual_clips(outline: BaseOutline) -> tuple[Clip, ...]:
    """Clips along the edge of the outline, front to back, the same on the left as on the right.

    Raises ValueError for a base under 32 mm long or wide: no clip fits inside its edge.
    """
    if min(outline.length_mm, outline.width_mm) < 2 * INSET_MM + 16:
        raise ValueError("A base under 32 mm has no room for clips. Leave the clips out.")
    behind = [INSET_MM, outline.length_mm - INSET_MM]
    if outline.kind == "front_strip" or outline.area_cm2 <= SMALL_CM2:
        beside = [0.5 * outline.length_mm]
    elif outline.area_cm2 <= MEDIUM_CM2:
        beside = [0.32 * outline.length_mm, 0.7 * outline.length_mm]
    else:
        behind.append(0.75 * outline.length_mm)
        beside = [0.2 * outline.length_mm, 0.5 * outline.length_mm]
    clips = [Clip(round(u), 0, CLIP_LENGTH_MM) for u in behind]
    for u in (round(u) for u in beside):
        v = int(outline.half_width_mm(u) - INSET_MM)
        clips += [Clip(u, v, CLIP_LENGTH_MM), Clip(u, -v, CLIP_LENGTH_MM)]
    return tuple(sorted(clips, key=lambda clip: (clip.u_mm, clip.v_mm)))
