"""Every sale, the newest first, narrowed to what is still to be paid or handed over; and the deposits that are held."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from django.contrib import messages
from django.core.paginator import Paginator
from django.db.models import Exists, OuterRef, QuerySet
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.timezone import now
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from clients.models import Client
from fittings.owned.finding import client_of
from fittings.till.money_forms import DepositBackForm, DepositForm
from pieces.models import Payment, Sale, SaleLine
from salon.common.access import needs
from salon.common.money import format_minor
from salon.common.references import normalise_reference
from salon.current import SalonRequest

PAGE_LENGTH = 25
MOST_CLIENTS = 50
SHOWN = {"": "All", "owing": "Still to be paid", "waiting": "To hand over"}


@needs("pieces.view_sale")
@require_safe
def sales(request: SalonRequest) -> HttpResponse:
    show = request.GET.get("show", "")
    show = show if show in SHOWN else ""
    typed = " ".join(request.GET.get("q", "").replace("\x00", "").split())[:80]
    page = Paginator(_found(typed, show), PAGE_LENGTH).get_page(request.GET.get("page"))
    context = {
        "place": "sales",
        "page": page,
        "q": typed,
        "show": show,
        "shows": SHOWN.items(),
        "asked": urlencode({name: value for name, value in (("q", typed), ("show", show)) if value}),
    }
    return render(request, "fittings/till/sales.html", context)


@needs("pieces.view_payment")
@require_safe
def deposits(request: SalonRequest) -> HttpResponse:
    return _held(request)


@needs("pieces.add_payment")
@require_http_methods(["GET", "POST"])
def deposit_new(request: SalonRequest, reference: str) -> HttpResponse:
    client = client_of(reference)
    form = DepositForm(request.POST if request.method == "POST" else None, client=client, salon=request.salon)
    if form.is_valid() and (taken := form.take(by=request.user, at=now())):
        told = format_minor(taken.amount_minor, taken.currency)
        messages.success(request, f"{told} is held for her. {taken.receipt}.")
        return redirect("deposits")
    return render(request, "fittings/till/deposit_new.html", {"place": "sales", "client": client, "form": form})


@needs("pieces.add_payment")
@require_POST
def deposit_back(request: SalonRequest, pk: int) -> HttpResponse:
    """A deposit that is held goes back to her, whole; what is refused is said in its row."""
    deposit = get_object_or_404(Payment.objects.filter(is_deposit=True).select_related("client", "sale"), pk=pk)
    if not Payment.objects.deposits_held().filter(pk=pk).exists():
        messages.info(request, "It counts towards a sale now." if deposit.sale else "It was given back already.")
        return redirect(deposit.sale or "deposits")
    form = DepositBackForm(request.POST, deposit=deposit, salon=request.salon)
    if not (form.is_valid() and (given := form.give(by=request.user, at=now()))):
        return _held(request, refused=form)
    told = format_minor(-given.amount_minor, given.currency)
    messages.success(request, f"{told} given back. {given.receipt}.")
    return redirect("deposits")


def _held(request: SalonRequest, *, refused: DepositBackForm | None = None) -> HttpResponse:
    held = Payment.objects.deposits_held().select_related("client", "by", "receipt")
    page = Paginator(held, PAGE_LENGTH).get_page(request.GET.get("page"))
    may_give = request.user.has_perm("pieces.add_payment")
    rows: list[tuple[Payment, Any]] = [
        (
            one,
            (
                refused
                if refused and refused.deposit.pk == one.pk
                else DepositBackForm(deposit=one, salon=request.salon)
            ),
        )
        if may_give
        else (one, None)
        for one in page
    ]
    context = {"place": "sales", "page": page, "rows": rows, "refused": refused}
    return render(request, "fittings/till/deposits.html", context)


def _found(typed: str, show: str) -> QuerySet[Sale]:
    waiting = SaleLine.objects.to_hand_over().filter(sale=OuterRef("pk"))
    found = Sale.objects.owing() if show == "owing" else Sale.objects.with_money()
    if show == "waiting":
        found = found.standing().filter(Exists(waiting))
    if typed:
        found = (
            found.filter(reference=_reference(typed)) if _reference(typed) else found.filter(client__in=_named(typed))
        )
    return (
        found.filter(client__erased_at__isnull=True).select_related("client", "stylist").annotate(waits=Exists(waiting))
    )


def _reference(typed: str) -> str:
    """The reference of a sale that was typed; empty for anything else."""
    try:
        reference = normalise_reference(typed)
    except ValueError:
        return ""
    return reference if reference.startswith("S-") else ""


def _named(typed: str) -> list[Client]:
    return list(Client.objects.found_by(typed)[:MOST_CLIENTS])
