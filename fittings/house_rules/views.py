"""The house numbers of the owner: all of them by subject, the history of one, and the way back."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils.timezone import localdate
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from fittings.candidates import rule_book
from fittings.house_numbers import ALL_NUMBERS
from fittings.house_rules.changes import changes_of
from fittings.house_rules.form import HouseRulesForm
from fittings.house_rules.number_typed import as_typed, in_readers_units
from fittings.keeping_house_rules import Change, put_back
from fittings.models import HouseRule
from fittings.rules.engine import rule_table
from fittings.rules.wording import Units
from salon.common.access import needs
from salon.current import SalonRequest, reader_units
from salon.models import Units as SalonUnits


@needs("fittings.change_houserule")
@require_http_methods(["GET", "POST"])
def house_rules(request: SalonRequest) -> HttpResponse:
    posted = request.POST if request.method == "POST" else None
    form = HouseRulesForm(posted, current=HouseRule.objects.current(), units=units_of(request))
    if form.is_valid() and (changes := form.keep(by=request.user)) is not None:
        _tell(request, changes)
        return redirect("house-rules")
    return render(request, "fittings/house_rules/house_rules.html", {"form": form})


@needs("fittings.view_houserule")
@require_safe
def house_rule(request: SalonRequest, key: str) -> HttpResponse:
    """One number: what it is, who changed it when, and the rules that read it."""
    info = ALL_NUMBERS.get(key)
    if info is None:
        raise Http404("There is no such house rule.")
    units, value = units_of(request), HouseRule.objects.current()[key]
    context = {
        "info": info,
        "value": value,
        "value_for_reader": in_readers_units(value, info.unit, units),
        "shown": as_typed(value),
        "changes": changes_of(key),
        "read_by": [row for row in rule_table(rule_book(), {}, on=localdate()) if key in row.house_numbers],
    }
    return render(request, "fittings/house_rules/house_rule.html", context)


@needs("fittings.change_houserule")
@require_POST
def house_rule_back(request: SalonRequest, key: str) -> HttpResponse:
    """`to`: "start", or the entry of the history whose value is to hold again."""
    if key not in ALL_NUMBERS:
        raise Http404("There is no such house rule.")
    try:
        to, shown = request.POST.get("to", ""), float(request.POST.get("shown", ""))
        changes = put_back(key=key, to=None if to == "start" else int(to[:18]), shown=shown, by=request.user)
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
    except ValueError:
        messages.error(request, "Choose from the history what is to hold again.")
    else:
        _tell(request, changes)
    return redirect("house-rule", key)


def units_of(request: SalonRequest) -> Units:
    return "imperial" if reader_units(request.user, request.salon) == SalonUnits.IMPERIAL else "metric"


def _tell(request: SalonRequest, changes: list[Change]) -> None:
    if not changes:
        messages.info(request, "Nothing was changed.")
    for change in changes:
        messages.success(request, f"Saved. {change}.")
