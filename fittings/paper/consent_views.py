"""A client's consents as a paper: what was signed, word for word, to be given to her or kept in a folder."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils.timezone import localdate
from django.views.decorators.http import require_safe

from clients.looking import note_look
from clients.models import Client
from fittings.paper.consents_told import consents_paper
from fittings.paper.views import LARGE
from fittings.pdf import consents_pdf
from salon.common.access import needs
from salon.common.printing import PrintingUnavailable
from salon.current import SalonRequest


@needs("clients.view_consent")
@require_safe
def consents(request: SalonRequest, reference: str) -> HttpResponse:
    """`?print=large` in large print. Kept by no cache, named without the client's name; a look at her record."""
    client = get_object_or_404(Client.objects.active(), reference=reference)
    try:
        paper = consents_paper(client, salon=request.salon, on=localdate())
        pdf = consents_pdf(paper, large_print=request.GET.get("print") == LARGE)
    except ValidationError as not_yet:
        messages.info(request, " ".join(not_yet.messages))
        return redirect("client-consents", reference)
    except PrintingUnavailable as missing:
        messages.error(request, str(missing))
        return redirect("client-consents", reference)
    note_look(client=client, user=request.user, page="consents, printed")
    return HttpResponse(
        pdf,
        content_type="application/pdf",
        headers={
            "Content-Disposition": f'inline; filename="consents-{reference}.pdf"',
            "Cache-Control": "private, no-store",
        },
    )
