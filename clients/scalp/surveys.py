"""Is this tape usual: which of the three tapes lies outside what open surveys of heads found?

A tape outside their 1st to 99th percentile is worth taking again, and is kept when it reads the same: one person in
fifty lies outside. What cannot be a head at all `tapes` refuses. Women and men are taken together, so the range is the
lowest 1st to the highest 99th percentile of both surveys and both sexes. Front to nape was in neither survey; it is
judged by the shape it gives together with the ear-to-ear tape. Millimetres.

Sources: NIOSH head-and-face survey 2003, dataset RD-10130-2020-0, Zhuang and Bradtmiller 2005, J Occup Environ Hyg
2:567-576 (1,454 women, 2,543 men, unweighted, ages 17-66); ANSUR II 2012, Gordon et al. 2014, NATICK/TR-15/007
(1,986 women, 4,082 men). Raw tables READ, percentiles COMPUTED from them. Ear to ear is the bitragion coronal arc,
taken from ear to ear over the crown; ANSUR II does not have it.
"""

import math
from typing import Final, NamedTuple

from clients.scalp.tapes import ASSUMED_TAPES, Tapes, TapesError, semi_axes_from_tapes
from salon.common.lengths import LengthUnit, format_length


class SurveyRange(NamedTuple):
    """The 1st and 99th percentile of one tape in one survey."""

    survey: str
    sex: str
    p01_mm: float
    p99_mm: float


CIRCUMFERENCE: Final = (
    SurveyRange("NIOSH 2003", "F", 515.5, 615.0),
    SurveyRange("NIOSH 2003", "M", 536.0, 620.0),
    SurveyRange("ANSUR II 2012", "F", 521.0, 611.0),
    SurveyRange("ANSUR II 2012", "M", 538.0, 614.2),
)
EAR_TO_EAR: Final = (
    SurveyRange("NIOSH 2003", "F", 305.0, 379.0),
    SurveyRange("NIOSH 2003", "M", 320.0, 384.6),
)
LENGTH_OVER_WIDTH: Final = (1.00, 1.44)
"""Shape that the tapes may give, hairline length over width, without a warning.

Below: nobody of 10,065 surveyed was wider than long (least head length over breadth 1.04). Above: the highest 99th
percentile of length over breadth (NIOSH 2003 men, 1.436). COMPUTED from the raw tables. The hairline is shorter than
the head is long, so the lower end is not the surveys' 1st percentile.
"""

_CIRCUMFERENCE_HOW: Final = "the circumference again, level along the hairline and above the ears"
_EAR_TO_EAR_HOW: Final = "ear to ear again, from the top of one ear over the top of the head to the other"
_FRONT_TO_NAPE_HOW: Final = "front to nape again, from the front hairline over the crown to the nape hairline"


def tape_warnings(
    *,
    circumference_mm: float | None = None,
    front_to_nape_mm: float | None = None,
    ear_to_ear_mm: float | None = None,
    units: LengthUnit = "cm",
) -> list[str]:
    """A plain sentence for each doubtful tape: what was typed, what is usual, which tape to take again and how.

    Tapes that were not taken (None) are not judged. An empty list means that nothing is doubtful, not that it is right.
    """
    warnings = []
    if circumference_mm is not None:
        warnings += _outside("Circumference", circumference_mm, CIRCUMFERENCE, _CIRCUMFERENCE_HOW, units)
    if ear_to_ear_mm is not None:
        warnings += _outside("Ear to ear", ear_to_ear_mm, EAR_TO_EAR, _EAR_TO_EAR_HOW, units)
    if front_to_nape_mm is not None and ear_to_ear_mm is not None:
        tapes = Tapes(circumference_mm or ASSUMED_TAPES.circumference_mm, front_to_nape_mm, ear_to_ear_mm)
        warnings += _out_of_shape(tapes, units)
    return warnings


def usual_range_mm(ranges: tuple[SurveyRange, ...]) -> tuple[float, float]:
    """The lowest 1st and the highest 99th percentile of the surveys, to the whole millimetre outwards."""
    return math.floor(min(one.p01_mm for one in ranges)), math.ceil(max(one.p99_mm for one in ranges))


def _outside(label: str, tape_mm: float, ranges: tuple[SurveyRange, ...], how: str, units: LengthUnit) -> list[str]:
    low_mm, high_mm = usual_range_mm(ranges)
    tape, low, high = (format_length(length_mm, units) for length_mm in (tape_mm, low_mm, high_mm))
    if low_mm <= tape_mm <= high_mm or tape in (low, high):  # what prints as the range's end is not outside it
        return []
    return [
        f"{label} {tape} is unusual: nearly everyone surveyed measured {low} to {high}. "
        f"Take {how}; keep it if it reads the same."
    ]


def _out_of_shape(tapes: Tapes, units: LengthUnit) -> list[str]:
    try:
        a, b, _ = semi_axes_from_tapes(tapes)
    except TapesError:
        return []  # a refusal, and that is for the caller who wants the head
    low, high = LENGTH_OVER_WIDTH
    if low <= a / b <= high:
        return []
    shape = "wider than it is long" if a / b < low else "much longer than it is wide"
    front_to_nape, ear_to_ear = (format_length(tape_mm, units) for tape_mm in tapes[1:])
    return [
        f"Front to nape {front_to_nape} does not go well with ear to ear {ear_to_ear}: together they make the head "
        f"{shape}, which nearly nobody surveyed was. Take {_FRONT_TO_NAPE_HOW}; keep it if it reads the same."
    ]
