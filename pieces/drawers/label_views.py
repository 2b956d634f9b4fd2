"""Labels: which units, on which sheet, from which place on; and the sheets as a PDF."""

from __future__ import annotations

from django.conf import settings
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_safe

from pieces.browsing import find_units
from pieces.drawers.label_form import LabelsForm, units_to_label
from pieces.drawers.label_sheets import MOST_LABELS, labels_of, labels_pdf
from pieces.forms import UnitSearchForm
from pieces.models import Unit
from salon.common.access import needs
from salon.common.printing import PrintingUnavailable
from salon.current import SalonRequest, reader_units
from salon.models import Units

LONGEST_NUMBER = 16


@needs("pieces.view_unit")
@require_safe
def labels(request: SalonRequest) -> HttpResponse:
    """The units whose numbers stand in the address, ticked; or those that answer what is asked, the newest first."""
    return _page(request, LabelsForm(), numbers=_numbers(request))


@needs("pieces.view_unit")
@require_safe
def labels_pdf_file(request: SalonRequest) -> HttpResponse:
    form = LabelsForm(request.GET, numbers=_numbers(request))
    if not form.is_valid():
        return _page(request, form, numbers=form.numbers)
    units = form.units()
    if not units:
        form.add_error(None, "None of these units is there any more.")
        return _page(request, form, numbers=())
    try:
        pdf = labels_pdf(
            form.chosen_sheet,
            labels_of(
                units,
                address=address_of_labels(request),
                length_unit="in" if reader_units(request.user, request.salon) == Units.IMPERIAL else "cm",
            ),
            start=form.cleaned_data["start"],
        )
    except PrintingUnavailable as missing:
        messages.error(request, str(missing))
        return redirect("labels")
    return HttpResponse(
        pdf, content_type="application/pdf", headers={"Content-Disposition": 'inline; filename="labels.pdf"'}
    )


def address_of_labels(request: SalonRequest) -> str:
    """What a code leads to, up to the unit's number: the salon's own address, or the one this page was asked at."""
    path = reverse("label", args=["U"]).removesuffix("U/")
    if settings.PRODUCTION and settings.SALON_ADDRESS:
        return f"{settings.SALON_ADDRESS}{path}"
    return request.build_absolute_uri(path)


def _numbers(request: SalonRequest) -> list[str]:
    return [number for number in request.GET.getlist("unit") if number and len(number) <= LONGEST_NUMBER]


def _page(request: SalonRequest, form: LabelsForm, *, numbers: list[str] | tuple[str, ...]) -> HttpResponse:
    search = UnitSearchForm(request.GET)
    asked = search.asked()
    found: list[Unit]
    if numbers:
        found = list(units_to_label().filter(number__in=numbers[: MOST_LABELS + 1]).order_by("number"))
    else:
        answering = find_units(asked["q"], state=asked["state"], purpose=asked["purpose"])
        found = list(answering.order_by("-received_on", "-pk")[: MOST_LABELS + 1])
    context = {
        "place": "pieces",
        "search": search,
        "asked": asked,
        "form": form,
        "found": found[:MOST_LABELS],
        "has_more": len(found) > MOST_LABELS,
        "most": MOST_LABELS,
        "all_ticked": bool(numbers) or any(asked.values()),
        "address": address_of_labels(request),
    }
    return render(request, "pieces/drawers/labels.html", context)
