"""Browsing pieces, bases, shades and units; units that come in; the import of a catalogue."""

from __future__ import annotations

from urllib.parse import urlencode

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.timezone import localdate
from django.views.decorators.http import require_http_methods, require_safe
from django_htmx.http import HttpResponseClientRedirect

from pieces.browsing import (
    bases_by_size,
    find_pieces,
    find_units,
    read_by_photo,
    shades_by_maker,
    shades_of,
    variants_of,
)
from pieces.catalogue import CatalogueReport, kinds, read_catalogue
from pieces.catalogue.examples import example_file
from pieces.catalogue.sheets import LARGEST_BYTES, MOST_LINES
from pieces.forms import CatalogueForm, PieceSearchForm, ReceiveUnitsForm, UnitSearchForm, fingerprint
from pieces.models import Base, Piece, Unit
from pieces.ring.measured import ring_shades
from salon.common.access import needs
from salon.common.htmx import render_page_or_part, wants_part
from salon.current import SalonRequest, reader_units

PIECES_A_PAGE = 24
BASES_A_PAGE = 24
SHADES_A_PAGE = 120  # small, and seen side by side
UNITS_A_PAGE = 50
UNITS_OF_A_PIECE = 40


@needs("pieces.view_piece")
@require_safe
def pieces(request: SalonRequest) -> HttpResponse:
    form = PieceSearchForm(request.GET, units=reader_units(request.user, request.salon))
    found = find_pieces(form.question(), on=localdate())
    page = Paginator(found, PIECES_A_PAGE).get_page(request.GET.get("page"))
    context = {
        "place": "pieces",
        "form": form,
        "page": page,
        "rows": [(piece, shades_of(piece)) for piece in page],
        "asked": _asked(request, form),
    }
    return _narrowed(request, "pieces/pieces.html", "pieces/_piece_list.html", context)


@needs("pieces.view_piece")
@require_safe
def piece(request: SalonRequest, pk: int) -> HttpResponse:
    shown = get_object_or_404(
        Piece.objects.select_related("base__maker").prefetch_related("base__clips", "base__tape_areas", "pictures"),
        pk=pk,
    )
    units = Unit.objects.filter(variant__piece=shown).select_related("variant__shade")
    units = units.prefetch_related(read_by_photo("variant__shade"))
    context = {
        "place": "pieces",
        "piece": shown,
        "base": shown.base,
        "variants": variants_of(shown),
        "units_of_it": units.order_by("state", "number")[: UNITS_OF_A_PIECE + 1],
        "most_units": UNITS_OF_A_PIECE,
        "today": localdate(),
    }
    return render(request, "pieces/piece.html", context)


@needs("pieces.view_base")
@require_safe
def bases(request: SalonRequest) -> HttpResponse:
    page = Paginator(bases_by_size(), BASES_A_PAGE).get_page(request.GET.get("page"))
    return render(request, "pieces/bases.html", {"place": "pieces", "page": page})


@needs("pieces.view_base")
@require_safe
def base(request: SalonRequest, pk: int) -> HttpResponse:
    shown = get_object_or_404(Base.objects.with_shape().select_related("maker"), pk=pk)
    context = {
        "place": "pieces",
        "base": shown,
        "clips": [(clip, abs(clip.v_mm)) for clip in shown.clips.all()],
        "pieces": shown.pieces.order_by("name"),
    }
    return render(request, "pieces/base.html", context)


@needs("pieces.view_shade")
@require_safe
def shades(request: SalonRequest) -> HttpResponse:
    page = Paginator(shades_by_maker(), SHADES_A_PAGE).get_page(request.GET.get("page"))
    context = {"place": "pieces", "page": page, "ring": ring_shades(page, salon=request.salon)}
    return render(request, "pieces/shades.html", context)


@needs("pieces.view_unit")
@require_safe
def units(request: SalonRequest) -> HttpResponse:
    form = UnitSearchForm(request.GET)
    asked = form.asked()
    found = find_units(asked["q"], state=asked["state"], purpose=asked["purpose"])
    page = Paginator(found, UNITS_A_PAGE).get_page(request.GET.get("page"))
    context = {"place": "pieces", "form": form, "page": page, "asked": _asked(request, form)}
    return _narrowed(request, "pieces/units.html", "pieces/_unit_list.html", context)


@needs("pieces.add_unit")
@require_http_methods(["GET", "POST"])
def units_receive(request: SalonRequest, pk: int) -> HttpResponse:
    shown = get_object_or_404(Piece.objects.select_related("base__maker"), pk=pk)
    data = request.POST if request.method == "POST" else None
    form = ReceiveUnitsForm(data, piece=shown, units=reader_units(request.user, request.salon), today=localdate())
    if form.is_valid() and (received := form.receive(by=request.user)):
        numbers = ", ".join(one.number for one in received)
        messages.success(request, f"In the drawer, to be labelled: {numbers}.")
        return redirect(f"{reverse('labels')}?{urlencode([('unit', one.number) for one in received])}")
    return render(request, "pieces/units_receive.html", {"place": "pieces", "piece": shown, "form": form})


@needs("pieces.change_piece")
@require_http_methods(["GET", "POST"])
def catalogue_import(request: SalonRequest) -> HttpResponse:
    """Checks the chosen files; stores them only when the same files were checked before and are asked to be stored."""
    asked = request.method == "POST"
    form = CatalogueForm(
        request.POST if asked else None, request.FILES if asked else None, currency=request.salon.currency
    )
    context: dict[str, object] = {"place": "pieces", "form": form, "kinds": form.kinds.values()}
    if form.is_valid():
        contents = form.contents()
        same = form.cleaned_data["checked"] == fingerprint(contents)
        store = "import" in request.POST
        report = read_catalogue(contents, dry_run=not (store and same), by=request.user)
        if report.stored:
            return _imported(request, report)
        context |= {"report": report, "checked": fingerprint(contents), "changed_meanwhile": store and not same}
    return render_page_or_part(request, "pieces/catalogue_import.html", "pieces/_import_report.html", context)


@needs("pieces.change_piece")
@require_safe
def catalogue_columns(request: SalonRequest) -> HttpResponse:
    context = {
        "place": "pieces",
        "kinds": kinds(request.salon.currency).values(),
        "megabytes": LARGEST_BYTES // 1_000_000,
        "lines": f"{MOST_LINES:,}",
    }
    return render(request, "pieces/catalogue_columns.html", context)


@needs("pieces.change_piece")
@require_safe
def catalogue_example(request: SalonRequest, kind: str) -> HttpResponse:
    if kind not in kinds(request.salon.currency):
        raise Http404
    return HttpResponse(
        example_file(kind).read_bytes(),
        content_type="text/csv; charset=utf-8",
        headers={"Content-Disposition": f'attachment; filename="{kind}.csv"'},
    )


def _asked(request: SalonRequest, form: PieceSearchForm | UnitSearchForm) -> str:
    """What was asked, as an address keeps it: filled-in fields alone, without the page."""
    return urlencode([(name, value) for name in form.fields if (value := request.GET.get(name, ""))])


def _narrowed(request: SalonRequest, page: str, part: str, context: dict[str, object]) -> HttpResponse:
    """A list and its address: a swap also moves the browser to the address that would give the same list again."""
    response = render_page_or_part(request, page, part, context)
    if wants_part(request):
        asked = context["asked"]
        response["HX-Push-Url"] = f"{request.path}?{asked}" if asked else request.path
    return response


def _imported(request: SalonRequest, report: CatalogueReport) -> HttpResponse:
    messages.success(request, f"The catalogue is stored. {report.summary}")
    if wants_part(request):
        return HttpResponseClientRedirect(request.path)
    return redirect("catalogue-import")
