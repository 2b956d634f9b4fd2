"""The summary of a visit, read on the screen or printed for the client to take home."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.timezone import localdate
from django.views.decorators.http import require_safe

from clients.looking import note_look
from fittings.choosing.finding_visit import page_of, visit_of
from fittings.pdf import consult_summary_pdf
from fittings.summary import consult_summary
from salon.common.access import needs
from salon.common.printing import PrintingUnavailable
from salon.current import SalonRequest

LARGE = "large"
reading = needs("fittings.view_fitting", "clients.view_health")


@reading
@require_safe
def summary_page(request: SalonRequest, reference: str) -> HttpResponse:
    fitting = visit_of(request, reference)
    try:
        summary = consult_summary(fitting, on=localdate())
    except ValidationError as not_yet:
        messages.info(request, " ".join(not_yet.messages))
        return redirect("fitting", fitting.reference)
    return render(request, "fittings/summary.html", page_of(request, fitting, "summary", summary=summary))


@reading
@require_safe
def summary_pdf(request: SalonRequest, reference: str) -> HttpResponse:
    """The paper itself; `?print=large` in large print. Kept by no cache, and named without the client's name."""
    fitting = visit_of(request, reference)
    try:
        summary = consult_summary(fitting, on=localdate())
        pdf = consult_summary_pdf(summary, large_print=request.GET.get("print") == LARGE)
    except ValidationError as not_yet:
        messages.info(request, " ".join(not_yet.messages))
        return redirect("fitting", fitting.reference)
    except PrintingUnavailable as missing:
        messages.error(request, str(missing))
        return redirect("consult-summary", fitting.reference)
    note_look(client=fitting.client, user=request.user, page=f"visit {fitting.reference}: summary, printed")
    return HttpResponse(
        pdf,
        content_type="application/pdf",
        headers={
            "Content-Disposition": f'inline; filename="consult-summary-{fitting.reference}.pdf"',
            "Cache-Control": "private, no-store",
        },
    )
