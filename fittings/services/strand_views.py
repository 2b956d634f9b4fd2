"""A strand of a piece she owns, tried with a product before the rest of it is."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.timezone import now
from django.views.decorators.http import require_http_methods

from clients.looking import note_look
from clients.models import Product
from fittings.models import Fitting, StrandTest
from fittings.owned.finding import open_visit_of, owned_of
from fittings.services.strand_form import StrandTestForm
from salon.common.access import needs
from salon.current import SalonRequest


@needs("fittings.add_strandtest", "clients.view_health")
@require_http_methods(["GET", "POST"])
def strand_test(request: SalonRequest, reference: str) -> HttpResponse:
    owned = owned_of(reference)
    visit: Fitting | None = open_visit_of(owned.client)
    form = StrandTestForm(request.POST or None, owned=owned, visit=visit, user=request.user)
    if form.is_valid() and (test := form.keep(by=request.user, at=now())):
        messages.success(request, f"Kept: {test.product} on a strand of {owned.unit.number}.")
        return redirect(owned)
    note_look(client=owned.client, user=request.user, page=f"strand tests of {owned.reference}")
    context = {
        "place": "clients",
        "client": owned.client,
        "owned": owned,
        "visit": visit,
        "form": form,
        "products": Product.objects.in_use().values_list("name", flat=True),
        "tests": StrandTest.objects.standing().filter(unit=owned.unit).select_related("tested_by"),
    }
    return render(request, "fittings/services/strand_test.html", context)
