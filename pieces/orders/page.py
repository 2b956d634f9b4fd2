"""The page of one order: what stands on it, what may be done now, and what a form was refused for."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import render
from django.utils.timezone import localdate

from pieces.lead_times import lead_times
from pieces.models import MakerOrder, OrderLine
from pieces.orders.forms import (
    CloseForm,
    DropForm,
    ExpectedForm,
    LineAddForm,
    LineChangeForm,
    QuietForm,
    ReceiveForm,
)
from pieces.orders.reading import MOST_FOUND, came_with, lines_of, variants_to_order
from salon.current import SalonRequest

UNITS_A_PAGE = 25
LONGEST_QUESTION = 80
EXPECT_ID = "id_expect_%s"  # two forms on the page ask for a day


@dataclass(frozen=True)
class LineShown:
    line: OrderLine
    form: LineChangeForm | None = None

    @property
    def is_open(self) -> bool:
        """Its form was sent and came back."""
        return self.form is not None and self.form.is_bound


def order_page(request: SalonRequest, order: MakerOrder, refused: QuietForm | None = None) -> HttpResponse:
    """The page, with a form that was refused in the place of its fresh one."""
    order.refresh_from_db()
    lines, sees_costs = lines_of(order), request.user.has_perm("pieces.review_sale")
    may_change = request.user.has_perm("pieces.change_makerorder")
    context = {
        "place": "pieces",
        "order": order,
        "today": localdate(),
        "rows": [LineShown(line, _change_form(line, order, refused, sees_costs, may_change)) for line in lines],
        "specials": sum(line.for_client_id is not None and line.to_come > 0 for line in lines),
        "ordered": sum(line.count for line in lines),
        "here": sum(line.received_count for line in lines),
        "sees_costs": sees_costs,
        "came": Paginator(came_with(order), UNITS_A_PAGE).get_page(request.GET.get("page")),
        "asked": "",
    }
    if sees_costs:
        context["cost_minor"] = sum(line.cost_minor * line.count for line in lines if line.cost_minor is not None)
        context["without_cost"] = sum(line.cost_minor is None for line in lines)
    forms = _forms(request, order, lines, may_change)
    if order.is_draft and may_change:
        context |= _found(request, order, refused) | {"lead": lead_times(on=localdate()).get(order.maker_id)}
    context |= forms
    if refused is not None:
        context |= _refused_in_place(refused, context, lines)
    return render(request, "pieces/orders/order.html", context)


def _forms(request: SalonRequest, order: MakerOrder, lines: list[OrderLine], may_change: bool) -> dict[str, QuietForm]:
    """What may be done with the whole order now, by this reader."""
    forms: dict[str, QuietForm] = {}
    if order.is_draft and may_change:
        forms = {"send": ExpectedForm(), "drop": DropForm()}
    elif order.is_on_the_way:
        if request.user.has_perm("pieces.add_stockmovement"):
            forms["receive"] = ReceiveForm(lines=lines, today=localdate())
        if may_change:
            forms["expect"] = ExpectedForm(initial={"expected_on": order.expected_on}, auto_id=EXPECT_ID)
            forms["close"] = CloseForm()
    return forms


def _change_form(
    line: OrderLine, order: MakerOrder, refused: QuietForm | None, sees_costs: bool, may_change: bool
) -> LineChangeForm | None:
    if not (order.is_draft and may_change):
        return None
    if isinstance(refused, LineChangeForm) and refused.line.pk == line.pk:
        return refused
    return LineChangeForm(line=line, currency=order.currency, sees_costs=sees_costs)


def _found(request: SalonRequest, order: MakerOrder, refused: QuietForm | None) -> dict[str, Any]:
    """What the catalogue has of this maker under the words that were asked for, each with its own small form."""
    words = (request.POST.get("q") or request.GET.get("q", "")).strip()[:LONGEST_QUESTION]
    found = list(variants_to_order(words, on=localdate(), maker=order.maker)[: MOST_FOUND + 1]) if words else []
    added = refused if isinstance(refused, LineAddForm) else None
    asked_for = str(added.data.get("variant", "")) if added else ""
    return {
        "q": words,
        "found": [
            (one, added if added and str(one.pk) == asked_for else LineAddForm(order=order, variant=one))
            for one in found[:MOST_FOUND]
        ],
        "there_are_more": len(found) > MOST_FOUND,
    }


def _refused_in_place(refused: QuietForm, context: dict[str, Any], lines: list[OrderLine]) -> dict[str, Any]:
    """The refused form where its fresh one stood; its sentences also where the page opens, for it may be a long one."""
    if isinstance(refused, ReceiveForm):
        refused.renew(lines)
    places = {
        name: refused
        for name in ("send", "drop", "receive", "expect", "close")
        if type(there := context.get(name)) is type(refused) and there.auto_id == refused.auto_id
    }
    sentences = dict.fromkeys(str(sentence) for about in refused.errors.values() for sentence in about)
    return {**places, "sentences": list(sentences)}
