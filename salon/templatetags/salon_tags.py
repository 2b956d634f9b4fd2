"""Shows a length, a price, a temperature the way this reader writes them; decides nothing."""

from __future__ import annotations

from typing import Any

from django import template
from django.utils.safestring import SafeString, mark_safe

from salon.common.lengths import format_length
from salon.common.money import format_minor
from salon.common.temperatures import format_temperature

register = template.Library()


def _imperial(context: dict[str, Any]) -> bool:
    return bool(context.get("units") == "imperial")


@register.simple_tag(takes_context=True)
def length(context: dict[str, Any], millimetres: float | None) -> str:
    """“34.0 cm” or “13 ⅜ in”; a dash where nothing was measured."""
    return "–" if millimetres is None else format_length(float(millimetres), "in" if _imperial(context) else "cm")


@register.simple_tag(takes_context=True)
def temperature(context: dict[str, Any], celsius: float | None) -> str:
    return "–" if celsius is None else format_temperature(float(celsius), "F" if _imperial(context) else "C")


@register.filter
def money(minor: int | None, currency: str) -> str:
    return "–" if minor is None else format_minor(minor, currency)


@register.filter
def percent(share: float | None) -> str:
    """A share of one as whole percent."""
    return "–" if share is None else f"{round(100 * share)} %"


@register.simple_tag(takes_context=True)
def current_place(context: dict[str, Any], place: str) -> SafeString:
    """Marks the place of the header in which this page lies (`place` in the page's context)."""
    return mark_safe('aria-current="page"' if context.get("place") == place else "")  # noqa: S308  # a constant, no input
