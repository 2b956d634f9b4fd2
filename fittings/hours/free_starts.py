"""At which of given moments can a visit begin, with whom and where?

The stylist must be free for the visit, the place for the visit and the clean-up after it. Which moments are looked at
(the quarter hours of the wall clock, those of a part of the day) and what is free are the caller's to say.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta

import numpy as np
import numpy.typing as npt

from fittings.hours.spans import Span


def free_starts(
    *,
    starts: Sequence[datetime],
    stylists_free: Sequence[Sequence[Span]],
    places_free: Sequence[Sequence[Span]],
    minutes: int,
    clean_up_minutes: int,
) -> Iterator[tuple[datetime, int, int]]:
    """(start, which stylist, which place), in order of time and then of the stylists; the first free place each.

    starts: sorted, in UTC. Free time: one list of spans for each stylist and place, in no matter which order but such
    that no two touch, as `spans.merged` gives them: a visit has to fit into one of them.
    """
    if not places_free:
        return
    visit, visit_and_clean_up = timedelta(minutes=minutes), timedelta(minutes=minutes + clean_up_minutes)
    stylists_can = np.array([_can_begin(starts, free, visit) for free in stylists_free], dtype=bool)
    places_can = np.array([_can_begin(starts, free, visit_and_clean_up) for free in places_free], dtype=bool)
    somewhere = places_can.any(axis=0)
    first_place = places_can.argmax(axis=0)  # the first True of each column
    if not stylists_can.size:
        return
    for start, stylist in np.argwhere((stylists_can & somewhere).T).tolist():
        yield starts[start], stylist, int(first_place[start])


def _can_begin(starts: Sequence[datetime], free: Sequence[Span], lasting: timedelta) -> npt.NDArray[np.bool_]:
    """For each start, whether so much time from then on lies in one free span."""
    can = np.zeros(len(starts), dtype=bool)
    for span in free:
        can[bisect_left(starts, span.starts_at) : bisect_right(starts, span.ends_at - lasting)] = True
    return can
