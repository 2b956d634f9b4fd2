"""What is pressed about washes on a piece's page: washed today, and the address with which she tells of it herself."""

from __future__ import annotations

from datetime import date
from urllib.parse import urlencode

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.cache import add_never_cache_headers
from django.utils.timezone import localdate, now
from django.views.decorators.http import require_http_methods, require_POST

from fittings.caring import make_wash_link, revoke_wash_link, tell_wash
from fittings.models import WashLink
from fittings.owned.finding import owned_of
from salon.common.access import needs
from salon.common.days import day_and_month
from salon.current import SalonRequest

SHOWN_ONCE = "new_wash_link"  # in the session, until the page that shows the address is drawn
YEARS = range(2000, 2100)
LONGEST_DAY = 10  # letters of a day, 2026-03-02


@needs("fittings.add_wash")
@require_POST
def wash_tell(request: SalonRequest, reference: str) -> HttpResponse:
    """Washed today, or on the day that was chosen, which stands in its field again where it can't be."""
    owned = owned_of(reference)
    typed, deep_care = request.POST.get("washed_on", ""), bool(request.POST.get("deep_care"))
    try:
        washed_on = _day(typed)
        tell_wash(owned=owned, washed_on=washed_on, deep_care=deep_care, by=request.user, at=now())
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
        if typed:
            again = urlencode({"washed_on": typed[:LONGEST_DAY]} | ({"deep_care": "yes"} if deep_care else {}))
            return redirect(f"{owned.get_absolute_url()}?{again}#another-day")
    else:
        messages.success(
            request, f"Written down: washed on {day_and_month(washed_on)}{' with deep care' if deep_care else ''}."
        )
    return redirect(owned)


@needs("fittings.add_washlink")
@require_http_methods(["GET", "HEAD", "POST"])
def wash_link_new(request: SalonRequest, reference: str) -> HttpResponse:
    """Her address: made at a press, shown once, for only its digest is kept."""
    owned = owned_of(reference)
    if request.method == "POST":
        try:
            link, secret = make_wash_link(owned=owned, by=request.user, at=now())
        except ValidationError as refusal:
            messages.error(request, " ".join(refusal.messages))
        else:  # on a page of its own: loading that again makes no second address
            request.session[SHOWN_ONCE] = (link.pk, request.build_absolute_uri(reverse("washed", args=[secret])))
        return redirect("wash-link-new", reference)
    pk, address = request.session.pop(SHOWN_ONCE, (None, ""))
    links = list(owned.wash_links.select_related("made_by", "revoked_by")[:10])
    live = next((link for link in links if link.revoked_at is None), None)
    context = {
        "place": "clients",
        "client": owned.client,
        "owned": owned,
        "live": live if owned.is_hers else None,
        "earlier": [link for link in links if link is not live],
        "address": address if live and live.pk == pk else "",
    }
    page = render(request, "fittings/care_pages/wash_link.html", context)
    add_never_cache_headers(page)
    return page


@needs("fittings.change_washlink")
@require_POST
def wash_link_revoke(request: SalonRequest, reference: str) -> HttpResponse:
    owned = owned_of(reference)
    if live := WashLink.objects.filter(owned_piece=owned, revoked_at__isnull=True).first():
        revoke_wash_link(link=live, by=request.user, at=now())
    messages.success(request, "Taken back: the address opens nothing any more.")
    return redirect("wash-link-new", reference)


def _day(typed: str) -> date:
    if not typed:
        return localdate()
    try:
        day = date.fromisoformat(typed)
    except ValueError:
        day = None
    if day is None or day.year not in YEARS:
        raise ValidationError("Write the day as a day of these years, such as 2026-03-02.")
    return day
