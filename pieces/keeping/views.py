"""Keeping makers, pieces, shades and variants, their pictures, and what can't be had any more."""

from __future__ import annotations

from django.contrib import messages
from django.core.paginator import Paginator
from django.db.models import Count
from django.http import Http404, HttpResponse, QueryDict
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.timezone import localdate, now
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from pieces.keeping.forms import DiscontinueForm, MakerForm, PictureForm, PieceForm, ShadeForm, VariantForm
from pieces.keeping_pictures import remove_piece_picture
from pieces.models import Base, Maker, Piece, PiecePicture, Shade, Variant
from salon.common.access import needs
from salon.common.stored_pictures import SIZES, picture_response
from salon.current import SalonRequest, reader_units

MAKERS_A_PAGE = 50
BASES_A_PAGE = 24


@needs("pieces.change_maker")
@require_safe
def makers(request: SalonRequest) -> HttpResponse:
    found = Maker.objects.annotate(
        base_count=Count("bases", distinct=True), shade_count=Count("shades", distinct=True)
    ).order_by("name")
    page = Paginator(found, MAKERS_A_PAGE).get_page(request.GET.get("page"))
    return render(request, "pieces/keeping/makers.html", {"place": "pieces", "page": page})


@needs("pieces.add_maker")
@require_http_methods(["GET", "POST"])
def maker_new(request: SalonRequest) -> HttpResponse:
    form = MakerForm(_posted(request), units=reader_units(request.user, request.salon))
    if form.is_valid() and (kept := form.keep(by=request.user)):
        messages.success(request, f"{kept} is listed. Add a base or a shade of theirs next.")
        return redirect("maker", kept.pk)
    return render(request, "pieces/keeping/maker_new.html", {"place": "pieces", "form": form})


@needs("pieces.change_maker")
@require_http_methods(["GET", "POST"])
def maker(request: SalonRequest, pk: int) -> HttpResponse:
    shown = get_object_or_404(Maker, pk=pk)
    form = MakerForm(_posted(request), row=shown, units=reader_units(request.user, request.salon))
    if form.is_valid() and (kept := form.keep(by=request.user)):
        messages.success(request, f"{kept} is kept as it stands now.")
        return redirect("maker", kept.pk)
    bases = Base.objects.filter(maker=shown).annotate(piece_count=Count("pieces")).order_by("name")
    context = {
        "place": "pieces",
        "maker": shown,
        "form": form,
        "page": Paginator(bases, BASES_A_PAGE).get_page(request.GET.get("page")),
        "shade_count": shown.shades.count(),
    }
    return render(request, "pieces/keeping/maker.html", context)


@needs("pieces.add_piece")
@require_http_methods(["GET", "POST"])
def piece_new(request: SalonRequest) -> HttpResponse:
    units = reader_units(request.user, request.salon)
    form = PieceForm(_posted(request), units=units, initial={"base": request.GET.get("base", "")})
    if form.is_valid() and (kept := form.keep(by=request.user)):
        messages.success(request, f"{kept} is listed. It is offered once a shade and a length of it are added.")
        return redirect("piece", kept.pk)
    context = {"place": "pieces", "form": form, "has_bases": Base.objects.exists()}
    return render(request, "pieces/keeping/piece_new.html", context)


@needs("pieces.change_piece")
@require_http_methods(["GET", "POST"])
def piece_edit(request: SalonRequest, pk: int) -> HttpResponse:
    shown = _piece(pk)
    form = PieceForm(_posted(request), row=shown, units=reader_units(request.user, request.salon))
    if form.is_valid() and (kept := form.keep(by=request.user)):
        messages.success(request, f"{kept} is kept as it stands now.")
        return redirect("piece", kept.pk)
    return render(request, "pieces/keeping/piece_edit.html", {"place": "pieces", "piece": shown, "form": form})


@needs("pieces.change_piece", "pieces.change_variant")
@require_http_methods(["GET", "POST"])
def piece_discontinue(request: SalonRequest, pk: int) -> HttpResponse:
    shown = _piece(pk)
    form = DiscontinueForm(_posted(request), initial={"on": localdate()})
    if form.is_valid() and (changed := form.discontinue(shown, by=request.user)) is not None:
        messages.success(request, _discontinued(shown, changed))
        return redirect("piece", pk)
    context = {"place": "pieces", "piece": shown, "form": form, "count": shown.variants.offered(localdate()).count()}
    return render(request, "pieces/keeping/piece_discontinue.html", context)


@needs("pieces.add_shade")
@require_http_methods(["GET", "POST"])
def shade_new(request: SalonRequest) -> HttpResponse:
    units = reader_units(request.user, request.salon)
    form = ShadeForm(_posted(request), units=units, initial={"maker": request.GET.get("maker", "")})
    if form.is_valid() and (kept := form.keep(by=request.user)):
        messages.success(request, f"{kept} is on the ring.")
        return redirect("shades")
    context = {"place": "pieces", "form": form, "has_makers": Maker.objects.exists()}
    return render(request, "pieces/keeping/shade_new.html", context)


@needs("pieces.change_shade")
@require_http_methods(["GET", "POST"])
def shade_edit(request: SalonRequest, pk: int) -> HttpResponse:
    shown = get_object_or_404(Shade.objects.select_related("maker"), pk=pk)
    form = ShadeForm(_posted(request), row=shown, units=reader_units(request.user, request.salon))
    if form.is_valid() and (kept := form.keep(by=request.user)):
        messages.success(request, f"{kept} is kept as it stands now.")
        return redirect("shades")
    return render(request, "pieces/keeping/shade_edit.html", {"place": "pieces", "shade": shown, "form": form})


@needs("pieces.add_variant")
@require_http_methods(["GET", "POST"])
def variant_new(request: SalonRequest, pk: int) -> HttpResponse:
    shown = _piece(pk)
    units = reader_units(request.user, request.salon)
    form = VariantForm(_posted(request), piece=shown, salon=request.salon, units=units)
    if form.is_valid() and (kept := form.keep(by=request.user)):
        messages.success(request, f"{kept.shade} is listed.")
        return redirect("piece", pk)
    has_shades = Shade.objects.filter(maker=shown.base.maker).exists()
    context = {"place": "pieces", "piece": shown, "form": form, "has_shades": has_shades}
    return render(request, "pieces/keeping/variant_new.html", context)


@needs("pieces.change_variant")
@require_http_methods(["GET", "POST"])
def variant_edit(request: SalonRequest, pk: int) -> HttpResponse:
    shown = _variant(pk)
    units = reader_units(request.user, request.salon)
    form = VariantForm(_posted(request), row=shown, piece=shown.piece, salon=request.salon, units=units)
    if form.is_valid() and (kept := form.keep(by=request.user)):
        messages.success(request, f"{kept.shade} is kept as it stands now.")
        return redirect("piece", shown.piece_id)
    context = {
        "place": "pieces",
        "variant": shown,
        "piece": shown.piece,
        "form": form,
        "discontinuing": DiscontinueForm(initial={"on": localdate()}),
    }
    return render(request, "pieces/keeping/variant_edit.html", context)


@needs("pieces.change_variant")
@require_POST
def variant_discontinue(request: SalonRequest, pk: int) -> HttpResponse:
    shown = _variant(pk)
    form = DiscontinueForm(request.POST)
    if form.is_valid() and (changed := form.discontinue(shown, by=request.user)) is not None:
        messages.success(request, _discontinued(shown, changed))
        return redirect("piece", shown.piece_id)
    units = reader_units(request.user, request.salon)
    asked_again = VariantForm(row=shown, piece=shown.piece, salon=request.salon, units=units)
    context = {"place": "pieces", "variant": shown, "piece": shown.piece, "form": asked_again, "discontinuing": form}
    return render(request, "pieces/keeping/variant_edit.html", context)


@needs("pieces.add_piecepicture")
@never_cache  # the form's key is for one picture: going back must not bring the same one again
@require_http_methods(["GET", "POST"])
def piece_picture_new(request: SalonRequest, pk: int) -> HttpResponse:
    shown = _piece(pk)
    asked = request.method == "POST"
    form = PictureForm(request.POST if asked else None, request.FILES if asked else None)
    if form.is_valid() and form.take(shown, by=request.user, at=now()):
        messages.success(request, f"The picture of {shown} is kept.")
        return redirect("piece", pk)
    return render(request, "pieces/keeping/picture_new.html", {"place": "pieces", "piece": shown, "form": form})


@needs("pieces.view_piecepicture")
@require_safe
def piece_picture(request: SalonRequest, reference: str, size: str) -> HttpResponseBase:
    if size not in SIZES:
        raise Http404
    return picture_response(getattr(get_object_or_404(PiecePicture, reference=reference), size))


@needs("pieces.delete_piecepicture")
@require_POST
def piece_picture_remove(request: SalonRequest, reference: str) -> HttpResponse:
    picture = PiecePicture.objects.filter(reference=reference).first()
    messages.success(request, "The picture is taken away.")
    if picture is None:  # the button was pressed twice
        return redirect("pieces")
    remove_piece_picture(picture=picture)
    return redirect("piece", picture.piece_id)


def _posted(request: SalonRequest) -> QueryDict | None:
    return request.POST if request.method == "POST" else None


def _piece(pk: int) -> Piece:
    return get_object_or_404(Piece.objects.select_related("base__maker"), pk=pk)


def _variant(pk: int) -> Variant:
    return get_object_or_404(Variant.objects.select_related("piece__base__maker", "shade__maker"), pk=pk)


def _discontinued(of: Piece | Variant, changed: list[Variant]) -> str:
    if not changed:
        return f"Nothing of {of} was offered from that day on; it stays so."
    day = changed[0].discontinued_on
    since = "" if day is None else f" from {day.day} {day:%B %Y} on"
    return f"{of} is offered no more{since}. What is in the drawer stays, and whatever names it goes on naming it."
