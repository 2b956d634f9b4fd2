"""Draws an owned piece as it is now, a grade as shape and word, and says how long until a day; decides nothing."""

from __future__ import annotations

from datetime import date
from typing import Any

from django import template
from django.utils.formats import date_format
from django.utils.html import format_html
from django.utils.safestring import SafeString

from fittings.models import OwnedPiece, Wear
from pieces.bases.construction import Clip
from pieces.bases.drawing import draw_base, frame_of

register = template.Library()

SHAPES = {Wear.AS_NEW: "○", Wear.LIGHT: "◔", Wear.MARKED: "◑", Wear.DONE: "●"}


@register.inclusion_tag("pieces/_base_drawing.html", takes_context=True)
def owned_drawing(context: dict[str, Any], owned: OwnedPiece) -> dict[str, Any]:
    """The base with the clips where they sit now, which is not always where the maker sewed them."""
    base, units = owned.unit.variant.piece.base, context.get("units")
    clips = [Clip(float(one["u_mm"]), float(one["v_mm"]), float(one["length_mm"])) for one in owned.clips]
    drawing = draw_base(base.shape_with(clips, base.tape_areas.all()))
    box = frame_of(drawing, scale_mm=25.4 if units == "imperial" else 20.0)
    return {"base": base, "drawing": drawing, "box": box, "units": units}


@register.simple_tag
def grade(given: Wear | None) -> SafeString:
    """“◔ Lightly worn”; a dash for a part that was not looked at."""
    if given is None:
        return format_html('<span class="quiet">{}</span>', "–")
    return format_html('<span aria-hidden="true">{}</span> {}', SHAPES[given], given.label)


@register.filter
def day_in_words(kept: str) -> str:
    """“2 January 2026”, from a day kept as 2026-01-02; what is no day is shown as it is."""
    try:
        return date_format(date.fromisoformat(kept), "j F Y")
    except ValueError:
        return kept


@register.filter
def how_due(due_on: date, today: date) -> str:
    """“3 days overdue”, “due today”, “due in 12 days”."""
    days = (due_on - today).days
    if days == 0:
        return "due today"
    count = f"{abs(days)} day" if abs(days) == 1 else f"{abs(days)} days"
    return f"{count} overdue" if days < 0 else f"due in {count}"
