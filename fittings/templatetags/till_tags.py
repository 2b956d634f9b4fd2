"""What is still to be paid, in templates of the till."""

from __future__ import annotations

from typing import Any

from django import template

register = template.Library()


@register.filter
def owed(sale: Any) -> int:
    """Of a sale fetched with its money; never below nothing."""
    return max(0, int(sale.total_minor - sale.paid_minor))
