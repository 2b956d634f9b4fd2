"""One photo: its page, its files, the angle it is filed under, whether it may be shown outside, and its removal."""

from __future__ import annotations

from collections.abc import Callable

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.utils.timezone import now
from django.views.decorators.http import require_POST, require_safe

from clients.consent_texts import consent_words
from clients.looking import note_look, note_look_lately
from clients.models import Consent, Photo
from clients.models.consent import ConsentKind
from clients.photos import file_under, keep_inside, remove_photo, show_outside
from fittings.consult.step_page import kept_nowhere
from fittings.photos.finding import LOOK, of_photo
from fittings.photos.forms import AngleForm, RemoveForm, first_refusal
from salon.common.access import needs
from salon.common.stored_pictures import SIZES, picture_response
from salon.current import SalonRequest


@needs("clients.view_photo")
@require_safe
@of_photo
def photo_page(request: SalonRequest, photo: Photo) -> HttpResponse:
    return _page(request, photo, RemoveForm())


@needs("clients.view_photo")
@require_safe
@of_photo
def photo_file(request: SalonRequest, photo: Photo, size: str) -> HttpResponseBase:
    """One of its three files."""
    if size not in SIZES:
        raise Http404(f"A photo is kept as {', '.join(SIZES)}.")
    response = picture_response(getattr(photo, size))
    note_look_lately(client=photo.photo_set.client, user=request.user, page=LOOK)
    return response


@needs("clients.view_photo", "clients.change_photo")
@require_POST
@of_photo
def photo_refile(request: SalonRequest, photo: Photo) -> HttpResponse:
    form = AngleForm(request.POST)
    if not form.is_valid():
        messages.error(request, first_refusal(form))
        return redirect(photo)
    angle = form.cleaned_data["angle"]
    return _done(request, photo, lambda: f"Filed under: {file_under(photo=photo, angle=angle, by=request.user)}.")


@needs("clients.view_photo", "clients.change_photo")
@require_POST
@of_photo
def photo_show_outside(request: SalonRequest, photo: Photo) -> HttpResponse:
    def shown() -> str:
        show_outside(photo=photo, by=request.user, at=now())
        return "This photo may be shown outside, until she takes that back."

    return _done(request, photo, shown)


@needs("clients.view_photo", "clients.change_photo")
@require_POST
@of_photo
def photo_keep_inside(request: SalonRequest, photo: Photo) -> HttpResponse:
    def kept() -> str:
        keep_inside(photo=photo, by=request.user)
        return "This photo stays in the record. Take it down wherever it is shown."

    return _done(request, photo, kept)


@needs("clients.view_photo", "clients.delete_photo")
@require_POST
@of_photo
def photo_remove(request: SalonRequest, photo: Photo) -> HttpResponse:
    """Asks once more, with the reason as it was written; then the files go for good."""
    form = RemoveForm(request.POST)
    if not form.is_valid():
        return _page(request, photo, form)
    because = form.cleaned_data["because"]
    if request.POST.get("sure") != "yes" and not photo.is_removed:
        context = {"place": "clients", "client": photo.photo_set.client, "photo": photo, "because": because}
        return kept_nowhere(render(request, "fittings/photos/photo_remove.html", context))

    def removed() -> str:
        remove_photo(photo=photo, because=because, by=request.user, at=now())
        return "The photo is removed. Its files are deleted."

    return _done(request, photo, removed)


def _page(request: SalonRequest, photo: Photo, remove_form: RemoveForm) -> HttpResponse:
    client = photo.photo_set.client
    note_look(client=client, user=request.user, page=f"photo {photo.reference}")
    context = {
        "place": "clients",
        "client": client,
        "photo": photo,
        "photo_set": photo.photo_set,
        "angle_form": AngleForm(initial={"angle": photo.angle}),
        "publicity": Consent.objects.live().filter(client=client, kind=ConsentKind.PUBLICITY).first(),
        "publicity_words": consent_words(ConsentKind.PUBLICITY, salon_name=request.salon.name),
        "remove_form": remove_form,
    }
    page = render(request, "fittings/photos/photo.html", context, status=422 if remove_form.errors else 200)
    return kept_nowhere(page)


def _done(request: SalonRequest, photo: Photo, deed: Callable[[], str]) -> HttpResponse:
    """Do it and say so, or say why not; then back to the photo."""
    try:
        messages.success(request, deed())
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
    return redirect(photo)
