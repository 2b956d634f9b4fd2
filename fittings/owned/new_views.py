"""A piece becomes hers: from the salon's stock, or because she brought it."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.timezone import localdate, now
from django.views.decorators.http import require_http_methods

from clients.models import Consent
from fittings.models import OwnedPiece
from fittings.owned.finding import client_of
from fittings.owned.new_form import MOST_FOUND, BroughtForm, FindVariantForm, FromStockForm
from salon.common.access import needs
from salon.current import SalonRequest

BROUGHT = "brought"


@needs("fittings.add_ownedpiece")
@require_http_methods(["GET", "POST"])
def owned_new(request: SalonRequest, reference: str) -> HttpResponse:
    client, today = client_of(reference), localdate()
    asked = request.POST if request.method == "POST" else None
    brings = asked is not None and asked.get("way") == BROUGHT
    stock = FromStockForm(None if brings else asked, client=client, today=today, unit=request.GET.get("unit", ""))
    brought = BroughtForm(asked if brings else None, client=client, today=today)
    find = FindVariantForm((asked if brings else None) or request.GET)
    owned: OwnedPiece | None = None
    if brings and brought.is_valid():
        owned = brought.take_in(by=request.user, at=now())
    elif asked is not None and not brings and stock.is_valid():
        owned = stock.give(by=request.user, at=now())
    if owned:
        messages.success(request, f"{owned} is hers now.")
        return redirect(owned)
    found = find.found()
    context = {
        "place": "clients",
        "client": client,
        "may_record": Consent.objects.allows_record(client),
        "stock": stock,
        "brought": brought,
        "find": find,
        "found": found[:MOST_FOUND],
        "there_are_more": len(found) > MOST_FOUND,
    }
    return render(request, "fittings/owned/new.html", context)
