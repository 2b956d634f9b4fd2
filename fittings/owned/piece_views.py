"""The page of one piece that a client owns, its end, and the piece it takes turns with."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.timezone import localdate, now
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from fittings.owned.end_form import EndForm
from fittings.owned.finding import no_longer_hers, owned_of
from fittings.owned.page import page_of
from fittings.owning import stop_taking_turns, take_turns
from salon.common.access import needs
from salon.common.htmx import render_page_or_part
from salon.current import SalonRequest


@needs("fittings.view_ownedpiece")
@require_safe
def owned_piece(request: SalonRequest, reference: str) -> HttpResponse:
    context = page_of(request, owned_of(reference))
    return render_page_or_part(request, "fittings/owned/piece.html", "fittings/timeline/_line.html", context)


@needs("fittings.change_ownedpiece")
@require_http_methods(["GET", "POST"])
def owned_end(request: SalonRequest, reference: str) -> HttpResponse:
    owned = owned_of(reference)
    if answer := no_longer_hers(request, owned):
        return answer
    form = EndForm(request.POST if request.method == "POST" else None, owned=owned, today=localdate())
    if form.is_valid() and (ended := form.end(by=request.user, at=now())):
        messages.success(request, f"{owned} is no longer hers: {ended.get_ended_display().lower()}.")
        return redirect(owned)
    context = {"place": "clients", "client": owned.client, "owned": owned, "form": form}
    return render(request, "fittings/owned/end.html", context)


@needs("fittings.change_ownedpiece")
@require_POST
def owned_turns(request: SalonRequest, reference: str) -> HttpResponse:
    """With another piece of hers in `other` they take turns; with none each is worn by itself."""
    owned = owned_of(reference)
    with_which = request.POST.get("other", "")
    try:
        if with_which:
            other = next((one for one in owned.client.owned_pieces.all() if one.reference == with_which), None)
            if other is None:
                raise ValidationError("Choose one of the pieces she has.")
            take_turns(one=owned, other=other, by=request.user, at=now())
            messages.success(request, "The two take turns: each rests while the other is worn.")
        else:
            stop_taking_turns(owned=owned, by=request.user, at=now())
            messages.success(request, "It takes turns with none.")
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
    return redirect(owned)
