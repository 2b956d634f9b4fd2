"""A statement of what she bought and paid, for her to send to whom she likes."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import render
from django.utils.timezone import localdate
from django.views.decorators.http import require_POST, require_safe

from clients.looking import note_look
from clients.models import Client
from fittings.owned.finding import client_of
from fittings.paper.statement import Prescribed, statement_paper
from fittings.paper.views import LARGE
from fittings.pdf import sheet_pdf
from fittings.till.statement_form import StatementForm
from salon.common.access import needs
from salon.common.printing import PrintingUnavailable
from salon.current import SalonRequest


@needs("pieces.view_sale")
@require_safe
def statement(request: SalonRequest, reference: str) -> HttpResponse:
    client = client_of(reference)
    return _page(request, client, StatementForm(client=client, sale=request.GET.get("sale", "")))


@needs("pieces.view_sale")
@require_POST
def statement_pdf(request: SalonRequest, reference: str) -> HttpResponse:
    """By post, so that the prescriber's words stand in no address; they go onto the paper and are kept nowhere."""
    client = client_of(reference)
    form = StatementForm(request.POST, client=client)
    if not form.is_valid():
        return _page(request, client, form)
    sales, *words = (form.cleaned_data[name] for name in ("sales", "her_number", "prescriber", "wording", "codes"))
    paper = statement_paper(client, sales, Prescribed(*words), salon=request.salon, on=localdate())
    try:
        pdf = sheet_pdf(paper, large_print=request.POST.get("print") == LARGE)
    except PrintingUnavailable as missing:
        messages.error(request, str(missing))
        return _page(request, client, form)
    note_look(client=client, user=request.user, page="statement, printed")
    return HttpResponse(
        pdf,
        content_type="application/pdf",
        headers={
            "Content-Disposition": f'inline; filename="statement-{reference}.pdf"',
            "Cache-Control": "private, no-store",
        },
    )


def _page(request: SalonRequest, client: Client, form: StatementForm) -> HttpResponse:
    context = {"place": "sales", "client": client, "form": form, "has_sales": client.sales.standing().exists()}
    return render(request, "fittings/till/statement.html", context)
