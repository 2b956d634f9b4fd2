"""Where does a painting start: the usual shapes of hair loss, drawn on this head for the stylist to correct.

A pattern start saves her the first strokes. It says nothing about the client: it is no grade, no diagnosis, and it is
meant to be painted over. The shapes follow published scales in our own words; the scales print pictures and words but
no percentages and no millimetres, so every number here is an estimate of ours (common practice). Lengths are shares of
the front-to-nape tape F and the ear-to-ear tape E, so a shape grows with the head; (s, t) are tape coordinates: s back
from the front hairline, t out from the midline. Densities are percent of hair remaining.

Sources: Ludwig 1977, Br J Dermatol 97:247-254 (READ-2nd); Sinclair 2004, five grades of the midline part (READ that
there are five, wording MEMORY); Olsen 1999, frontal accentuation (READ in reviews); Norwood 1975, South Med J
68:1359-1365 (READ-2nd).
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from clients.scalp.grid import Floats
from clients.scalp.head import Head
from clients.scalp.loss_map import LossMap

DensityAt = Callable[[Floats, Floats], Floats]

_AVERAGE_E_OVER_F = 343 / 356  # of the assumed head, so that a round patch is round on it
_BORDER = 0.05  # hair fades over this share of F, 18 mm on an average head: no scale shows a hard edge


@dataclass(frozen=True)
class Pattern:
    """One start: `density_at(head)` gives the function of (s_mm, t_mm) that `LossMap.from_tape_coordinates` takes."""

    key: str
    label: str
    description: str
    source: str
    density_at: Callable[[Head], DensityAt]


def pattern_start(key: str, head: Head) -> LossMap:
    """The loss map of one pattern on this head; ValueError names the known patterns when `key` is not one."""
    for pattern in PATTERNS:
        if pattern.key == key:
            return LossMap.from_tape_coordinates(head, pattern.density_at(head))
    raise ValueError(f"“{key}” is not a pattern. The patterns are: {', '.join(pattern.key for pattern in PATTERNS)}.")


def _faded(excess: Floats) -> Floats:
    """1 well inside, 0 well outside, smooth between; `excess` is distance past the edge in shares of the border."""
    ramp = np.clip(0.5 - excess, 0, 1)
    return np.asarray(ramp * ramp * (3 - 2 * ramp))


def _oval(s: Floats, t: Floats, front: float, back: float, half_width: float) -> Floats:
    """How far inside a rounded oval on the midline, 0 to 1; all arguments in shares of F."""
    middle, half_length = (front + back) / 2, (back - front) / 2
    reach = (np.abs((s - middle) / half_length) ** 2.5 + np.abs(t / half_width) ** 2.5) ** (1 / 2.5)
    return _faded((reach - 1) * min(half_length, half_width) / _BORDER)


def _disc(s: Floats, t: Floats, back: float, out: float, radius: float) -> Floats:
    """How far inside a round patch `back` and `out` from the hairline's middle, and its twin on the other side."""
    return _faded((np.hypot(s - back, np.abs(t) - out) - radius) / _BORDER)


def _temples(s: Floats, t: Floats, depth: float, out: float, half_width: float) -> Floats:
    """How far inside two recesses in the front hairline, deepest at `out` from its middle."""
    edge = depth * (1 - (np.abs(np.abs(t) - out) / half_width) ** 1.5)
    return _faded((s - edge) / _BORDER)


def _remaining(*areas: tuple[Floats, float]) -> Floats:
    """100 everywhere, less in each area (how far inside, percent remaining there); the thinnest wins."""
    return np.asarray(100 - np.max([inside * (100 - percent) for inside, percent in areas], axis=0))


def _scaled(shape: DensityAt) -> Callable[[Head], DensityAt]:
    """A shape in shares of the tapes made one in millimetres of a head; sideways, E is stretched to an average F."""

    def density_at(head: Head) -> DensityAt:
        _, front_to_nape_mm, ear_to_ear_mm = head.tapes_mm
        return lambda s_mm, t_mm: shape(s_mm / front_to_nape_mm, t_mm / ear_to_ear_mm * _AVERAGE_E_OVER_F)

    return density_at


def _top(front: float, back: float, half_width: float, percent: float) -> Callable[[Head], DensityAt]:
    return _scaled(lambda s, t: _remaining((_oval(s, t, front, back, half_width), percent)))


def _widening_part(s: Floats, t: Floats) -> Floats:
    return _remaining((_oval(s, t, 0.03, 0.62, 0.045), 20), (_oval(s, t, 0.03, 0.66, 0.14), 65))


def _front_tapering_back(s: Floats, t: Floats) -> Floats:
    half_width = np.interp(s, [0.0, 0.60], [0.17, 0.02])
    inside = _faded((np.abs(t) - half_width) / _BORDER) * _faded((s - 0.58) / _BORDER) * _faded((0.015 - s) / _BORDER)
    return _remaining((inside, 35))


def _temple_recession(s: Floats, t: Floats) -> Floats:
    return _remaining((_temples(s, t, 0.15, 0.19, 0.12), 5))


def _temple_recession_and_crown(s: Floats, t: Floats) -> Floats:
    return _remaining((_temples(s, t, 0.12, 0.19, 0.11), 15), (_disc(s, t, 0.64, 0.0, 0.12), 15))


def _front_and_crown(s: Floats, t: Floats) -> Floats:
    front = np.maximum(
        _temples(s, t, 0.28, 0.15, 0.15), _faded((s - 0.22) / _BORDER) * _faded((np.abs(t) - 0.2) / _BORDER)
    )
    return _remaining((front, 5), (_disc(s, t, 0.64, 0.0, 0.18), 5), (_oval(s, t, 0.15, 0.60, 0.17), 55))


def _patches(s: Floats, t: Floats) -> Floats:
    return _remaining(
        (_disc(s, t, 0.30, 0.13, 0.060), 0),
        (_disc(s, t, 0.60, 0.20, 0.050), 0),
        (_disc(s, t, 0.82, 0.10, 0.055), 0),
    )


def _all_over(s: Floats, t: Floats) -> Floats:
    return np.full(np.broadcast_shapes(np.shape(s), np.shape(t)), 60.0)


_LUDWIG = "Ludwig 1977"
_NORWOOD = "Norwood 1975, after Hamilton 1951"
PATTERNS = (
    Pattern(
        "top-1",
        "Top, a little thinner",
        "Thinner hair seen on the top; the front hairline is kept (after Ludwig, first degree).",
        _LUDWIG,
        _top(0.09, 0.64, 0.20, 65),
    ),
    Pattern(
        "top-2",
        "Top, clearly thinner",
        "Much thinner on the top, scalp shows; the front hairline is kept (after Ludwig, second degree).",
        _LUDWIG,
        _top(0.065, 0.69, 0.23, 38),
    ),
    Pattern(
        "top-3",
        "Top, almost no hair",
        "Almost no hair on the top behind a narrow front hairline (after Ludwig, third degree).",
        _LUDWIG,
        _top(0.05, 0.73, 0.25, 5),
    ),
    Pattern(
        "part",
        "Widening part",
        "The midline part has widened and the hair beside it is thinner (after Sinclair, third grade).",
        "Sinclair 2004",
        _scaled(_widening_part),
    ),
    Pattern(
        "front",
        "Front, tapering back",
        "Thinnest behind the front hairline, tapering back along the part (after Olsen, frontal accentuation).",
        "Olsen 1999",
        _scaled(_front_tapering_back),
    ),
    Pattern(
        "temples",
        "Temples",
        "Both temples have receded deeply (after Norwood, type III).",
        _NORWOOD,
        _scaled(_temple_recession),
    ),
    Pattern(
        "temples-crown",
        "Temples and crown",
        "Temples receded and a round thin area on the crown (after Norwood, type III vertex).",
        _NORWOOD,
        _scaled(_temple_recession_and_crown),
    ),
    Pattern(
        "front-crown",
        "Front and crown",
        "Front and crown with a narrow, sparse band between them (after Norwood, type V).",
        _NORWOOD,
        _scaled(_front_and_crown),
    ),
    Pattern(
        "patches",
        "Patches",
        "Several round areas without hair: move them to where they are.",
        "common practice",
        _scaled(_patches),
    ),
    Pattern(
        "all-over",
        "All over",
        "Evenly thinner over the whole scalp.",
        "common practice",
        _scaled(_all_over),
    ),
)
