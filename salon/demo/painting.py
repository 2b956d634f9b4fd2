"""Paints the demo clients' loss maps: a pattern start, made uneven as real hair is. Percent remaining."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from clients.scalp.grid import DISK_X, DISK_Y, INSIDE
from clients.scalp.head import Head
from clients.scalp.loss_map import LossMap
from clients.scalp.patterns import PATTERNS

SHRINKS_ABOUT = 0.38  # of the front-to-nape tape: the middle of the top patterns, so that they shrink where they lie


@dataclass(frozen=True)
class Painting:
    """`size` shrinks the pattern about a point on the midline, `strength` multiplies its loss, `to_the_left` makes one
    side heavier (−1 to 1), `uneven` ripples it (0 to 1), and `phase` moves the ripples so that no two heads are alike.
    """

    pattern: str
    size: float = 1.0
    strength: float = 1.0
    to_the_left: float = 0.0
    uneven: float = 0.12
    phase: float = 0.0

    def on(self, head: Head) -> LossMap:
        """The map on this head."""
        ripples = np.cos(5 * DISK_X + 3 * DISK_Y + self.phase) * np.cos(4 * DISK_Y - 2 * DISK_X + 2 * self.phase)
        factor = self.strength * (1 + self.to_the_left * DISK_Y) * (1 + self.uneven * ripples)
        lost = np.clip(self._start(head).loss * factor, 0, 100)
        return LossMap(np.where(INSIDE, 100 - lost, 100))

    def _start(self, head: Head) -> LossMap:
        pattern = next(pattern for pattern in PATTERNS if pattern.key == self.pattern)
        density_at, middle_mm = pattern.density_at(head), SHRINKS_ABOUT * head.tapes_mm[1]
        return LossMap.from_tape_coordinates(
            head, lambda s_mm, t_mm: density_at(middle_mm + (s_mm - middle_mm) / self.size, t_mm / self.size)
        )
