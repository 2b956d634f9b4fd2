"""How what happened with a unit itself is fetched and worded: where it lay, and on whom it was tried."""

from __future__ import annotations

from typing import Any

from django.db.models import F, QuerySet, Window
from django.db.models.functions import Lag
from django.urls import reverse

from fittings.models import TryOn
from fittings.timeline.rows import Row, Source, day, said
from pieces.models import Unit


def _versions(unit: Unit) -> QuerySet[Any]:
    """Each version of its row with what the one before it said of where it lay."""
    versions: QuerySet[Any] = unit.history.annotate(
        was=Window(Lag("state"), order_by=[F("history_date").asc(), F("history_id").asc()])
    )
    return versions.select_related("history_user")


def _version(version: Any, imperial: bool) -> Row:
    where = version.get_state_display().lower()
    if version.history_type == "+":
        word, title = "Came in", f"On {day(version.received_on)}: {where}"
    elif version.was == version.state:
        word, title = "Details changed", where.capitalize()
    else:
        word, title = "Moved", where.capitalize()
    return Row(
        at=version.history_date,
        word=word,
        title=title,
        facts=said(("Condition", version.condition), ("By", version.history_user)),
        salon_only=True,
    )


def _tried(try_on: TryOn, imperial: bool) -> Row:
    return Row(
        at=try_on.logged_at,
        word="Tried on",
        title=f"In visit {try_on.fitting.reference}: {try_on.get_outcome_display().lower()}",
        facts=said(
            ("Covers", try_on.get_covers_display().lower()),
            ("Sits", try_on.get_sits_display().lower()),
            ("Matches", try_on.get_matches_display().lower()),
            ("Logged by", try_on.logged_by),
        ),
        link="Open the visit",
        address=reverse("fitting", args=[try_on.fitting.reference]),
    )


UNIT_SOURCES: tuple[Source[Unit], ...] = (
    Source("where it lay", "pieces.view_unit", "history_date", _versions, _version, key="history_id"),
    Source(
        "try-ons",
        "clients.view_health",
        "logged_at",
        lambda unit: unit.try_ons.select_related("fitting", "logged_by"),
        _tried,
    ),
)
