"""Takes one photo in, sent by the intake page, by a plain form, or by another page that wants to be come back to.

What the page sends by itself (static/js/photo-intake.js) is answered in JSON with status 200, a refusal too: a photo
that is not taken is no failure that a browser should report.
"""

from __future__ import annotations

from uuid import uuid4

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse, HttpResponseRedirect, JsonResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.timezone import now
from django.views.decorators.csrf import csrf_exempt, csrf_protect
from django.views.decorators.http import require_POST

from clients.models import PhotoSet
from clients.photos import take_photo
from fittings.consult.step_page import kept_nowhere, saves_itself
from fittings.photos.finding import of_set
from fittings.photos.forms import TakeForm, first_refusal
from salon.common.access import needs
from salon.common.pictures import LARGEST_BYTES
from salon.current import SalonRequest

BESIDE_THE_FILE = 64 * 1024  # the other fields of the form, and what stands between them
TOO_LARGE = (
    f"This photo has more than {LARGEST_BYTES // 1_000_000} MB, the most that is taken in. Set the camera to a smaller "
    "picture and take it again."
)


@needs("clients.view_photo", "clients.add_photo")
@require_POST
@csrf_exempt  # asked by `_take`: asking reads the whole body, and one that is too large is not read
def photo_take(request: SalonRequest, reference: str) -> HttpResponseBase:
    length = request.META.get("CONTENT_LENGTH") or ""
    if length.isdecimal() and int(length[:20]) > LARGEST_BYTES + BESIDE_THE_FILE:
        return _refused(request, TOO_LARGE, reverse("photo-set", args=[reference]))
    return _take(request, reference)


@csrf_protect
@of_set
def _take(request: SalonRequest, photo_set: PhotoSet) -> HttpResponse:
    back = _back(request, photo_set)
    form = TakeForm(request.POST, request.FILES)
    if not form.is_valid():
        return _refused(request, first_refusal(form), back)
    sent = form.cleaned_data
    try:
        photo = take_photo(
            photo_set=photo_set,
            angle=sent["angle"],
            file=sent["photo"].file,
            size=sent["photo"].size,
            upload_key=sent["upload_key"] or uuid4(),
            frame=sent["frame"],
            by=request.user,
            at=now(),
        )
    except ValidationError as refusal:
        return _refused(request, " ".join(refusal.messages), back)
    if saves_itself(request):
        answer = {
            "photo": photo.get_absolute_url(),
            "thumb": reverse("photo-file", args=[photo.reference, "thumb"]),
            "angle": photo.angle,
            "frame": photo.frame,
        }
        return kept_nowhere(JsonResponse(answer))
    messages.success(request, f"Taken: {photo}.")
    return HttpResponseRedirect(back)


def _back(request: SalonRequest, photo_set: PhotoSet) -> str:
    """Where a plain form goes on: to the page that asks for it, else to the set."""
    asked = request.POST.get("next", "")
    ours = url_has_allowed_host_and_scheme(asked, {request.get_host()}, require_https=request.is_secure())
    return asked if ours and asked.startswith("/") else photo_set.get_absolute_url()


def _refused(request: SalonRequest, says: str, back: str) -> HttpResponse:
    if saves_itself(request):
        return kept_nowhere(JsonResponse({"refused": says}))
    messages.error(request, says)
    return redirect(back)
