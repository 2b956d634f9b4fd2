"""How much hair remains where on the scalp, and how is that written down?

Density is percent remaining, 0 to 100, on the 64 × 64 cells of `grid`; outside the disk it is 100 (nothing lost). The
map knows no head: one painted today can be laid over one painted a year ago, whatever the tapes. What a map means for
a head, a score or a base is for `salt`, `regions` and `fittings.placement` to say.

Stored form: two lowercase hexadecimal digits a cell, row by row, "00" to "64" (0 to 100, whole percent), 8192 in all.
"""

import re
from collections.abc import Callable
from typing import Final, Self

import numpy as np
from numpy.typing import ArrayLike, NDArray

from clients.scalp.grid import GRID, INSIDE, Floats, samples
from clients.scalp.head import Head

HEX_LENGTH: Final = 2 * GRID * GRID
_ROUNDING = 1e-6  # percent; a formula may end a hair beyond 100


class LossMapError(ValueError):
    """A loss map that cannot be meant; the sentence says where."""


class LossMap:
    """Remaining hair in percent, (64, 64), read-only; equal maps compare and hash equal."""

    def __init__(self, density: ArrayLike) -> None:
        """density: shape (64, 64), percent remaining; what it says outside the disk is ignored.

        Raises LossMapError for another shape or a cell that is not a number from 0 to 100.
        """
        given = np.array(density, dtype=float)
        if given.shape != (GRID, GRID):
            raise LossMapError(f"A loss map has {GRID} × {GRID} cells, got shape {given.shape}.")
        wrong = INSIDE & ~((given >= 0) & (given <= 100))  # written so that nan is wrong too
        if wrong.any():
            row, column = np.argwhere(wrong)[0]
            raise LossMapError(
                f"Remaining hair is 0 to 100 percent; row {row}, column {column} says {given[row, column]:g}."
            )
        given[~INSIDE] = 100
        given.setflags(write=False)
        self._density = given
        self._hash = hash(given.tobytes())  # once, for maps are looked up in caches again and again

    @property
    def density(self) -> Floats:
        """Percent of the hair that remains, (64, 64)."""
        return self._density

    @property
    def loss(self) -> Floats:
        """Percent of the hair that is lost, (64, 64); 0 outside the disk."""
        return 100 - self._density

    @classmethod
    def full(cls) -> Self:
        """The map on which nothing is lost."""
        return cls(np.full((GRID, GRID), 100.0))

    @classmethod
    def from_hex(cls, text: str) -> Self:
        """Read the stored form; raises LossMapError that says which cell is not 00 to 64."""
        if len(text) != HEX_LENGTH:
            raise LossMapError(f"A stored loss map has {HEX_LENGTH} hexadecimal digits, got {len(text)} characters.")
        stranger = re.search(r"[^0-9a-fA-F]", text)
        if stranger:
            raise LossMapError(
                f"A stored loss map has only hexadecimal digits; character {stranger.start() + 1} is {stranger[0]!r}."
            )
        stored = bytes.fromhex(text)
        if max(stored) > 100:
            cell = next(index for index, percent in enumerate(stored) if percent > 100)
            raise LossMapError(
                f"A stored loss map holds 00 to 64 a cell; row {cell // GRID}, column {cell % GRID} "
                f"holds {text[2 * cell : 2 * cell + 2]}."
            )
        return cls(np.frombuffer(stored, dtype=np.uint8).reshape(GRID, GRID))

    def to_hex(self) -> str:
        """The stored form, rounded to whole percent; `from_hex` gives the same map back when it held whole percents."""
        return bytes(np.rint(self._density).astype(np.uint8)).hex()

    @classmethod
    def from_tape_coordinates(cls, head: Head, density_at: Callable[[Floats, Floats], ArrayLike]) -> Self:
        """The map on this head of a density given in tape coordinates, the mean over each cell.

        density_at(s_mm, t_mm): called once with two arrays of shape (n,), returns percent remaining of the same shape,
        or one number for all. Raises LossMapError for another shape or a value outside 0 to 100.
        """
        s, t = head.sample_tape_coordinates.T
        found = np.asarray(density_at(s, t), dtype=float)
        if found.shape not in ((), s.shape):
            raise LossMapError(f"The density of {s.size} points was asked for, got shape {found.shape}.")
        if not ((found >= -_ROUNDING) & (found <= 100 + _ROUNDING)).all():
            raise LossMapError(f"Remaining hair is 0 to 100 percent, got {found.min():g} to {found.max():g}.")
        cell, cells = samples().cell, GRID * GRID
        counted = np.bincount(cell, minlength=cells)
        summed = np.bincount(cell, np.broadcast_to(found, s.shape), minlength=cells)
        mean = np.divide(summed, counted, out=np.full(cells, 100.0), where=counted > 0)
        return cls(np.clip(mean, 0, 100).reshape(GRID, GRID))

    def __eq__(self, other: object) -> bool:
        return isinstance(other, LossMap) and bool(np.array_equal(self._density, other._density))

    def __hash__(self) -> int:
        return self._hash

    def __repr__(self) -> str:
        lost: NDArray[np.float64] = self.loss[INSIDE]
        return f"LossMap({np.count_nonzero(lost)} cells with loss, {lost.mean():.1f} percent of all hair lost)"
