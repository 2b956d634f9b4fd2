"""Which half ellipsoid do three tapes round a head belong to, and if none, which tape should be taken again?

Circumference C is the perimeter of the ellipse (a, b) of the hairline, front to nape F half the perimeter of (a, c),
ear to ear E half the perimeter of (b, c). Millimetres throughout. What the shape is good for is `head`'s to say,
whether tapes are usual for people `surveys`'.

Source of the perimeter: 4 a E(m), m = 1 − b²/a², E Legendre's complete integral (DLMF 19.9.9 and 19.30.5, MEMORY).
"""

import math
from typing import Final, NamedTuple

import numpy as np

SemiAxes = tuple[float, float, float]


class Tapes(NamedTuple):
    """The three tapes of a head, in millimetres."""

    circumference_mm: float
    front_to_nape_mm: float
    ear_to_ear_mm: float


ASSUMED_TAPES: Final = Tapes(559.0, 356.0, 343.0)  # 22 / 14 / 13.5 in: common practice, an average head
TAPE_LABELS: Final = ("circumference", "front to nape", "ear to ear")
AXIS_RATIOS: Final = (0.5, 2.0)  # no head is more than twice as long as broad, or as high as long

# What could be anyone's head at all, from a newborn to far beyond the surveys; usual values are judged elsewhere.
_POSSIBLE_MM: Final = ((250.0, 1200.0), (150.0, 800.0), (150.0, 800.0))
_USUAL_MM: Final = ((450.0, 700.0), (250.0, 450.0), (250.0, 430.0))  # to guess which unit was meant
_UNITS_IN_MM: Final = (("in", 25.4), ("cm", 10.0))


class TapesError(ValueError):
    """Three tapes that cannot belong to one head; `tape` is the field to take again ("" when all three are)."""

    def __init__(self, message: str, tape: str = "") -> None:
        super().__init__(message)
        self.tape = tape


def ellipse_perimeter(p: float, q: float) -> float:
    """Perimeter of the ellipse with semi-axes p and q (both positive), in their unit.

    >>> round(ellipse_perimeter(1, 1) / math.pi, 12)
    2.0
    """
    from scipy.special import ellipe

    return float(4 * p * ellipe(1 - (q / p) ** 2))


def semi_axes_from_tapes(tapes: Tapes, assumed: tuple[str, ...] = ()) -> SemiAxes:
    """Semi-axes (a, b, c) in mm of the half ellipsoid that the three tapes fit exactly.

    assumed: the fields of `tapes` that nobody measured, so that a refusal can ask for the tape instead of blaming it.
    Raises TapesError with the three values and the tape that is out of keeping with the other two.
    """
    for index in range(3):
        _refuse_impossible(tapes, index)
    semi_axes = _solve(tapes)
    if semi_axes is None:
        raise _out_of_keeping(tapes, assumed)
    return semi_axes


def _solve(tapes: Tapes) -> SemiAxes | None:
    """Newton from the mean-square estimate; None when the three tapes belong to no half ellipsoid of a head."""
    C, F, E = tapes
    squares = np.array([C**2 + 4 * F**2 - 4 * E**2, C**2 + 4 * E**2 - 4 * F**2, 4 * F**2 + 4 * E**2 - C**2])
    if squares.min() <= 0:
        return None
    axes = np.sqrt(squares / (4 * math.pi**2))
    for _ in range(30):  # five or six do; more means that nothing is being found
        residual, slope = np.zeros(3), np.zeros((3, 3))
        for row, (i, j, share, tape) in enumerate(((0, 1, 1.0, C), (0, 2, 0.5, F), (1, 2, 0.5, E))):
            residual[row] = share * ellipse_perimeter(axes[i], axes[j]) - tape
            slope[row, i], slope[row, j] = (share * part for part in _perimeter_slopes(axes[i], axes[j]))
        step = np.linalg.solve(slope, residual)
        axes = axes - step
        if axes.min() <= 0 or not np.isfinite(axes).all():
            return None
        if np.abs(step).max() < 1e-10 * axes.max():
            break
    else:
        return None
    a, b, c = (float(axis) for axis in axes)
    low, high = AXIS_RATIOS
    return (a, b, c) if all(low <= ratio <= high for ratio in (a / b, a / c, b / c)) else None


def _perimeter_slopes(p: float, q: float) -> tuple[float, float]:
    """How fast the perimeter of the ellipse (p, q) grows with p and with q (DLMF 19.4.2 for dE/dm, MEMORY)."""
    from scipy.special import ellipe, ellipk

    m = 1 - (q / p) ** 2
    per_m = (ellipe(m) - ellipk(m)) / (2 * m) if abs(m) > 1e-6 else -math.pi / 8 * (1 + 3 * m / 8)
    with_q = float(-8 * q / p * per_m)
    return (ellipse_perimeter(p, q) - q * with_q) / p, with_q


def _refuse_impossible(tapes: Tapes, index: int) -> None:
    value, label, field = tapes[index], TAPE_LABELS[index], Tapes._fields[index]
    low, high = _POSSIBLE_MM[index]
    if not math.isfinite(value) or value <= 0:
        raise TapesError(f"{_refusal(tapes)} The {label} tape must be a length above zero.", field)
    if low <= value <= high:
        return
    meant = [f"{value:g} {unit} ({value * mm:.0f} mm)" for unit, mm in _UNITS_IN_MM if _is_usual(index, value * mm)]
    advice = f"Was {' or '.join(meant)} meant?" if meant else "Take it again."
    raise TapesError(f"{_refusal(tapes)} The {label} tape of a head is {low:.0f} to {high:.0f} mm. {advice}", field)


def _refusal(tapes: Tapes) -> str:
    values = ", ".join(f"{label} {tape:g} mm" for label, tape in zip(TAPE_LABELS, tapes, strict=True))
    return f"These tapes cannot belong to one head: {values}."


def _is_usual(index: int, value_mm: float) -> bool:
    low, high = _USUAL_MM[index]
    return low <= value_mm <= high


def _out_of_keeping(tapes: Tapes, assumed: tuple[str, ...]) -> TapesError:
    """The refusal of three tapes that fit no head: the one that strays furthest from the other two is named."""
    ratios = [math.log(tape / usual) for tape, usual in zip(tapes, ASSUMED_TAPES, strict=True)]
    strays = [ratio - (sum(ratios) - ratio) / 2 for ratio in ratios]
    for index in sorted(range(3), key=lambda i: -abs(strays[i])):
        field, label = Tapes._fields[index], TAPE_LABELS[index]
        fitting = tapes[index] / math.exp(strays[index])
        low, high = _POSSIBLE_MM[index]
        if not low <= fitting <= high or _solve(tapes._replace(**{field: fitting})) is None:
            continue
        advice = (  # the tape that nobody took is not blamed
            f"The {label} tape was not taken, and an average head's is out of keeping with the other two: take it"
            if field in assumed
            else f"The {label} tape is out of keeping with the other two: take it again"
        )
        return TapesError(f"{_refusal(tapes)} {advice} (about {fitting:.0f} mm would go with them).", field)
    return TapesError(f"{_refusal(tapes)} No single one of them explains it: take all three again.")
