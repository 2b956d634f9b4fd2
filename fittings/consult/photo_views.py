"""The colour of her own hair from a photo: choose or take the photo, mark it, see what it reads, keep it."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.timezone import now
from django.views.decorators.http import require_http_methods
from django_htmx.http import HttpResponseClientRedirect

from clients.looking import note_look
from clients.models import ColourReading, Photo
from clients.models.photo import Angle
from fittings.comparing_colours import measured_grey
from fittings.consult.colour_photo_form import ColourPhotoForm
from fittings.consult.marks_form import MarksForm
from fittings.consult.nearest_shades import nearest_shades
from fittings.consult.step_page import assessment_of, kept_nowhere, visit, visit_context
from fittings.models import Fitting
from fittings.photos.finding import LOOK, locked_page
from salon.common.access import needs
from salon.common.htmx import render_page_or_part, wants_part
from salon.common.photo_marking import MarkGroup, Marking, spots
from salon.current import SalonRequest

HERE = "own-hair"
HAIR: tuple[MarkGroup, ...] = (
    spots("root", "Roots", "R", "Hair close to the skin, beside the shine."),
    spots("mid", "Mid-length", "M", "Halfway down, beside the shine."),
    spots("ends", "Ends", "E", "The last few centimetres, beside the shine."),
)
STRANDS: tuple[MarkGroup, ...] = (
    spots("pigment", "A strand with its own colour", "P", "One strand that has kept its colour.", most=1),
    spots("grey", "A grey strand", "G", "One strand that is all grey.", most=1),
)


@needs("fittings.change_fitting", "clients.view_health", "clients.view_photo", "clients.add_photo")
@require_http_methods(["GET", "POST"])
def reading_photos(request: SalonRequest, reference: str) -> HttpResponse:
    """How to take the photo, those of this visit, and taking one."""
    fitting = visit(reference)
    if closed := _closed(request, fitting):
        return closed
    form = ColourPhotoForm(request.POST, request.FILES) if request.method == "POST" else ColourPhotoForm()
    if form.is_valid() and (photo := form.take(fitting.client, by=request.user, at=now())):
        return redirect("reading-marks", fitting.reference, photo.reference)
    if request.method == "GET":
        note_look(client=fitting.client, user=request.user, page=LOOK)
    photos = Photo.objects.kept().filter(angle=Angle.COLOUR, photo_set__of_visit__fitting=fitting)
    kept = {reading.photo_id for reading in assessment_of(fitting).readings.all()}
    context = visit_context(fitting, HERE) | {
        "form": form,
        "photos": [(photo, photo.pk in kept) for photo in photos.order_by("-taken_at", "-pk")],
    }
    return kept_nowhere(render(request, "fittings/consult/reading_photos.html", context))


@needs("fittings.change_fitting", "clients.view_health", "clients.view_photo")
@require_http_methods(["GET", "POST"])
def reading_marks(request: SalonRequest, reference: str, photo_reference: str) -> HttpResponse:
    """One photo to mark. A swap shows what the marks read; `keep` stores it and goes back to the step."""
    fitting = visit(reference)
    if closed := _closed(request, fitting):
        return closed
    photo = get_object_or_404(Photo, reference=photo_reference, photo_set__client=fitting.client)
    if photo.is_removed:
        messages.warning(request, "This photo has been removed. Colours read from it stay; choose or take another one.")
        return _go(request, reverse("reading-photos", args=[fitting.reference]))
    asks = request.method == "POST"
    form = MarksForm(
        request.POST if asks else None, assessment=assessment_of(fitting), photo=photo, salon=request.salon
    )
    if form.is_valid() and "keep" in request.POST and (kept := form.keep(by=request.user)):
        stays = f" As the instrument read them: {', '.join(form.left).lower()}." if form.left else ""
        messages.success(request, f"Kept from the photo: {', '.join(kept).lower()}.{stays}")
        return _go(request, reverse("consult-own-hair", args=[fitting.reference]))
    if not asks:
        note_look(client=fitting.client, user=request.user, page=LOOK)
    context = _read(form) | {"form": form, "photo": photo, "fitting": fitting}
    if not wants_part(request):
        context |= visit_context(fitting, HERE) | {"marking": _marking(form, photo)}
    page, part = "fittings/consult/reading_marks.html", "fittings/consult/_reading.html"
    return kept_nowhere(render_page_or_part(request, page, part, context))


def _closed(request: SalonRequest, fitting: Fitting) -> HttpResponse | None:
    """What is answered where no colour may be read any more; None where one may."""
    assessment = assessment_of(fitting)
    if locked := locked_page(request, fitting.client):
        return _go(request, request.path) if wants_part(request) else locked
    if assessment.is_draft:
        return None
    messages.warning(request, "This assessment is signed off, so its colours stay. Begin a new one to read them anew.")
    return _go(request, reverse("assessment", args=[assessment.reference]))


def _go(request: SalonRequest, address: str) -> HttpResponse:
    """Another page, also from within a swap."""
    return HttpResponseClientRedirect(address) if wants_part(request) else redirect(address)


def _read(form: MarksForm) -> dict[str, Any]:
    """What stands in the part: the reading with its nearest shades and her share of grey, or nothing yet."""
    if not form.read:
        return {}
    return {
        "told": form.read.told,
        "grey": measured_grey(form.read.rows),
        "nearest": nearest_shades(form.read.rows),
    }


def _marking(form: MarksForm, photo: Photo) -> Marking:
    marks = form["marks"].value() or ""
    return Marking(
        photo=reverse("photo-file", args=[photo.reference, "full"]),
        width=photo.width,
        height=photo.height,
        alt="Her hair, with the card or the chart",
        marks=marks,
        groups=HAIR,
        folded=STRANDS,
        folded_label="For the share of grey",
        folded_open=any(f'"{strand}"' in marks for strand in ColourReading.Strand.values),
    )
