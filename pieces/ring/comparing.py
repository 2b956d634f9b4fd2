"""How a new reading of a shade lies to the one kept before it, so that a slip is seen before it is kept.

Only readings of one routine are compared. ΔE00.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from pieces.models import Shade, ShadeReading
from pieces.ring.reading import ShadeRead
from salon.colour.difference import ciede2000

LEAST_JUMP = 2.0
"""A tress laid down anew reads up to so much differently: twice the 0.3–1.2 L* (standard deviation) of J. Cosmet. Sci.
51(5), 2000 (read), near enough in ΔE00 for dark hair."""


@dataclass(frozen=True, slots=True)
class Beside:
    """A new reading beside the one before it; differences by zone."""

    earlier: ShadeReading
    differences: Mapping[str, float]
    doubt: float

    @property
    def largest(self) -> float:
        return max(self.differences.values())

    @property
    def is_jump(self) -> bool:
        """More than both readings' doubts and the laying down of the tress explain."""
        return self.largest > max(self.doubt, LEAST_JUMP)


def newest_of(shades: Iterable[Shade], routines: Iterable[str]) -> dict[tuple[int, str], ShadeReading]:
    """The newest reading of each shade by each routine: {(the shade's key, routine): reading}."""
    found: dict[tuple[int, str], ShadeReading] = {}
    rows = ShadeReading.objects.filter(shade__in=list(shades), routine_version__in=list(routines))
    for row in rows.select_related("read_by").newest_first():
        found.setdefault((row.shade_id, row.routine_version), row)
    return found


def beside_earlier(read: Iterable[ShadeRead]) -> list[tuple[ShadeRead, Beside | None]]:
    """Each new reading with the newest kept one of its shade and routine; None for a shade never read that way."""
    new = list(read)
    newest = newest_of([one.shade for one in new], {one.routine for one in new})
    return [(one, _beside(one, newest.get((one.shade.pk, one.routine)))) for one in new]


def _beside(new: ShadeRead, earlier: ShadeReading | None) -> Beside | None:
    if earlier is None:
        return None
    before = earlier.lab()
    differences = {zone: float(ciede2000(before[zone], lab)) for zone, lab in new.lab.items()}
    return Beside(earlier, differences, math.hypot(new.doubt, earlier.doubt))
