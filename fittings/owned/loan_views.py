"""Units that are lent: the desk's list, those overdue first, one more, and one that comes back.

What is refused of one that comes back is said in its row of the list, with the day that was typed still there.
"""

from __future__ import annotations

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.timezone import localdate, now
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from fittings.models import Loan
from fittings.owned.finding import client_of
from fittings.owned.loan_forms import LoanBackForm, LoanForm
from pieces.models import Unit
from salon.common.access import needs
from salon.common.days import day_and_month
from salon.current import SalonRequest

PAGE_LENGTH = 25


@needs("fittings.view_loan")
@require_safe
def loans(request: SalonRequest) -> HttpResponse:
    """Those that are out, the longest overdue first; or, when asked for, those that came back, the newest first."""
    return _listed(request)


@needs("fittings.add_loan")
@require_http_methods(["GET", "POST"])
def loan_new(request: SalonRequest, reference: str) -> HttpResponse:
    client = client_of(reference)
    asked = request.POST if request.method == "POST" else None
    form = LoanForm(asked, client=client, today=localdate(), instead_of=request.GET.get("instead", ""))
    if form.is_valid() and (loan := form.lend(by=request.user, at=now())):
        messages.success(request, f"Unit {loan.unit} is lent to {client} until {day_and_month(loan.due_back_on)}.")
        return redirect(client)
    return render(request, "fittings/owned/loan_new.html", {"place": "clients", "client": client, "form": form})


@needs("fittings.view_loan", "fittings.change_loan")
@require_POST
def loan_back(request: SalonRequest, pk: int) -> HttpResponse:
    loan = get_object_or_404(Loan, pk=pk)
    form = LoanBackForm(request.POST)
    if not (form.is_valid() and (kept := form.take_back(loan, by=request.user, at=now()))):
        return _listed(request, refused=(loan, form))
    came = (
        "lies in the drawer again" if kept.unit.state == Unit.State.DRAWER else "did not come back and is written off"
    )
    messages.success(request, f"Unit {kept.unit} {came}.")
    return redirect("loans")


def _listed(request: SalonRequest, refused: tuple[Loan, LoanBackForm] | None = None) -> HttpResponse:
    """The list; with what was refused in the loan's own row, or above the list where that row is on it no longer."""
    shows_back = request.GET.get("show") == "back"
    order = ("-back_on", "-pk") if shows_back else ("due_back_on", "pk")
    rows = Loan.objects.filter(back_on__isnull=not shows_back).select_related(
        "client", "unit__variant__piece", "unit__variant__shade", "lent_by", "back_by"
    )
    page = Paginator(rows.order_by(*order), PAGE_LENGTH).get_page(request.GET.get("page"))
    context = {"place": "today", "shows_back": shows_back, "page": page, "today": localdate()}
    if refused:
        loan, form = refused
        sentences = [str(sentence) for about in form.errors.values() for sentence in about]
        if loan not in page:
            messages.error(request, " ".join(sentences))
            return redirect("loans")
        context |= {"refused": loan, "typed": request.POST.get("back_on", ""), "sentences": sentences}
    return render(request, "fittings/owned/loans.html", context)
