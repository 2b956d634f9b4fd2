"""A maker's own file looked at and taken in; the catalogue handed out as files; what a variant has cost."""

from __future__ import annotations

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.timezone import localdate
from django.views.decorators.http import require_http_methods, require_safe
from django_htmx.http import HttpResponseClientRedirect

from pieces.catalogue import kinds
from pieces.catalogue.exporting import exported_columns, exported_lines
from pieces.catalogue.maker_sheets import LARGEST_BYTES
from pieces.catalogue.prices import prices_of
from pieces.catalogue.sheets import MOST_LINES
from pieces.maker_files.file_form import MakerFileForm
from pieces.maker_files.looking import look_at
from pieces.models import Variant
from salon.common.access import needs
from salon.common.csv_out import csv_response
from salon.common.htmx import render_page_or_part, wants_part
from salon.current import SalonRequest

PRICES_A_PAGE = 50


@needs("pieces.change_piece", "pieces.change_makercolumns")
@require_http_methods(["GET", "POST"])
def maker_file(request: SalonRequest) -> HttpResponse:
    """Looks at the chosen file; takes it in only when the same file meaning the same was looked at before."""
    asked = request.method == "POST"
    form = MakerFileForm(
        request.POST if asked else None, request.FILES if asked else None, currency=request.salon.currency
    )
    context: dict[str, object] = {
        "place": "pieces",
        "form": form,
        "megabytes": LARGEST_BYTES // 1_000_000,
        "lines": f"{MOST_LINES:,}",
    }
    if form.is_valid():
        looked = look_at(form, request.POST, by=request.user)
        if looked.report and looked.report.stored:
            messages.success(request, f"Taken in from {form.maker_name}. {looked.report.summary}")
            return HttpResponseClientRedirect(request.path) if wants_part(request) else redirect("maker-file")
        context["looked"] = looked
    page, part = "pieces/maker_files/maker_file.html", "pieces/maker_files/_looked.html"
    return render_page_or_part(request, page, part, context)


@needs("pieces.change_piece")
@require_safe
def catalogue_export(request: SalonRequest, kind: str) -> HttpResponseBase:
    wanted = kinds(request.salon.currency).get(kind)
    if wanted is None:
        raise Http404
    columns = exported_columns(wanted, with_costs=request.user.has_perm("pieces.review_sale"))
    return csv_response(kind, [column.name for column in columns], exported_lines(wanted, columns))


@needs("pieces.view_variant")
@require_safe
def variant_prices(request: SalonRequest, pk: int) -> HttpResponse:
    variant = get_object_or_404(Variant.objects.select_related("piece__base__maker", "shade"), pk=pk)
    entries = prices_of(variant, with_costs=request.user.has_perm("pieces.review_sale"))
    page = Paginator(entries, PRICES_A_PAGE).get_page(request.GET.get("page"))
    context = {"place": "pieces", "variant": variant, "page": page, "today": localdate()}
    return render(request, "pieces/maker_files/variant_prices.html", context)
