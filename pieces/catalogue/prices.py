"""What a variant has cost since when: read from the history that every change of the catalogue leaves."""

from __future__ import annotations

from typing import Any

from django.db.models import F, Q, QuerySet, Window
from django.db.models.functions import Lag

from pieces.models import Variant

_TOLD = ("price_minor", "cost_minor", "currency", "discontinued_on")


def prices_of(variant: Variant, *, with_costs: bool) -> QuerySet[Any]:
    """The entries of its history that changed what is told of it, newest first, each with what was before.

    Without costs one that changed nothing but the cost is left out: that it changed would be told too.
    """
    told = [name for name in _TOLD if with_costs or name != "cost_minor"]
    in_time = [F("history_date").asc(), F("history_id").asc()]
    before = {f"{name}_before": Window(Lag(name), order_by=in_time) for name in told}
    number = Window(Lag("history_id"), order_by=in_time)
    changed = Q(entry_before__isnull=True)
    for name in told:
        changed |= ~Q(**{name: F(f"{name}_before")})
        changed |= Q(**{f"{name}__isnull": True, f"{name}_before__isnull": False})
        changed |= Q(**{f"{name}__isnull": False, f"{name}_before__isnull": True})
    entries: QuerySet[Any] = variant.history.annotate(entry_before=number, **before)
    return entries.filter(changed).select_related("history_user").order_by("-history_date", "-history_id")
