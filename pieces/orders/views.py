"""Orders to makers: the list, a new one, the page of one, and one as a file to send. What changes one that clients may
wait for is in `fittings.special_orders`, which tells the desk.
"""

from __future__ import annotations

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.utils.timezone import localdate, now
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_safe

from pieces.models import MakerOrder
from pieces.orders.forms import NewOrderForm
from pieces.orders.page import order_page
from pieces.orders.reading import SHOWN, lines_of, order_of, orders_listed
from salon.common.access import needs
from salon.common.csv_out import csv_response
from salon.current import SalonRequest

ORDERS_A_PAGE = 25
HEADER = ("order", "maker", "piece", "shade code", "shade", "length (mm)", "how many", "note")


@needs("pieces.view_makerorder")
@require_safe
def maker_orders(request: SalonRequest) -> HttpResponse:
    shown = request.GET.get("show", "")
    shown = shown if shown in SHOWN else ""
    context = {
        "place": "pieces",
        "shown": shown,
        "heading": SHOWN[shown][0],
        "choices": [(word, label) for word, (label, _) in SHOWN.items()],
        "page": Paginator(orders_listed(shown), ORDERS_A_PAGE).get_page(request.GET.get("page")),
        "asked": f"show={shown}" if shown else "",
        "today": localdate(),
    }
    return render(request, "pieces/orders/orders.html", context)


@needs("pieces.add_makerorder")
@require_http_methods(["GET", "POST"])
@never_cache  # the form's key is for one order: going back must not bring the same one again
def maker_order_new(request: SalonRequest) -> HttpResponse:
    form = NewOrderForm(request.POST if request.method == "POST" else None)
    if form.is_valid() and (order := form.draft(by=request.user, at=now())):
        messages.success(request, f"A draft to {order.maker} is begun. Put on it what you want.")
        return redirect(order)
    drafts = MakerOrder.objects.filter(state=MakerOrder.State.DRAFT).select_related("maker").with_counts()
    context = {"place": "pieces", "form": form, "drafts": drafts.order_by("-drafted_at")[:ORDERS_A_PAGE]}
    return render(request, "pieces/orders/new.html", context)


@needs("pieces.view_makerorder")
@require_safe
def maker_order(request: SalonRequest, reference: str) -> HttpResponse:
    return order_page(request, order_of(reference))


@needs("pieces.view_makerorder")
@require_safe
def maker_order_csv(request: SalonRequest, reference: str) -> HttpResponseBase:
    """The order as the maker needs it: nobody's name and no cost."""
    order = order_of(reference)
    rows = [
        (
            order.reference,
            order.maker.name,
            line.variant.piece.name,
            line.variant.shade.code,
            line.variant.shade.name,
            line.variant.length_mm,
            line.count,
            line.note,
        )
        for line in lines_of(order)
    ]
    return csv_response(f"order-{order.reference}", HEADER, rows)
