"""Taking photos of the shade ring, reading shades from them, and what shades read in two ways tell."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.http import Http404, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.timezone import now
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe
from django_htmx.http import HttpResponseClientRedirect

from pieces.browsing import shades_by_maker
from pieces.models import RingPhoto, Shade
from pieces.ring.both_ways import both_ways
from pieces.ring.comparing import beside_earlier
from pieces.ring.forms import (
    MarksForm,
    OneShadeForm,
    RingPhotoForm,
    RowBegunForm,
    pictured_in,
    shade_choices,
)
from pieces.ring.marking import marking_of
from pieces.ring.reading import MOST_SWATCHES, Pictured
from pieces.ring.taking import remove_ring_photo
from salon.common.access import needs
from salon.common.htmx import render_page_or_part, wants_part
from salon.common.stored_pictures import SIZES, picture_response
from salon.current import SalonRequest

PHOTOS_A_PAGE = 24


@needs("pieces.view_shade")
@require_safe
@never_cache  # the form's key is for one picture: going back must not bring the same one again
def ring_photos(request: SalonRequest) -> HttpResponse:
    photos = RingPhoto.objects.select_related("taken_by").prefetch_related("readings__shade")
    page = Paginator(photos, PHOTOS_A_PAGE).get_page(request.GET.get("page"))
    rows = [(photo, list(dict.fromkeys(reading.shade for reading in photo.readings.all()))) for photo in page]
    context = {"place": "pieces", "form": RingPhotoForm(), "page": page, "rows": rows}
    return render(request, "pieces/ring/photos.html", context)


@needs("pieces.add_shadereading")
@require_POST
def ring_photo_take(request: SalonRequest) -> HttpResponse:
    form = RingPhotoForm(request.POST, request.FILES)
    if form.is_valid() and (photo := form.take(by=request.user, at=now())):
        return redirect(photo)
    return render(request, "pieces/ring/photos.html", {"place": "pieces", "form": form})


@needs("pieces.add_shadereading")
@require_http_methods(["GET", "POST"])
def ring_photo(request: SalonRequest, reference: str) -> HttpResponse:
    """One photo: first which shades it shows, then their marks, what they read, and keeping it."""
    photo = _photo(reference)
    ring = list(shades_by_maker())
    try:
        pictured = pictured_in(request.GET, ring)
    except ValidationError as refusal:
        return _choosing_page(request, photo, ring, refusals=refusal.messages)
    if pictured is None or not photo.full:
        return _choosing_page(request, photo, ring)
    return _marks_page(request, photo, pictured)


@needs("pieces.view_shade")
@require_safe
def ring_photo_file(request: SalonRequest, reference: str, size: str) -> HttpResponseBase:
    if size not in SIZES:
        raise Http404
    return picture_response(getattr(_photo(reference), size))


@needs("pieces.add_shadereading")
@require_POST
def ring_photo_remove(request: SalonRequest, reference: str) -> HttpResponse:
    if photo := RingPhoto.objects.filter(reference=reference).first():  # none: the button was pressed twice
        remove_ring_photo(photo=photo)
    messages.success(request, "The photo is taken away. What was read from it stays.")
    return redirect("ring-photos")


@needs("pieces.view_shade")
@require_safe
def ring_both_ways(request: SalonRequest) -> HttpResponse:
    ring = list(shades_by_maker())
    context = {"place": "pieces", "ways": both_ways(ring), "shades": ring}
    return render(request, "pieces/ring/both_ways.html", context)


def _photo(reference: str) -> RingPhoto:
    return get_object_or_404(RingPhoto.objects.select_related("taken_by"), reference=reference)


def _choosing_page(
    request: SalonRequest, photo: RingPhoto, ring: list[Shade], refusals: list[str] | None = None
) -> HttpResponse:
    choices = shade_choices(ring)
    begun = RowBegunForm(request.GET if "first" in request.GET else None, choices=choices)
    context = {
        "place": "pieces",
        "photo": photo,
        "readings": photo.readings.select_related("shade__maker", "read_by"),
        "ring": ring,
        "refusals": refusals,
        "one": OneShadeForm(choices=choices),
        "begun": begun,
        "choices": choices,
        "row": begun.following(ring) if begun.is_valid() else request.GET.getlist("row")[:MOST_SWATCHES],
        "most": MOST_SWATCHES,
    }
    return render(request, "pieces/ring/photo.html", context)


def _marks_page(request: SalonRequest, photo: RingPhoto, pictured: Pictured) -> HttpResponse:
    asked = request.method == "POST"
    form = MarksForm(request.POST if asked else None, photo=photo, pictured=pictured, salon=request.salon)
    context: dict[str, object] = {"place": "pieces", "photo": photo, "pictured": pictured, "form": form}
    if asked and form.is_valid() and form.read:
        keeps = "keep" in request.POST
        if keeps and form.was_seen and (kept := form.keep(by=request.user, at=now())):
            return _kept(request, photo, kept)
        beside = beside_earlier(form.read.shades)
        jumps = [(one, earlier) for one, earlier in beside if earlier and earlier.is_jump]
        context |= {"beside": beside, "jumps": jumps, "moved_since": keeps and not form.was_seen}
    context["marking"] = marking_of(photo, pictured, form.placed)
    return render_page_or_part(request, "pieces/ring/marks.html", "pieces/ring/_read.html", context)


def _kept(request: SalonRequest, photo: RingPhoto, count: int) -> HttpResponse:
    messages.success(request, f"Kept: {count} shade{'s' if count > 1 else ''} read from this photo.")
    if wants_part(request):
        return HttpResponseClientRedirect(photo.get_absolute_url())
    return redirect(photo)
