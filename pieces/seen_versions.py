"""Which version of a record did a page show, and what has somebody else changed since?

A record of the catalogue keeps its versions (django-simple-history). A page sends back the key of the one it showed; a
deed that is handed it refuses to write over a newer one, and says what stands there now and who wrote it.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from django.core.exceptions import NON_FIELD_ERRORS, ValidationError
from django.db import models
from django.utils.timezone import localtime

from salon.common.money import format_minor

NOT_SHOWN = "This page was sent without what it had shown. Look at it once more, then save again."
_UNITS = {"_mm": "mm", "_c": "°C", "_g": "g"}


class ChangedMeanwhile(ValidationError):  # noqa: N818  # a refusal to be read, as every ValidationError is
    """Somebody else has written since the page was shown; nothing is lost, for nothing was written over."""


def version_of(row: Any) -> int:
    """The key of its newest version; 0 of a record that keeps none yet."""
    newest = row.history.order_by("-history_id").values_list("history_id", flat=True).first()
    return newest or 0


def refuse_if_changed_since(row: Any, shown: int | None, parts: Mapping[str, str]) -> None:
    """Raises ChangedMeanwhile unless `shown` is the newest version of the row, handed in as stored; None asks nothing.

    parts: what is kept in rows of its own, by name, as it reads now; a version's reason names those it changed.
    """
    newest = row.history.select_related("history_user").order_by("-history_id").first()
    if shown is None or shown == (newest.history_id if newest else 0):
        return
    seen = row.history.filter(history_id=shown).first()
    if seen is None or newest is None:
        raise ChangedMeanwhile(NOT_SHOWN)
    since = row.history.filter(history_id__gt=shown).values_list("history_change_reason", flat=True)
    changed_parts = {name for reason in since if reason for name in reason.split(", ")}
    when = localtime(newest.history_date)
    who = newest.history_user or "Somebody at a terminal"
    general = (
        f"{who} changed this on {when.day} {when:%b at %H:%M}, while the page was open. "
        "Nothing was written over: look at what is marked, then save again to keep what stands here."
    )
    beside = {
        field.name: f"Meanwhile it says: {_said(row, field)}."
        for field in row._meta.concrete_fields
        if getattr(seen, field.attname, None) != getattr(row, field.attname)
    }
    beside |= {name: f"Meanwhile it says: {now or 'nothing'}." for name, now in parts.items() if name in changed_parts}
    raise ChangedMeanwhile({NON_FIELD_ERRORS: [general], **beside})


def _said(row: models.Model, field: models.Field[Any, Any]) -> str:
    """The value as a person reads it."""
    value = getattr(row, field.name)
    if value is None or value == "":
        return "nothing"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if field.choices:
        return str(getattr(row, f"get_{field.name}_display")())
    if field.name.endswith("_minor"):
        return format_minor(value, row.currency)  # type: ignore[attr-defined]  # what has a price has a currency
    if isinstance(value, date):
        return f"{value.day} {value:%B %Y}"
    unit = next((unit for ending, unit in _UNITS.items() if field.name.endswith(ending)), "")
    return f"{value} {unit}".strip()
