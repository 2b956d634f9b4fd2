"""One piece that comes back, and the list of those that did."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.timezone import now
from django.views.decorators.http import require_http_methods, require_safe

from fittings.returns.form import ReturnForm
from pieces.models import Payment, Return, SaleLine
from pieces.paying import paid_for
from pieces.returning import against_terms, days_out, may_come_back, terms_of
from salon.common.access import needs
from salon.common.money import format_minor
from salon.current import SalonRequest

PAGE_LENGTH = 25


@needs("pieces.view_sale", "pieces.add_return")
@require_http_methods(["GET", "POST"])
def return_new(request: SalonRequest, reference: str, pk: int) -> HttpResponse:
    line = get_object_or_404(SaleLine.objects.of_pieces().with_sale(), sale__reference=reference, pk=pk)
    moment, asked = now(), request.POST if request.method == "POST" else None
    form = ReturnForm(asked, line=line, by=request.user)
    if form.is_valid() and (taken_back := form.take_back(salon=request.salon, at=moment)):
        messages.success(request, f"{line} is taken back. {_money_told(taken_back)}")
        return redirect(line.sale)
    try:
        may_come_back(line)
        days = days_out(line, moment)
    except ValidationError as refusal:  # taken back or cancelled meanwhile: nothing can be done on this page
        messages.error(request, " ".join(refusal.messages))
        return redirect(line.sale)
    terms = terms_of(request.salon)
    context = {
        "place": "sales",
        "line": line,
        "form": form,
        "days": days,
        "late": against_terms(days_since=days, terms=terms),
        "terms": terms,
        "paid": format_minor(paid_for(line.sale), line.sale.currency),
        "cost_her": format_minor(line.total_minor, line.sale.currency),
    }
    return render(request, "fittings/returns/return_new.html", context)


@needs("pieces.view_return")
@require_safe
def returns(request: SalonRequest) -> HttpResponse:
    """Every one, the newest first; or, when asked for, those that the salon's terms had refused."""
    outside = request.GET.get("show") == "outside"
    rows = Return.objects.outside_the_terms() if outside else Return.objects.all()
    page = Paginator(rows.with_what_they_are(), PAGE_LENGTH).get_page(request.GET.get("page"))
    context = {
        "place": "sales",
        "outside": outside,
        "page": page,
        "rows": [(row, format_minor(row.refund_minor, row.line.sale.currency)) for row in page],
    }
    return render(request, "fittings/returns/returns.html", context)


def _money_told(taken_back: Return) -> str:
    payment = taken_back.payment
    if payment is None:
        return "No money goes back."
    amount = format_minor(-payment.amount_minor, payment.currency)
    if payment.method == Payment.Method.EXCHANGE:
        return f"{amount} counts towards sale {taken_back.exchanged_for}."
    return f"{amount} goes back: {payment.get_method_display().lower()}, receipt {payment.receipt.number}."
