"""One unit: what it is, where it lies, its ledger, and the moves it can make from here."""

from __future__ import annotations

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.timezone import now
from django.views.decorators.http import require_POST, require_safe

from pieces.drawers.move_forms import MoveForm, PurposeForm
from pieces.drawers.moves import MOVES, OWNER, Move
from pieces.models import Stocktake, Unit
from salon.common.access import View, needs
from salon.current import SalonRequest

MOVEMENTS_A_PAGE = 20


@needs("pieces.view_unit")
@require_safe
def unit(request: SalonRequest, number: str) -> HttpResponse:
    return _page(request, _unit(number))


@needs("pieces.view_unit")
@require_safe
def label(request: SalonRequest, number: str) -> HttpResponse:
    """What the code on a label leads to: the unit's page, wherever that is."""
    return redirect("unit", get_object_or_404(Unit, number=number).number)


def moving(move: Move) -> View:
    """The view behind the press of one move."""

    @needs(move.needs)
    @require_POST
    def moved(request: SalonRequest, number: str) -> HttpResponse:
        unit = _unit(number)
        form = MoveForm(request.POST, move=move)
        if form.is_valid() and form.move_unit(unit, by=request.user, at=now()):
            messages.success(request, move.done.format(unit=f"Unit {unit.number}"))
            return redirect("unit", number)
        return _page(request, _unit(number), refused=form)

    return moved


@needs(OWNER)
@require_POST
def unit_purpose(request: SalonRequest, number: str) -> HttpResponse:
    unit = _unit(number)
    form = PurposeForm(request.POST)
    if form.is_valid() and (changed := form.change(unit, by=request.user)):
        messages.success(request, f"Unit {unit.number} is {changed.get_purpose_display().lower()} now.")
        return redirect("unit", number)
    return _page(request, _unit(number), refused=form)


def _unit(number: str) -> Unit:
    return get_object_or_404(
        Unit.objects.select_related("variant__piece__base__maker", "variant__shade", "reserved_for"), number=number
    )


def _page(request: SalonRequest, unit: Unit, *, refused: MoveForm | PurposeForm | None = None) -> HttpResponse:
    """The page; a form that was refused stands on it with what was typed, also where its move is offered no more."""
    typed = refused if isinstance(refused, MoveForm) and refused.move.asks_why else None
    offered = [move for move in MOVES if unit.state in move.offered and request.user.has_perm(move.needs)]
    if typed and typed.move not in offered:
        offered.append(typed.move)
    forms = [typed if typed and move == typed.move else MoveForm(move=move) for move in offered]
    context = {
        "place": "pieces",
        "unit": unit,
        "movements": Paginator(unit.movements.told(), MOVEMENTS_A_PAGE).get_page(request.GET.get("page")),
        "presses": [form for form in forms if not form.move.asks_why],
        "with_a_reason": [form for form in forms if form.move.asks_why],
        "purposes": [purpose for purpose in Unit.Purpose if purpose != unit.purpose],
        "refused": refused,
        "stocktake": Stocktake.objects.open().first(),
    }
    return render(request, "pieces/drawers/unit.html", context)
