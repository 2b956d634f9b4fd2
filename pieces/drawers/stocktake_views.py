"""Stocktakes: begun, counted by typing or by the camera, put right and ended.

The camera is let to one page alone, by its Permissions-Policy; every other page forbids it (`salon.browser_powers`).
"""

from __future__ import annotations

from itertools import chain

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.timezone import now
from django.views.decorators.http import require_POST, require_safe

from pieces.counting import differences
from pieces.drawers.stocktake_forms import BeginForm, CountForm, FinishForm, PutRightForm, SeenForm
from pieces.models import Stocktake
from salon.browser_powers import with_camera
from salon.common.access import needs
from salon.common.htmx import render_page_or_part, wants_part
from salon.current import SalonRequest

STOCKTAKES_A_PAGE = 25
UNITS_A_PAGE = 50
LAST_MET = 8


@needs("pieces.view_stocktake")
@require_safe
def stocktakes(request: SalonRequest) -> HttpResponse:
    return _list(request, BeginForm())


@needs("pieces.add_stocktake")
@require_POST
def stocktake_new(request: SalonRequest) -> HttpResponse:
    """Begins one, or leads to the one that is open, which a second press does too."""
    form = BeginForm(request.POST)
    if form.is_valid() and (opened := Stocktake.objects.open().first()):
        messages.info(request, "This stocktake is open already; another can begin when it is finished.")
        return redirect(opened)
    if form.is_valid() and (begun := form.begin(by=request.user, at=now())):
        return redirect(begun)
    return _list(request, form)


@needs("pieces.view_stocktake")
@require_safe
@with_camera
def stocktake(request: SalonRequest, reference: str) -> HttpResponse:
    """The page; the swap after each unit that is counted gets how far it has come."""
    return _page(request, _stocktake(reference))


@needs("pieces.add_stocktakescan")
@require_POST
@with_camera
def stocktake_count(request: SalonRequest, reference: str) -> HttpResponse:
    """A number that was typed; or what the camera saw, which is answered as JSON."""
    counted_in = _stocktake(reference)
    if request.accepts("application/json") and not request.accepts("text/html"):
        return _seen(request, counted_in)
    form = CountForm(request.POST)
    if form.is_valid() and (counted := form.count(counted_in, by=request.user, at=now())):
        if not wants_part(request):
            messages.success(request, counted.says)
            return redirect(counted_in)
        answer = _typed(request, counted_in, CountForm(), counted.says)
        answer["HX-Trigger"] = "counted"
        return answer
    return _typed(request, counted_in, form) if wants_part(request) else _page(request, counted_in, count=form)


@needs("pieces.change_stocktake")
@require_POST
@with_camera
def stocktake_put_right(request: SalonRequest, reference: str) -> HttpResponse:
    counted_in = _stocktake(reference)
    form = PutRightForm(request.POST, stocktake=counted_in)
    if form.is_valid() and (units := form.put_right(by=request.user, at=now())):
        messages.success(request, f"Put right: {', '.join(unit.number for unit in units)}.")
        return redirect(counted_in)
    return _page(request, counted_in, right=form)


@needs("pieces.change_stocktake")
@require_POST
@with_camera
def stocktake_finish(request: SalonRequest, reference: str) -> HttpResponse:
    counted_in = _stocktake(reference)
    form = FinishForm(request.POST, stocktake=counted_in)
    if form.is_valid() and form.finish(by=request.user, at=now()):
        messages.success(request, f"Stocktake {counted_in} is finished.")
        return redirect(counted_in)
    return _page(request, counted_in, finish=form)


def _stocktake(reference: str) -> Stocktake:
    return get_object_or_404(Stocktake.objects.select_related("maker", "began_by", "finished_by"), reference=reference)


def _list(request: SalonRequest, form: BeginForm) -> HttpResponse:
    rows = Stocktake.objects.select_related("maker", "began_by")
    page = Paginator(rows, STOCKTAKES_A_PAGE).get_page(request.GET.get("page"))
    context = {"place": "pieces", "form": form, "page": page, "open": Stocktake.objects.open().first()}
    return render(request, "pieces/drawers/stocktakes.html", context)


def _seen(request: SalonRequest, stocktake: Stocktake) -> HttpResponse:
    form = SeenForm(request.POST, request.FILES)
    if not form.is_valid():
        return JsonResponse({"refused": " ".join(str(said) for said in chain(*form.errors.values()))})
    return JsonResponse({"lines": form.count(stocktake, by=request.user, at=now())})


def _typed(request: SalonRequest, stocktake: Stocktake, form: CountForm, says: str = "") -> HttpResponse:
    context = {"stocktake": stocktake, "count": form, "says": says}
    return render(request, "pieces/drawers/_typed.html", context)


def _page(
    request: SalonRequest,
    stocktake: Stocktake,
    *,
    count: CountForm | None = None,
    right: PutRightForm | None = None,
    finish: FinishForm | None = None,
) -> HttpResponse:
    context: dict[str, object] = {"place": "pieces", "stocktake": stocktake, "here": "stocktakes"}
    page = request.GET.get("page")
    if not stocktake.is_open:
        moved = stocktake.movements.select_related("unit__variant__piece", "by")
        context |= {
            "movements": Paginator(moved, UNITS_A_PAGE).get_page(page),
            "refused": next((form for form in (count, right, finish) if form), None),
        }
        return render(request, "pieces/drawers/stocktake_finished.html", context)
    differ = differences(stocktake)
    context |= {
        "met": stocktake.scans.count(),
        "last_met": stocktake.scans.select_related("unit__variant__piece", "unit__variant__shade")[:LAST_MET],
        "missing": Paginator(differ.missing, UNITS_A_PAGE).get_page(page),
        "written_off_but_met": differ.written_off_but_met[:UNITS_A_PAGE],
        "out_but_met": differ.out_but_met[:UNITS_A_PAGE],
        "count": count or CountForm(),
        "right": right or PutRightForm(stocktake=stocktake),
        "finish": finish or FinishForm(stocktake=stocktake),
        "refused": right or finish,
    }
    if right or finish:  # what is refused stands above the whole page, whoever asked
        return render(request, "pieces/drawers/stocktake.html", context)
    return render_page_or_part(request, "pieces/drawers/stocktake.html", "pieces/drawers/_progress.html", context)
