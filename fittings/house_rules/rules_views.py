"""The table of all rules for whoever wants to know why something is said, with the house numbers each of them reads."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.http import HttpResponse
from django.utils.timezone import localdate
from django.views.decorators.http import require_safe

from fittings.candidates import rule_book
from fittings.house_numbers import ALL_NUMBERS
from fittings.house_rules.changes import newest_changes
from fittings.house_rules.rules_asked import WEIGHTS, RulesAsked
from fittings.house_rules.views import units_of
from fittings.models import HouseRule
from fittings.rules.engine import RuleRow, rule_table
from fittings.rules.wording import say_number
from salon.common.access import needs
from salon.common.htmx import render_page_or_part
from salon.current import SalonRequest


@dataclass(frozen=True, slots=True)
class NumberRead:
    """A house number below a rule that reads it."""

    key: str
    label: str
    now: str
    start: str
    changed: Any
    """The last entry of its history; None while it holds its start value for ever."""


@needs("fittings.view_houserule")
@require_safe
def rules(request: SalonRequest) -> HttpResponse:
    """Every rule in force today; narrowed by the form, which works without a script."""
    units, numbers, changed = units_of(request), HouseRule.objects.current(), newest_changes()
    table = rule_table(rule_book(), numbers, on=localdate(), units=units)
    subjects = list(dict.fromkeys(row.subject for row in table))
    asked = RulesAsked.of(request.GET, subjects)

    def read_by(row: RuleRow) -> list[NumberRead]:
        return [
            NumberRead(
                key,
                info.label,
                say_number(numbers[key], info.unit, units),
                say_number(info.start, info.unit, units),
                changed.get(key),
            )
            for key in row.house_numbers
            for info in (ALL_NUMBERS[key],)
        ]

    context = {
        "place": "fittings",
        "asked": asked,
        "subjects": subjects,
        "weights": WEIGHTS.items(),
        "rules": [(row, read_by(row)) for row in table if asked.has(row)],
        "how_many": len(table),
    }
    return render_page_or_part(
        request, "fittings/house_rules/rules.html", "fittings/house_rules/_rules_found.html", context
    )
