"""A client's hair over time: every map that was signed, what it comes to, and what has changed since the one before.

All maps are laid on one head, that of the newest tapes: with each visit's own, a tape read half a centimetre longer
would make the thinning grow. The table of what was measured at each visit stays on that visit's assessment.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

from django.utils.safestring import SafeString, mark_safe

from clients.models import Assessment, Client
from clients.scalp.comparing import MapChange, Measured, map_change, measured
from clients.scalp.drawing import Detail, draw_view_with
from clients.scalp.head import Head, TapesError
from clients.scalp.loss_map import LossMap
from clients.scalp.views import view_named

_PICTURE_SIZE = 132
_ROW = Detail(rows=22, columns=32, hairs=160, shades=2)  # as fine as a picture of this size can show


@dataclass(frozen=True)
class Visit:
    """One signed map; `change` is since the one before, None at the first."""

    assessment: Assessment
    loss_map: LossMap
    measured: Measured
    change: MapChange | None

    @property
    def was_taken_over(self) -> bool:
        """Whether nothing was painted anew: an assessment starts from the map of the last one."""
        return self.change is not None and self.change.is_none


@dataclass(frozen=True)
class HeadOfAll:
    """The head on which every map is laid, and the assessment whose tapes it is; None when all are assumed."""

    head: Head
    of: Assessment | None


@dataclass(frozen=True)
class HairOverTime:
    """Her visits, newest first, and the head they are laid on."""

    visits: list[Visit]
    on: HeadOfAll

    @property
    def newest(self) -> Visit | None:
        return self.visits[0] if self.visits else None


def hair_of(client: Client) -> HairOverTime:
    """One query, whatever the number of visits."""
    assessments = list(client.assessments.over_time().select_related("stylist"))
    on = head_of_all(assessments)
    maps = [LossMap.from_hex(assessment.density_hex) for assessment in assessments]
    changes = [map_change(before, after, on.head) for after, before in pairwise(maps)]
    visits = [
        Visit(assessment, loss_map, measured(loss_map, on.head), change)
        for assessment, loss_map, change in zip(assessments, maps, [*changes, None], strict=False)
    ]
    return HairOverTime(visits, on)


def head_of_all(assessments: Sequence[Assessment]) -> HeadOfAll:
    """The head of the newest assessment with any tape taken; the average head when there is none."""
    for assessment in assessments:
        if any(tape is not None for tape in assessment.tapes().values()):
            try:
                return HeadOfAll(Head.from_tapes(**assessment.tapes()), assessment)
            except TapesError:  # stored before such tapes could be refused
                continue
    return HeadOfAll(Head.from_tapes(), None)


@lru_cache(maxsize=512)  # about 8 kB each
def small_picture(loss_map: LossMap, head: Head) -> SafeString:
    """The map from above, for a row of the table; what it shows stands in words beside it."""
    drawing = draw_view_with(
        loss_map, head, view_named("top"), "", title="Remaining hair, from above", size=_PICTURE_SIZE, detail=_ROW
    )
    return mark_safe(drawing)  # noqa: S308  # our own drawing of numbers
