"""One sale: its page, its money, what is handed over, and its end. What is refused is said on its page."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db.models import Q
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.timezone import localdate, now
from django.views.decorators.http import require_POST, require_safe

from fittings.selling_home import hand_over_hers
from fittings.till.finding import sale_of
from fittings.till.money_forms import CancelSaleForm, GiveBackForm, PayForm, TakeOutForm
from fittings.till.shown import sale_shown
from pieces.models import Payment, Sale, SaleLine
from pieces.paying import count_deposit
from salon.common.access import needs
from salon.common.money import format_minor
from salon.current import SalonRequest


@needs("pieces.view_sale")
@require_safe
def sale_page(request: SalonRequest, reference: str) -> HttpResponse:
    return _page(request, sale_of(reference))


@needs("pieces.add_payment")
@require_POST
def sale_pay(request: SalonRequest, reference: str) -> HttpResponse:
    sale = sale_of(reference)
    form = PayForm(request.POST, sale=sale, salon=request.salon)
    if form.is_valid() and (payment := form.take(by=request.user, at=now())):
        messages.success(request, f"{format_minor(payment.amount_minor, sale.currency)} taken. {payment.receipt}.")
        return redirect(sale)
    return _page(request, sale, pay=form)


@needs("pieces.add_payment")
@require_POST
def sale_give_back(request: SalonRequest, reference: str) -> HttpResponse:
    sale = sale_of(reference)
    form = GiveBackForm(request.POST, sale=sale, salon=request.salon)
    if form.is_valid() and (payment := form.give(by=request.user, at=now())):
        messages.success(
            request, f"{format_minor(-payment.amount_minor, sale.currency)} given back. {payment.receipt}."
        )
        return redirect(sale)
    return _page(request, sale, give_back=form)


@needs("pieces.add_payment")
@require_POST
def sale_deposit(request: SalonRequest, reference: str, pk: int) -> HttpResponse:
    """A deposit that is held for her counts towards this sale; pressed twice it counts once."""
    sale = sale_of(reference)
    deposit = get_object_or_404(Payment, pk=pk, client=sale.client)
    if deposit.sale_id == sale.pk:
        return redirect(sale)
    try:
        count_deposit(payment=deposit, sale=sale)
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
    else:
        messages.success(request, "Her deposit counts towards this sale.")
    return redirect(sale)


@needs("pieces.change_sale")
@require_POST
def sale_hand_over(request: SalonRequest, reference: str) -> HttpResponse:
    """The line named in the post, once; a second press finds it handed over."""
    sale = sale_of(reference)
    line = _line(sale, request.POST.get("line", ""))
    if line is None:
        messages.error(request, "Choose the piece that she takes.")
    elif not line.handed_over_at:
        try:
            owned = hand_over_hers(line=line, since=localdate(), by=request.user, at=now())
        except ValidationError as refusal:
            messages.error(request, " ".join(refusal.messages))
        else:
            hers = "stands among her pieces" if owned else "is not kept among her pieces: she agreed to no record"
            messages.success(request, f"{line} is handed over. It {hers}.")
    return redirect(sale)


@needs("pieces.change_sale")
@require_POST
def sale_take_out(request: SalonRequest, reference: str, pk: int) -> HttpResponse:
    """She takes one thing of it no longer; a second press finds it taken out."""
    sale = sale_of(reference)
    lines = SaleLine.objects.filter(Q(sale=sale) | Q(sale__taken_out_of=sale))
    line = get_object_or_404(lines.select_related("sale", "order_line__order"), pk=pk)
    if line.sale != sale or sale.is_cancelled:
        return redirect(sale)
    form = TakeOutForm(request.POST, line=line)
    if form.is_valid() and form.take_out(by=request.user, at=now()):
        unit, order = "Its unit is set aside for her no longer.", "It is still ordered for her."
        messages.success(
            request, f"{line} is taken out. {unit if line.unit_id else order if line.order_line_id else ''}"
        )
        return redirect(sale)
    return _page(request, sale, take_out=form)


@needs("pieces.change_sale")
@require_POST
def sale_cancel(request: SalonRequest, reference: str) -> HttpResponse:
    sale = sale_of(reference)
    if sale.is_cancelled:
        return redirect(sale)
    form = CancelSaleForm(request.POST)
    if form.is_valid() and form.cancel(sale, by=request.user, at=now()):
        messages.success(request, "The sale is cancelled; its units lie in the drawer.")
        return redirect(sale)
    return _page(request, sale, cancel=form)


def _page(request: SalonRequest, sale: Sale, **forms: Any) -> HttpResponse:
    """The sale's page, with the form that was refused as it was sent."""
    shown = sale_shown(sale, refused=forms.get("take_out"))
    context: dict[str, Any] = {
        "place": "sales",
        "sale": sale,
        "client": sale.client,
        "shown": shown,
        "today": localdate(),
    }
    if not sale.is_cancelled:
        if shown.owed_minor and request.user.has_perm("pieces.add_payment"):
            context["pay"] = forms.get("pay") or PayForm(sale=sale, salon=request.salon)
        if shown.paid_minor > 0 and request.user.has_perm("pieces.add_payment"):
            context["give_back"] = forms.get("give_back") or GiveBackForm(sale=sale, salon=request.salon)
        if not shown.is_begun and request.user.has_perm("pieces.change_sale"):
            context["cancel"] = forms.get("cancel") or CancelSaleForm()
    return render(request, "fittings/till/sale.html", context | forms)


def _line(sale: Sale, key: str) -> SaleLine | None:
    if not (key.isascii() and key.isdecimal() and len(key) <= 12):
        return None
    return sale.lines.of_pieces().filter(pk=int(key)).select_related("sale__client").first()
