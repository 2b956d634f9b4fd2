"""All photos of a client, and the page on which a set is taken."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.timezone import now
from django.views.decorators.http import require_POST, require_safe

from clients.looking import note_look
from clients.models import Client, PhotoSet
from clients.models.photo import MOST_FRAMES, NAMED_ANGLES, Moment
from clients.photos import set_is_over
from fittings.consult.step_page import kept_nowhere
from fittings.models import Fitting, OwnedPiece
from fittings.photos.filing import begin_photo_set
from fittings.photos.finding import LOOK, of_client, of_set
from fittings.photos.forms import MomentForm, first_refusal
from fittings.photos.shown import laid_out, sets_of
from fittings.photos.taking import TOO_LARGE
from salon.common.access import needs
from salon.common.pictures import LARGEST_BYTES
from salon.current import SalonRequest

SETS_A_PAGE = 8


@needs("clients.view_photo")
@require_safe
@of_client
def photos(request: SalonRequest, client: Client) -> HttpResponse:
    """Every set of hers, newest first."""
    note_look(client=client, user=request.user, page=LOOK)
    page = Paginator(sets_of(client), SETS_A_PAGE).get_page(request.GET.get("page"))
    at = now()
    context = {
        "place": "clients",
        "client": client,
        "page": page,
        "sets": [(laid_out(photo_set), set_is_over(photo_set, at)) for photo_set in page],
        "moments": Moment,
        "open_visit": Fitting.objects.open().filter(client=client).first(),
    }
    return kept_nowhere(render(request, "fittings/photos/photos.html", context))


@needs("clients.view_photo", "clients.add_photo")
@require_POST
@of_client
def photo_set_new(request: SalonRequest, client: Client) -> HttpResponse:
    form = MomentForm(request.POST)
    if not form.is_valid():
        messages.error(request, first_refusal(form))
        return redirect("photos", client.reference)
    try:
        photo_set = begin_photo_set(client=client, moment=form.cleaned_data["moment"], by=request.user, at=now())
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
        return redirect("photos", client.reference)
    return redirect(photo_set)


@needs("clients.view_photo")
@require_safe
@of_set
def photo_set_page(request: SalonRequest, photo_set: PhotoSet) -> HttpResponse:
    """A tile for each angle: what has been taken, and where the next is taken."""
    client = photo_set.client
    note_look(client=client, user=request.user, page=LOOK)
    shown = laid_out(photo_set)
    context = {
        "place": "clients",
        "client": client,
        "photo_set": photo_set,
        "shown": shown,
        "is_over": set_is_over(photo_set, now()),
        "angles": [(tile.angle.value, tile.angle.label) for tile in shown.tiles],
        "named_angles": ",".join(tile.angle for tile in shown.tiles if tile.angle in NAMED_ANGLES),
        "piece": OwnedPiece.objects.filter(checks__photo_set=photo_set).with_what_they_are().first(),
        "most_frames": MOST_FRAMES,
        "largest_bytes": LARGEST_BYTES,
        "too_large": TOO_LARGE,
        "moments": Moment,
    }
    return kept_nowhere(render(request, "fittings/photos/photo_set.html", context))
