"""Numbers of a map as templates write them."""

from django import template

from fittings.over_time.words import number, signed

register = template.Library()


@register.filter
def one_decimal(value: float) -> str:
    """12.3, with a true minus."""
    return number(value)


@register.filter
def with_sign(value: float) -> str:
    """+3.2, −1.0, 0.0."""
    return signed(value)
