"""The owner's review: the page, the rows behind its numbers, its tables as files, and its proposal as orders."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.timezone import localdate, now
from django.views.decorators.http import require_POST, require_safe

from fittings.house_rules.views import units_of
from fittings.review.opened import Opened, opened
from fittings.review.order_form import MOST_SHOWN, OrderForm, rows_to_fill
from fittings.review.page import review_page
from fittings.review.question import ReviewForm
from fittings.review.section import Reading
from fittings.review.tables import IN_SIGHT
from pieces.review_asked import Asked
from salon.common.access import needs
from salon.common.csv_out import csv_response
from salon.common.days import day_said
from salon.current import SalonRequest, reader_units

A_PAGE = 50


@needs("pieces.review_sale")
@require_safe
def review(request: SalonRequest) -> HttpResponse:
    return _page(request, OrderForm())


@needs("pieces.review_sale", "pieces.add_makerorder")
@require_POST
def review_order(request: SalonRequest) -> HttpResponse:
    """The proposal, as it was changed, becomes a draft for each maker."""
    form = OrderForm(request.POST)
    orders = form.draft(by=request.user, at=now())
    if orders is None:
        return _page(request, form)
    for order in orders:
        messages.success(request, f"Order {order} to {order.maker} is drafted. Look it through and send it.")
    return redirect(orders[0]) if len(orders) == 1 else redirect("maker-orders")


@needs("pieces.review_sale")
@require_safe
def review_rows(request: SalonRequest) -> HttpResponse:
    """The rows behind one number; how many there are is the number."""
    if "what" not in request.GET:
        return redirect("review")  # where the numbers are that open their rows
    form, asked, found, group = _opened(request)
    page = Paginator(found.rows, A_PAGE).get_page(request.GET.get("page"))
    query = form.query(what=request.GET.get("what", ""), group=request.GET.get("group", ""))
    context = {
        "place": "review",
        "title": found.title,
        "group": group,
        "days": _days_said(asked),
        "header": found.kind.header,
        "page": page,
        "rows": [list(zip(found.kind.header, found.kind.shown(row), strict=True)) for row in page],
        "back": f"{reverse('review')}?{form.query()}",
        "file": f"{reverse('review-csv', args=['rows'])}?{query}",
        "query": query,
    }
    return render(request, "fittings/review/rows.html", context)


@needs("pieces.review_sale")
@require_safe
def review_csv(request: SalonRequest, table: str) -> HttpResponseBase:
    """One table of the page, or all rows behind a number, as a file."""
    if table == "rows":
        _, _, found, _ = _opened(request)
        rows: Iterator[list[str]] = ([words for words, _ in found.kind.shown(row)] for row in found.rows.iterator(2000))
        return csv_response("review-rows", found.kind.header, rows)
    form, asked = _question(request)
    if asked is None:
        raise Http404("These days or this grouping can't be meant.")
    wanted = review_page(_reading(request, form, asked, draws=False)).tables.get(table)
    if wanted is None:
        raise Http404("The review has no such table.")
    return csv_response(f"review-{table}", wanted.header, wanted.in_file())


def _page(request: SalonRequest, order_form: OrderForm) -> HttpResponse:
    form, asked = _question(request)
    context: dict[str, Any] = {"place": "review", "form": form}
    if asked is not None:
        page = review_page(_reading(request, form, asked), also=order_form.variants)
        context |= {
            "page": page,
            "days": _days_said(asked),
            "grouping": asked.grouping.label,
            "query": form.query(),
            "order_form": order_form,
            "order_rows": _parted(rows_to_fill(page.proposal, page.reorder, order_form)),
            "order_more": max(0, len(page.proposal.rows) - MOST_SHOWN),
        }
    return render(request, "fittings/review/review.html", context)


def _parted(rows: list[Any]) -> dict[str, list[Any]]:
    """The rows in sight, and those that are one press away."""
    return {"first": rows[:IN_SIGHT], "others": rows[IN_SIGHT:]}


def _question(request: SalonRequest) -> tuple[ReviewForm, Asked | None]:
    units = reader_units(request.user, request.salon)
    form = ReviewForm(request.GET, today=localdate(), salon=request.salon, units=units)
    return form, form.asked()


def _reading(request: SalonRequest, form: ReviewForm, asked: Asked, *, draws: bool = True) -> Reading:
    rows = reverse("review-rows")
    return Reading(
        asked,
        lambda what, group="": f"{rows}?{form.query(what=what, group=group)}",
        units_of(request),
        draws,
    )


def _opened(request: SalonRequest) -> tuple[ReviewForm, Asked, Opened, str]:
    form, asked = _question(request)
    what, group = request.GET.get("what", "")[:240], request.GET.get("group", "")[:80]
    found = None if asked is None else opened(what, asked, group)
    if asked is None or found is None:
        raise Http404("The review has no such rows.")
    groups = {*asked.groups.values(), *asked.groups_by_variant.values()} if group else ()
    name = next((one.name for one in groups if one.key == group), "")
    return form, asked, found, name


def _days_said(asked: Asked) -> str:
    return f"{day_said(asked.span.since)} to {day_said(asked.span.until)}"
