"""What a variant has cost since when: read from the history that every change of the catalogue leaves."""

from __future__ import annotations

from datetime import date
from typing import Any, Final

from django.db.models import F, Q, QuerySet, Value, Window
from django.db.models.functions import Coalesce, Lag

from pieces.models import Variant

# what is told of a variant, with what stands for nothing, so that nothing equals nothing in SQL too
_TOLD: Final[dict[str, Any]] = {"price_minor": 0, "cost_minor": -1, "currency": "", "discontinued_on": date(1, 1, 1)}


def prices_of(variant: Variant, *, with_costs: bool) -> QuerySet[Any]:
    """The entries of its history that changed what is told of it, newest first.

    Without costs one that changed nothing but the cost is left out: that it changed would be told too.
    """
    in_time = [F("history_date").asc(), F("history_id").asc()]
    entries: QuerySet[Any] = variant.history.annotate(entry_before=Window(Lag("history_id"), order_by=in_time))
    changed = Q(entry_before__isnull=True)
    for name, nothing in _TOLD.items():
        if name == "cost_minor" and not with_costs:
            continue
        said = Coalesce(name, Value(nothing))
        entries = entries.annotate(**{f"{name}_said": said, f"{name}_before": Window(Lag(said), order_by=in_time)})
        changed |= ~Q(**{f"{name}_said": F(f"{name}_before")})
    return entries.filter(changed).select_related("history_user").order_by("-history_date", "-history_id")
