"""Shows a length, a price, a temperature the way this reader writes them; decides nothing."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import template
from django.forms import BaseForm
from django.template.defaultfilters import stringfilter
from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe

from salon.colour.lab import css_hex
from salon.common.lengths import format_length
from salon.common.money import format_minor
from salon.common.temperatures import format_temperature
from salon.common.tied import tied
from salon.common.wrong_places import WrongPlace, wrong_places

register = template.Library()
register.filter("tied", stringfilter(tied), is_safe=True)


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


@register.simple_tag(name="wrong_places")
def places_that_are_wrong(form: BaseForm | str | None) -> list[WrongPlace]:
    """For the list above a refused form; a page without one has nothing wrong."""
    return wrong_places(form) if isinstance(form, BaseForm) else []


@register.simple_tag
def swatch(lab: Sequence[float] | None, title: str) -> SafeString:
    """One colour as a small picture with its name; a crossed frame where nothing was measured."""
    if lab is None:
        picture = '<path d="M2 2 46 46 M46 2 2 46" stroke="currentColor" fill="none"/>'
    else:
        picture = f'<rect width="48" height="48" fill="{css_hex(lab)}"/>'
    return format_html(
        '<svg class="swatch" viewBox="0 0 48 48" role="img"><title>{}</title>{}</svg>',
        title,
        mark_safe(picture),  # noqa: S308  # a number from css_hex or a constant
    )


@register.simple_tag(takes_context=True)
def current_place(context: dict[str, Any], place: str) -> SafeString:
    """Marks the place of the header in which this page lies (`place` in the page's context)."""
    return mark_safe('aria-current="page"' if context.get("place") == place else "")  # noqa: S308  # a constant, no input
