"""Works care dates out anew where a house rule or the salon's own figure has changed since they were worked out.

The sender of messages runs it (`manage.py send_reminders`): a few pieces at a time, the longest waiting first, each in
a transaction of its own. It can be stopped after any piece, and the next run goes on where this one was.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

from django.db.models import F, Max, Q, QuerySet

from clients.models import Client
from fittings.care.numbers import CARE_NUMBERS
from fittings.caring import work_out_care
from fittings.hours_kept import salon_zone
from fittings.models import HouseRule, LifeLearnt, OwnedPiece

AT_MOST = 500
KEYS = [*(info.key for info in CARE_NUMBERS), "check_up_weeks"]


def work_out_afresh(*, at: datetime, at_most: int = AT_MOST, stop: Callable[[], bool] = lambda: False) -> int:
    """Bring in step what waits for it; returns for how many pieces. `stop` is asked before each."""
    on, done = at.astimezone(salon_zone()).date(), 0
    for owned in list(waiting_for_it()[:at_most]):
        if stop():
            break
        work_out_care(owned=owned, on=on)
        done += 1
    return done


def waiting_for_it() -> QuerySet[OwnedPiece]:
    """Pieces a client has whose dates were worked out before a figure changed, or never; the longest first."""
    figures_changed_at = max(
        (moment for moment in (_house_rules_changed_at(), _life_learnt_at()) if moment is not None), default=None
    )
    waits = Q(care_worked_out_at__isnull=True)
    if figures_changed_at is not None:
        waits |= Q(care_worked_out_at__lt=figures_changed_at)
    hers = OwnedPiece.objects.current().filter(waits, client__in=Client.objects.active())
    return hers.order_by(F("care_worked_out_at").asc(nulls_first=True))


def _house_rules_changed_at() -> datetime | None:
    moment: datetime | None = HouseRule.history.filter(key__in=KEYS).aggregate(at=Max("history_date"))["at"]
    return moment


def _life_learnt_at() -> datetime | None:
    moment: datetime | None = LifeLearnt.objects.aggregate(at=Max("learnt_at"))["at"]
    return moment
