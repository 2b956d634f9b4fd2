"""A piece is sent away to be repaired, and comes back."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.timezone import localdate, now
from django.views.decorators.http import require_http_methods

from fittings.owned.finding import no_longer_hers, owned_of
from fittings.owned.repair_forms import BackForm, SendForm
from salon.common.access import needs
from salon.current import SalonRequest


@needs("fittings.add_repair")
@require_http_methods(["GET", "POST"])
def owned_repair(request: SalonRequest, reference: str) -> HttpResponse:
    owned = owned_of(reference)
    if answer := no_longer_hers(request, owned):
        return answer
    form = SendForm(request.POST if request.method == "POST" else None, owned=owned, today=localdate())
    if form.is_valid() and (repair := form.send(by=request.user, at=now())):
        messages.success(request, f"{owned} is away with {repair.done_by}.")
        return redirect(owned)
    context = {"place": "clients", "client": owned.client, "owned": owned, "form": form}
    return render(request, "fittings/owned/repair.html", context)


@needs("fittings.change_repair")
@require_http_methods(["GET", "POST"])
def repair_back(request: SalonRequest, reference: str) -> HttpResponse:
    """Of the repair it is away for; where it is not away, its page says so."""
    owned = owned_of(reference)
    repair = owned.repairs.filter(back_on__isnull=True).first()
    if repair is None:
        messages.error(request, "This piece is not away for a repair; what came back is kept already.")
        return redirect(owned)
    asked = request.POST if request.method == "POST" else None
    form = BackForm(asked, repair=repair, today=localdate(), currency=request.salon.currency)
    if form.is_valid() and form.take_back(by=request.user, at=now()):
        messages.success(request, f"{owned} is back.")
        return redirect(owned)
    context = {"place": "clients", "client": owned.client, "owned": owned, "repair": repair, "form": form}
    return render(request, "fittings/owned/repair_back.html", context)
