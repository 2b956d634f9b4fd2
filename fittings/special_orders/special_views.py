"""A piece is ordered from its maker for one client; and what is on order for her."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.timezone import localdate, now
from django.views.decorators.http import require_http_methods

from fittings.models import AwaitedPiece
from fittings.owned.finding import client_of
from fittings.special_orders.special_form import FindVariantForm, SpecialOrderForm, chosen_in_visits
from pieces.orders.reading import MOST_FOUND
from salon.common.access import needs
from salon.common.money import format_minor
from salon.current import SalonRequest

MOST_ON_ORDER = 25


@needs("pieces.add_orderline", "fittings.add_awaitedpiece")
@require_http_methods(["GET", "POST"])
def special_order(request: SalonRequest, reference: str) -> HttpResponse:
    client = client_of(reference)
    posted = request.POST if request.method == "POST" else None
    form = SpecialOrderForm(
        posted,
        client=client,
        salon=request.salon,
        takes_money=request.user.has_perm("pieces.add_payment"),
    )
    if form.is_valid() and (awaited := form.order(by=request.user, at=now())):
        messages.success(request, f"On order for {client}: {awaited}. The desk awaits it.")
        if deposit := form.cleaned_data.get("deposit_minor"):
            told = format_minor(deposit, request.salon.currency)
            messages.success(request, f"Her deposit of {told} is taken; its receipt stands with the deposits held.")
        here = reverse("special-order", args=[client.reference])
        return redirect(f"{here}#top")  # where it is said; else the browser keeps the place of the search, #which
    find = FindVariantForm(posted or request.GET)
    found = find.found()
    chosen = chosen_in_visits(client) if request.user.has_perm("fittings.view_fitting") else []
    on_order = AwaitedPiece.objects.still_awaited().filter(client=client, order_line__isnull=False)
    context = {
        "place": "clients",
        "client": client,
        "form": form,
        "find": find,
        "chosen": chosen,
        "found": [one for one in found[:MOST_FOUND] if one not in chosen],
        "there_are_more": len(found) > MOST_FOUND,
        "on_order": on_order.select_related("order_line__order__maker", "order_line__sale_line__sale")[:MOST_ON_ORDER],
        "today": localdate(),
    }
    return render(request, "fittings/special_orders/special.html", context)
