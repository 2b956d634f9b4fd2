"""Where does a painting start: the usual shapes of hair loss, drawn on this head for the stylist to correct.

A pattern start saves her the first strokes. It says nothing about the client: it is no grade, no diagnosis, and it is
meant to be painted over. The shapes follow published scales in our own words; the scales print pictures and words but
no percentages and no millimetres, so every number here is an estimate of ours (common practice). Lengths are shares of
the front-to-nape tape F and the ear-to-ear tape E, so a shape grows with the head; (s, t) are tape coordinates: s back
from the front hairline, t out from the midline. Densities are percent of hair remaining.

Which stage of which scale a shape belongs to, and in which words, is for `scales` to say.

Sources: Ludwig 1977, Br J Dermatol 97:247-254 (READ-2nd); Sinclair 2004, five grades of the midline part (READ that
there are five, wording MEMORY); Olsen 1999, frontal accentuation (READ in reviews); Norwood 1975, South Med J
68:1359-1365 (READ-2nd; that type A variants exist READ, their steps MEMORY).
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


def _wider_part(s: Floats, t: Floats) -> Floats:
    return _remaining((_oval(s, t, 0.03, 0.60, 0.04), 45))


def _widening_part(s: Floats, t: Floats) -> Floats:
    return _remaining((_oval(s, t, 0.03, 0.62, 0.045), 20), (_oval(s, t, 0.03, 0.66, 0.14), 65))


def _part_open_at_the_front(s: Floats, t: Floats) -> Floats:
    return _remaining(
        (_oval(s, t, 0.03, 0.22, 0.12), 10), (_oval(s, t, 0.03, 0.64, 0.05), 18), (_oval(s, t, 0.03, 0.68, 0.18), 50)
    )


def _tapering_back(s: Floats, t: Floats) -> Floats:
    """How far inside a triangle whose base lies behind the front hairline and whose tip lies on the part."""
    half_width = np.interp(s, [0.0, 0.60], [0.17, 0.02])
    return np.asarray(
        _faded((np.abs(t) - half_width) / _BORDER) * _faded((s - 0.58) / _BORDER) * _faded((0.015 - s) / _BORDER)
    )


def _front_tapering_back(s: Floats, t: Floats) -> Floats:
    return _remaining((_tapering_back(s, t), 35))


def _front_and_top(s: Floats, t: Floats) -> Floats:
    return _remaining((_tapering_back(s, t), 20), (_oval(s, t, 0.05, 0.68, 0.22), 62))


def _temples_a_little(s: Floats, t: Floats) -> Floats:
    return _remaining((_temples(s, t, 0.09, 0.20, 0.11), 15))


def _temple_recession(s: Floats, t: Floats) -> Floats:
    return _remaining((_temples(s, t, 0.15, 0.19, 0.12), 5))


def _temple_recession_and_crown(s: Floats, t: Floats) -> Floats:
    return _remaining((_temples(s, t, 0.12, 0.19, 0.11), 15), (_disc(s, t, 0.64, 0.0, 0.12), 15))


def _whole_front(depth: float) -> Callable[[Head], DensityAt]:
    """The front hairline moved back over its whole width."""
    return _scaled(lambda s, t: _remaining((_faded((s - depth) / _BORDER) * _faded((np.abs(t) - 0.24) / _BORDER), 5)))


def _front_and_crown_apart(s: Floats, t: Floats) -> Floats:
    front = _temples(s, t, 0.22, 0.17, 0.15)
    return _remaining((front, 5), (_disc(s, t, 0.64, 0.0, 0.15), 15), (_oval(s, t, 0.15, 0.60, 0.16), 85))


def _front_and_crown(s: Floats, t: Floats) -> Floats:
    front = np.maximum(
        _temples(s, t, 0.28, 0.15, 0.15), _faded((s - 0.22) / _BORDER) * _faded((np.abs(t) - 0.2) / _BORDER)
    )
    return _remaining((front, 5), (_disc(s, t, 0.64, 0.0, 0.18), 5), (_oval(s, t, 0.15, 0.60, 0.17), 55))


def _front_joined_to_crown(s: Floats, t: Floats) -> Floats:
    joined = _faded((s - 0.64) / _BORDER) * _faded((np.abs(t) - 0.23) / _BORDER)
    return _remaining((np.maximum(joined, _disc(s, t, 0.64, 0.0, 0.23)), 5))


def _narrow_horseshoe(s: Floats, t: Floats) -> Floats:
    joined = _faded((s - 0.66) / _BORDER) * _faded((np.abs(t) - 0.34) / _BORDER)
    return _remaining((np.maximum(joined, _disc(s, t, 0.60, 0.0, 0.32)), 3), (np.ones_like(s), 75))


def _patches(s: Floats, t: Floats) -> Floats:
    return _remaining(
        (_disc(s, t, 0.30, 0.13, 0.060), 0),
        (_disc(s, t, 0.60, 0.20, 0.050), 0),
        (_disc(s, t, 0.82, 0.10, 0.055), 0),
    )


def _all_over(s: Floats, t: Floats) -> Floats:
    return np.full(np.broadcast_shapes(np.shape(s), np.shape(t)), 60.0)


_LUDWIG = "Ludwig 1977"
_SINCLAIR = "Sinclair 2004"
_OLSEN = "Olsen 1999"
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
        "part-2",
        "Wider part",
        "The midline part is wider, the hair beside it is as dense as before (after Sinclair, second grade).",
        _SINCLAIR,
        _scaled(_wider_part),
    ),
    Pattern(
        "part",
        "Widening part",
        "The midline part has widened and the hair beside it is thinner (after Sinclair, third grade).",
        _SINCLAIR,
        _scaled(_widening_part),
    ),
    Pattern(
        "part-4",
        "Wider part, open at the front",
        "As a widening part, with scalp showing through at its front end (after Sinclair, fourth grade).",
        _SINCLAIR,
        _scaled(_part_open_at_the_front),
    ),
    Pattern(
        "part-5",
        "Top, nearly to the hairline",
        "Very little hair left on the whole top (after Sinclair, fifth grade).",
        _SINCLAIR,
        _top(0.015, 0.78, 0.26, 6),
    ),
    Pattern(
        "front",
        "Front, tapering back",
        "Thinnest behind the front hairline, tapering back along the part (after Olsen, frontal accentuation).",
        _OLSEN,
        _scaled(_front_tapering_back),
    ),
    Pattern(
        "front-top",
        "Front and top",
        "Thinnest behind the front hairline, with the top thinner too (after Olsen, second kind).",
        _OLSEN,
        _scaled(_front_and_top),
    ),
    Pattern(
        "top-even",
        "Top, evenly thinner",
        "The top has thinned evenly, the front no more than the rest (after Olsen, third kind).",
        _OLSEN,
        _top(0.05, 0.70, 0.24, 50),
    ),
    Pattern(
        "temples-2",
        "Temples, a little",
        "Both temples have receded a little, in two triangles (after Norwood, type II).",
        _NORWOOD,
        _scaled(_temples_a_little),
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
        "front-crown-4",
        "Front and crown, apart",
        "Temples receded further and a thin crown, with a band of hair between them (after Norwood, type IV).",
        _NORWOOD,
        _scaled(_front_and_crown_apart),
    ),
    Pattern(
        "front-crown",
        "Front and crown",
        "Front and crown with a narrow, sparse band between them (after Norwood, type V).",
        _NORWOOD,
        _scaled(_front_and_crown),
    ),
    Pattern(
        "front-crown-6",
        "Front joined to crown",
        "Front and crown have met: hair remains at the sides and the back (after Norwood, type VI).",
        _NORWOOD,
        _scaled(_front_joined_to_crown),
    ),
    Pattern(
        "horseshoe",
        "Narrow horseshoe",
        "A narrow, fine rim of hair at the sides and the back (after Norwood, type VII).",
        _NORWOOD,
        _scaled(_narrow_horseshoe),
    ),
    Pattern(
        "whole-front-2",
        "Whole front, a little",
        "The whole front hairline has moved back a little; the crown is kept (after Norwood, type II A).",
        _NORWOOD,
        _whole_front(0.07),
    ),
    Pattern(
        "whole-front-3",
        "Whole front",
        "The whole front hairline has moved back; the crown is kept (after Norwood, type III A).",
        _NORWOOD,
        _whole_front(0.15),
    ),
    Pattern(
        "whole-front-4",
        "Whole front, further",
        "The whole front hairline has moved back well behind it; the crown is kept (after Norwood, type IV A).",
        _NORWOOD,
        _whole_front(0.27),
    ),
    Pattern(
        "whole-front-5",
        "Whole front, to the middle",
        "The whole front hairline has moved back to the middle of the top; the crown is kept (Norwood, type V A).",
        _NORWOOD,
        _whole_front(0.42),
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
