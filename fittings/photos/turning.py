"""Shows the turn of one set: photos taken on the way round her, to be spun."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from clients.looking import note_look
from clients.models import PhotoSet
from clients.models.photo import Angle
from fittings.consult.step_page import kept_nowhere
from fittings.photos.finding import LOOK, of_set
from salon.common.access import needs
from salon.current import SalonRequest


@needs("clients.view_photo")
@require_safe
@of_set
def photos_turn(request: SalonRequest, photo_set: PhotoSet) -> HttpResponse:
    note_look(client=photo_set.client, user=request.user, page=LOOK)
    context = {
        "place": "clients",
        "client": photo_set.client,
        "photo_set": photo_set,
        "frames": list(photo_set.photos.kept().filter(angle=Angle.TURN).order_by("frame")),
    }
    return kept_nowhere(render(request, "fittings/photos/turn.html", context))
