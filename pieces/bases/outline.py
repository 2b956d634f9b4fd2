"""What shape is a base, seen flat from above?

A base is its half-width w(u): u runs from 0 at the front edge to its length along the midline, and the base reaches w
to either side. Every outline here is the same on the left as on the right, and grows in step with its length and
width. Where it sits on a head is `fittings.placement`'s to say; clips, tape and edges are `construction`'s.
Millimetres, cm² for areas. The shapes are common practice: no maker's own pattern is meant.
"""

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Final, Self

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

OUTLINE_KINDS: Final = ("oval", "rounded_rectangle", "tapered_front", "tapered_back", "front_strip", "full_cap")

_CORNER = 0.25  # corner radius of rounded outlines, as a share of the shorter side
_TAPER = 0.6  # the narrow end of a tapered outline, as a share of its width, and where along it the taper ends
_AREA_STEPS = 4000


@dataclass(frozen=True)
class BaseOutline:
    """The outline of a base: a kind at a size, possibly the other way round."""

    kind: str
    length_mm: float
    width_mm: float
    turned: bool = False

    def __post_init__(self) -> None:
        if self.kind not in OUTLINE_KINDS:
            raise ValueError(f"no outline is called {self.kind!r}; the outlines are {', '.join(OUTLINE_KINDS)}")
        for side, value in (("length", self.length_mm), ("width", self.width_mm)):
            if not (np.isfinite(value) and value > 0):
                raise ValueError(f"the {side} of a base must be above zero, got {value:g} mm")

    @classmethod
    def named(cls, kind: str, *, length_mm: float, width_mm: float) -> Self:
        """The outline of a kind from OUTLINE_KINDS; ValueError for another kind or a size that is not above zero."""
        return cls(kind, float(length_mm), float(width_mm))

    @classmethod
    def oval(cls, *, length_mm: float, width_mm: float) -> Self:
        """An ellipse."""
        return cls.named("oval", length_mm=length_mm, width_mm=width_mm)

    @classmethod
    def rounded_rectangle(cls, *, length_mm: float, width_mm: float) -> Self:
        """A rectangle with corners rounded by a quarter of its shorter side."""
        return cls.named("rounded_rectangle", length_mm=length_mm, width_mm=width_mm)

    @classmethod
    def tapered_front(cls, *, length_mm: float, width_mm: float) -> Self:
        """A rounded rectangle that narrows to 60 % of its width at the front edge."""
        return cls.named("tapered_front", length_mm=length_mm, width_mm=width_mm)

    @classmethod
    def tapered_back(cls, *, length_mm: float, width_mm: float) -> Self:
        """A rounded rectangle that narrows to 60 % of its width at the back edge."""
        return cls.named("tapered_back", length_mm=length_mm, width_mm=width_mm)

    @classmethod
    def front_strip(cls, *, length_mm: float, width_mm: float) -> Self:
        """A strip along the hairline, as a rule wider than long: a straight front edge, back corners rounded."""
        return cls.named("front_strip", length_mm=length_mm, width_mm=width_mm)

    @classmethod
    def full_cap(cls, *, length_mm: float, width_mm: float, stretch: float = 1.0) -> Self:
        """A cap over the whole scalp: full width from hairline to nape, both sides times `stretch` as it is worn."""
        return cls.named("full_cap", length_mm=length_mm * stretch, width_mm=width_mm * stretch)

    def reversed(self) -> Self:
        """The same base the other way round, its back edge to the front."""
        return replace(self, turned=not self.turned)

    def half_width_mm(self, u_mm: ArrayLike) -> Floats:
        """How far the base reaches to either side at u from its front edge; any shape in, the same out.

        0 before the front edge and behind the back edge.

        >>> BaseOutline.oval(length_mm=100, width_mm=80).half_width_mm([-1, 0, 50, 100, 101]).tolist()
        [0.0, 0.0, 40.0, 0.0, 0.0]
        """
        u = np.asarray(u_mm, dtype=float)
        within = (u >= 0) & (u <= self.length_mm)
        inner = np.clip(u, 0, self.length_mm)
        return np.where(within, self._profile(self.length_mm - inner if self.turned else inner), 0.0)

    @cached_property
    def area_cm2(self) -> float:
        """Area of the flat base."""
        step = self.length_mm / _AREA_STEPS
        middles = (np.arange(_AREA_STEPS) + 0.5) * step
        return float(2 * self.half_width_mm(middles).sum() * step / 100)

    def _profile(self, u: Floats) -> Floats:
        length, half = self.length_mm, self.width_mm / 2
        match self.kind:
            case "oval":
                return half * np.sqrt(np.maximum(1 - (2 * u / length - 1) ** 2, 0))
            case "rounded_rectangle":
                return self._rounded(u)
            case "tapered_front":
                return self._rounded(u) * _taper(u / length)
            case "tapered_back":
                return self._rounded(u) * _taper(1 - u / length)
            case "front_strip":
                radius = min(length, half)
                return half - radius + _quarter_circle(u - (length - radius), radius)
            case _:  # full_cap
                return np.full_like(u, half)

    def _rounded(self, u: Floats) -> Floats:
        radius = _CORNER * min(self.length_mm, self.width_mm)
        past_corner = np.maximum(radius - u, u - (self.length_mm - radius))
        return self.width_mm / 2 - radius + _quarter_circle(past_corner, radius)


def _quarter_circle(along: Floats, radius: float) -> Floats:
    """Height of a quarter circle `along` from where it begins to bend; its full radius before that."""
    return np.sqrt(np.maximum(radius**2 - np.maximum(along, 0) ** 2, 0))


def _taper(share: Floats) -> Floats:
    """From the narrow end (share 0) to full width at `_TAPER` of the length, and full from there."""
    return _TAPER + (1 - _TAPER) * np.minimum(share / _TAPER, 1)
