"""The paper of one payment."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_safe

from fittings.paper.receipt import receipt_paper
from fittings.paper.views import LARGE
from fittings.pdf import sheet_pdf
from pieces.models import Receipt
from salon.common.access import needs
from salon.common.printing import PrintingUnavailable
from salon.current import SalonRequest


@needs("pieces.view_receipt")
@require_safe
def receipt_pdf(request: SalonRequest, number: int) -> HttpResponse:
    receipt = get_object_or_404(Receipt.objects.select_related("payment__client", "payment__sale"), number=number)
    payment = receipt.payment
    try:
        pdf = sheet_pdf(receipt_paper(receipt), large_print=request.GET.get("print") == LARGE)
    except PrintingUnavailable as missing:
        messages.error(request, str(missing))
        return redirect(payment.sale or payment.client)
    return HttpResponse(
        pdf,
        content_type="application/pdf",
        headers={
            "Content-Disposition": f'inline; filename="receipt-{number}.pdf"',
            "Cache-Control": "private, no-store",
        },
    )
