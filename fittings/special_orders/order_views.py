"""What is done with an order: lines, sending, taking in, another day, closing, dropping. The desk hears of each."""

from __future__ import annotations

from collections.abc import Callable
from urllib.parse import urlencode

from django.contrib import messages
from django.core.exceptions import PermissionDenied, ValidationError
from django.http import HttpResponse
from django.shortcuts import redirect
from django.utils.timezone import localdate, now
from django.views.decorators.http import require_POST

from fittings.ordered_in import Arrived, close, drop, expect, send, take_in, take_out
from pieces.models import MakerOrder, OrderLine
from pieces.orders.forms import (
    CloseForm,
    DropForm,
    ExpectedForm,
    LineAddForm,
    LineChangeForm,
    QuietForm,
    ReceiveForm,
)
from pieces.orders.page import EXPECT_ID, LONGEST_QUESTION, order_page
from pieces.orders.reading import lines_of, order_of
from salon.common.access import needs
from salon.common.days import day_said
from salon.current import SalonRequest

LONGEST_KEY = 9  # digits: a longer one is no line's


@needs("pieces.change_makerorder", "pieces.change_orderline")
@require_POST
def maker_order_line(request: SalonRequest, reference: str) -> HttpResponse:
    """One more line of a draft, a change of one, or one less, as `deed` says."""
    order, deed = order_of(reference), request.POST.get("deed", "")
    if deed == "add":
        return _added(request, order)
    line = _line(order, request.POST.get("line", ""))
    if line is None:
        messages.error(request, "This line is no longer on the order.")
        return redirect(order)
    if deed == "take out":
        return _taken_out(request, order, line)
    sees_costs = request.user.has_perm("pieces.review_sale")
    form = LineChangeForm(request.POST, line=line, currency=order.currency, sees_costs=sees_costs)
    if form.is_valid() and form.change():
        messages.success(request, f"{line.variant.piece}: saved.")
        return redirect(order)
    return order_page(request, order, form)


@needs("pieces.change_makerorder")
@require_POST
def maker_order_send(request: SalonRequest, reference: str) -> HttpResponse:
    order, form = order_of(reference), ExpectedForm(request.POST)
    return _answer(
        request,
        order,
        form,
        lambda: send(order=order, by=request.user, at=now(), **form.cleaned_data),
        f"Order {order} is marked as sent.",
    )


@needs("pieces.change_makerorder")
@require_POST
def maker_order_expect(request: SalonRequest, reference: str) -> HttpResponse:
    order, form = order_of(reference), ExpectedForm(request.POST, auto_id=EXPECT_ID)
    return _answer(
        request,
        order,
        form,
        lambda: expect(order=order, by=request.user, at=now(), **form.cleaned_data),
        "The day is saved; the desk sees it where a client waits.",
    )


@needs("pieces.view_makerorder", "pieces.add_stockmovement")
@require_POST
def maker_order_receive(request: SalonRequest, reference: str) -> HttpResponse:
    """A parcel: what was written of each line, or all that was still to come."""
    order = order_of(reference)
    form = ReceiveForm(request.POST, lines=lines_of(order), today=localdate())
    return _answer(
        request,
        order,
        form,
        lambda: take_in(
            order=order,
            arrived=[Arrived(*one) for one in form.arrived()],
            received_on=form.cleaned_data["received_on"],
            by=request.user,
            at=now(),
        ),
        "Taken in; each has a number of its own, and what a client waits for is set aside for her.",
    )


@needs("pieces.change_makerorder")
@require_POST
def maker_order_close(request: SalonRequest, reference: str) -> HttpResponse:
    order, form = order_of(reference), CloseForm(request.POST)
    return _answer(
        request,
        order,
        form,
        lambda: close(order=order, by=request.user, at=now(), **form.cleaned_data),
        f"Order {order} is closed.",
    )


@needs("pieces.change_makerorder")
@require_POST
def maker_order_drop(request: SalonRequest, reference: str) -> HttpResponse:
    order = order_of(reference)
    said = f"The draft of {day_said(order.drafted_at)} is dropped."
    return _answer(request, order, DropForm(request.POST), lambda: drop(order=order, by=request.user, at=now()), said)


def _answer(
    request: SalonRequest, order: MakerOrder, form: QuietForm, deed: Callable[[], object], said: str
) -> HttpResponse:
    """Do it and say so, or show the page with the form as it was typed and the reason beside it."""
    if form.is_valid():
        try:
            deed()
        except ValidationError as refusal:
            form.refuse(refusal)
        else:
            messages.success(request, said)
            return redirect(order)
    return order_page(request, order, form)


def _added(request: SalonRequest, order: MakerOrder) -> HttpResponse:
    form = LineAddForm(request.POST, order=order)
    if form.is_valid() and (line := form.add(at=now())):
        messages.success(request, f"On the order: {line.count} × {line.variant.piece}, {line.variant.shade.name}.")
        words = request.POST.get("q", "").strip()[:LONGEST_QUESTION]
        asked = f"?{urlencode({'q': words})}#find" if words else ""
        return redirect(f"{order.get_absolute_url()}{asked}")
    return order_page(request, order, form)


def _taken_out(request: SalonRequest, order: MakerOrder, line: OrderLine) -> HttpResponse:
    if not request.user.has_perm("pieces.delete_orderline"):
        raise PermissionDenied
    return _answer(
        request,
        order,
        DropForm(request.POST),
        lambda: take_out(line=line, by=request.user, at=now()),
        f"{line.variant.piece} is off the order.",
    )


def _line(order: MakerOrder, key: str) -> OrderLine | None:
    """The line of this order with that key; None where it is none."""
    if not (key.isascii() and key.isdecimal() and len(key) <= LONGEST_KEY):
        return None
    return next((line for line in lines_of(order) if line.pk == int(key)), None)
