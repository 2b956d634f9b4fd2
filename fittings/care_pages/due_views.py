"""The desk's list of what falls due, and that she was told of it."""

from __future__ import annotations

from urllib.parse import urlencode

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.timezone import localdate, now
from django.views.decorators.http import require_POST, require_safe

from clients.models import Client
from fittings.care_pages.due import A_PAGE, A_PRINTED_PAGE, due_page
from fittings.caring import mark_told, take_back_told
from fittings.models import CareDate
from salon.common.access import needs
from salon.common.htmx import wants_part
from salon.current import SalonRequest

LONGEST_KEY = 40


@needs("fittings.view_caredate")
@require_safe
def care_due(request: SalonRequest) -> HttpResponse:
    kind, after = _kind(request.GET.get("kind", "")), request.GET.get("after", "")[:LONGEST_KEY]
    to_print = kind == CareDate.Kind.ORDER and request.GET.get("print") == "yes"
    on = localdate()
    page = due_page(kind=kind, after=after, on=on, at=now(), length=A_PRINTED_PAGE if to_print else A_PAGE)
    context = {
        "place": "today",
        "page": page,
        "kind": kind,
        "kinds": CareDate.Kind.choices,
        "kind_words": dict(CareDate.Kind.choices).get(kind, ""),
        "after": after,
        "on": on,
        "just_told": _just_told(request.GET.get("told", "")),
    }
    return render(request, f"fittings/care_pages/{'order_list' if to_print else 'due'}.html", context)


@needs("fittings.change_caredate")
@require_POST
def care_told(request: SalonRequest, pk: int) -> HttpResponse:
    """She was told; or, with `told` as "no", it was pressed by mistake. Back to where on the list it was pressed."""
    found = CareDate.objects.filter(owned_piece__client__in=Client.objects.active())
    care_date = get_object_or_404(found.select_related("owned_piece__client"), pk=pk)
    is_told = request.POST.get("told", "yes") != "no"
    here = {"kind": _kind(request.POST.get("kind", "")), "after": request.POST.get("after", "")[:LONGEST_KEY]}
    gone = ""
    try:
        if is_told:
            mark_told(care_date=care_date, by=request.user, at=now())
        else:
            take_back_told(care_date=care_date)
    except ValidationError as refusal:
        gone = " ".join(refusal.messages)
    if is_told and wants_part(request):
        return render(request, "fittings/care_pages/_told.html", {"told": care_date, "gone": gone, **here})
    if gone:
        messages.info(request, gone)
    back = {name: value for name, value in here.items() if value} | ({"told": str(pk)} if is_told and not gone else {})
    return redirect(f"{reverse('care-due')}?{urlencode(back)}" if back else "care-due")


def _kind(asked: str) -> str:
    return asked if asked in CareDate.Kind.values else ""


def _just_told(asked: str) -> CareDate | None:
    """The one whose press can be taken back, where the page came from that press."""
    if not (asked.isascii() and asked.isdecimal()):
        return None
    told = CareDate.objects.filter(pk=int(asked[:18]), told_at__isnull=False)
    return told.select_related("owned_piece__client").first()
