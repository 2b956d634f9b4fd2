"""How she wears a piece, and how its parts are: told anew, or corrected by a new entry."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.timezone import localdate, now
from django.views.decorators.http import require_http_methods

from clients.models import Consent
from fittings.owned.check_form import CheckForm
from fittings.owned.finding import asked_to_correct, no_longer_hers, open_visit_of, owned_of
from fittings.owned.wear_form import WearForm
from salon.common.access import needs
from salon.current import SalonRequest


@needs("fittings.view_wearentry", "fittings.add_wearentry")
@require_http_methods(["GET", "POST"])
def owned_wear(request: SalonRequest, reference: str) -> HttpResponse:
    owned = owned_of(reference)
    if answer := no_longer_hers(request, owned):
        return answer
    corrects = asked_to_correct(request, owned.wear_entries)
    last = owned.wear_entries.standing().first()
    asked = request.POST if request.method == "POST" else None
    form = WearForm(asked, owned=owned, today=localdate(), last=last, corrects=corrects)
    if form.is_valid() and form.tell(by=request.user, at=now(), fitting=open_visit_of(owned.client)):
        messages.success(request, "Corrected." if corrects else "Kept how she wears it.")
        return redirect(owned)
    context = {
        "place": "clients",
        "client": owned.client,
        "owned": owned,
        "form": form,
        "last": last,
        "corrects": corrects,
        "may_record": Consent.objects.allows_record(owned.client),
    }
    return render(request, "fittings/owned/wear.html", context)


@needs("fittings.view_conditioncheck", "fittings.add_conditioncheck")
@require_http_methods(["GET", "POST"])
def owned_check(request: SalonRequest, reference: str) -> HttpResponse:
    """The check is kept also where photos were asked for and she does not agree to them."""
    owned = owned_of(reference)
    if answer := no_longer_hers(request, owned):
        return answer
    corrects = asked_to_correct(request, owned.checks)
    last = owned.checks.standing().order_by("-checked_at", "-pk").first()
    form = CheckForm(request.POST if request.method == "POST" else None, owned=owned, last=last, corrects=corrects)
    wants_photos = "photos" in request.POST and request.user.has_perm("clients.add_photo")
    if form.is_valid():
        visit = open_visit_of(owned.client)
        if check := form.keep(by=request.user, at=now(), fitting=visit, with_photos=wants_photos):
            messages.success(request, "Corrected." if corrects else "The check is kept.")
            if form.photos_refused:
                messages.warning(request, f"No photos: {form.photos_refused}")
            return redirect(check.photo_set if wants_photos and check.photo_set else owned)
    context = {
        "place": "clients",
        "client": owned.client,
        "owned": owned,
        "form": form,
        "last": last,
        "corrects": corrects,
        "may_record": Consent.objects.allows_record(owned.client),
        "may_photograph": Consent.objects.allows_photos(owned.client),
    }
    return render(request, "fittings/owned/check.html", context)
