"""The papers of a client's record: care sheet, service record, skin tests, and everything kept about her.

Each in the usual or in large print (`?print=large`), kept by no cache, named without the client's name, and noted as a
look at her record. No file is named with a word of health: it lies in a folder that others see.
"""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.utils.timezone import localdate, now
from django.views.decorators.http import require_safe

from clients.looking import note_look
from clients.models import Client
from fittings.owned.finding import client_of, owned_of
from fittings.paper.care_sheet import care_sheet
from fittings.paper.client_record import client_record
from fittings.paper.service_record import own_hair_record, service_record
from fittings.paper.sheet import Sheet
from fittings.paper.skin_test_record import skin_test_record
from fittings.paper.views import LARGE
from fittings.pdf import sheet_pdf
from salon.common.access import needs
from salon.common.printing import PrintingUnavailable
from salon.current import SalonRequest

of_a_piece = needs("fittings.view_ownedpiece", "clients.view_health")
of_health = needs("clients.view_health")


@of_a_piece
@require_safe
def care_sheet_pdf(request: SalonRequest, reference: str) -> HttpResponse:
    owned = owned_of(reference)
    paper = care_sheet(owned, salon=request.salon, on=localdate())
    return _printed(request, paper, owned.client, f"care-sheet-{reference}", back=owned.get_absolute_url())


@of_a_piece
@require_safe
def service_record_pdf(request: SalonRequest, reference: str) -> HttpResponse:
    owned = owned_of(reference)
    paper = service_record(owned, salon=request.salon, on=localdate())
    return _printed(request, paper, owned.client, f"services-{reference}", back=owned.get_absolute_url())


@of_health
@require_safe
def own_hair_record_pdf(request: SalonRequest, reference: str) -> HttpResponse:
    client = client_of(reference)
    paper = own_hair_record(client, salon=request.salon, on=localdate())
    return _printed(request, paper, client, f"services-{reference}", back=client.get_absolute_url())


@of_health
@require_safe
def skin_test_record_pdf(request: SalonRequest, reference: str) -> HttpResponse:
    client = client_of(reference)
    paper = skin_test_record(client, salon=request.salon, on=localdate(), at=now())
    return _printed(request, paper, client, f"tests-{reference}", back=client.get_absolute_url())


@needs("clients.view_accessentry", "clients.view_health", "clients.view_consent")
@require_safe
def client_record_pdf(request: SalonRequest, reference: str) -> HttpResponse:
    """For the owner alone: it says who looked at the record too."""
    client = client_of(reference)
    paper = client_record(client, salon=request.salon, on=localdate(), at=now())
    return _printed(request, paper, client, f"record-{reference}", back=client.get_absolute_url())


def _printed(request: SalonRequest, paper: Sheet, client: Client, name: str, *, back: str) -> HttpResponse:
    """The paper, or back with the reason where this machine can print nothing."""
    try:
        pdf = sheet_pdf(paper, large_print=request.GET.get("print") == LARGE)
    except PrintingUnavailable as missing:
        messages.error(request, str(missing))
        return redirect(back)
    note_look(client=client, user=request.user, page=f"{paper.name.lower()}{_about(paper)}, printed")
    return HttpResponse(
        pdf,
        content_type="application/pdf",
        headers={"Content-Disposition": f'inline; filename="{name}.pdf"', "Cache-Control": "private, no-store"},
    )


def _about(paper: Sheet) -> str:
    return f" of {paper.subject}" if paper.subject else ""
