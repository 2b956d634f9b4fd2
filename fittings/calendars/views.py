"""Calendars that programs outside the salon read, and the pages on which their addresses are made and taken back."""

from __future__ import annotations

import hashlib

from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import ValidationError
from django.db.models import Q, QuerySet
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseNotModified
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.timezone import now
from django.views.decorators.http import require_POST, require_safe

from fittings.calendars.feeds import make_feed, read_feed, revoke_feed
from fittings.calendars.form import FeedForm
from fittings.calendars.telling import feed_of, invitation_of
from fittings.models import Appointment, CalendarFeed
from salon.common.access import needs
from salon.current import SalonRequest
from salon.models import Salon, User

CALENDAR = "text/calendar; charset=utf-8"
SHOWN_ONCE = "new_calendar_address"  # in the session, until the page that shows it is drawn


@login_not_required
@require_safe
def calendar_feed(request: HttpRequest, secret: str) -> HttpResponse:
    """The whole feed, or that nothing changed; an address that is wrong or taken back is no page."""
    at = now()
    feed = read_feed(secret=secret, at=at)
    if feed is None:
        raise Http404
    content = feed_of(feed, salon=Salon.objects.default(), at=at)
    tag = f'"{hashlib.sha256(content).hexdigest()[:32]}"'
    answer: HttpResponse = (
        HttpResponseNotModified()
        if request.headers.get("If-None-Match") == tag
        else HttpResponse(content, content_type=CALENDAR)
    )
    answer["ETag"] = tag
    answer["Cache-Control"] = "private, no-cache"
    answer["Referrer-Policy"] = "no-referrer"
    answer["X-Robots-Tag"] = "noindex"
    return answer


@needs("fittings.view_calendarfeed")
@require_safe
def calendar_feeds(request: SalonRequest) -> HttpResponse:
    new = request.session.pop(SHOWN_ONCE, None)
    context = {
        "place": "today",
        "feeds": _seen_by(request.user).select_related("stylist", "place", "made_by"),
        "form": FeedForm(by=request.user),
        "new_address": new and request.build_absolute_uri(reverse("calendar-feed", args=[new])),
    }
    answer = render(request, "fittings/calendars/feeds.html", context)
    answer["Cache-Control"] = "no-store"
    return answer


@needs("fittings.add_calendarfeed")
@require_POST
def calendar_feed_new(request: SalonRequest) -> HttpResponse:
    form = FeedForm(request.POST, by=request.user)
    if not form.is_valid():
        messages.error(request, "Choose whose calendar it is from the list.")
        return redirect("calendar-feeds")
    try:
        _, secret = make_feed(**form.chosen(), by=request.user, at=now())
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
    else:
        request.session[SHOWN_ONCE] = secret
    return redirect("calendar-feeds")


@needs("fittings.add_calendarfeed")
@require_POST
def calendar_feed_revoke(request: SalonRequest, pk: int) -> HttpResponse:
    feed = get_object_or_404(_seen_by(request.user), pk=pk)
    revoke_feed(feed=feed, by=request.user, at=now())
    messages.success(request, "The address is taken back. A calendar that reads it gets nothing from now on.")
    return redirect("calendar-feeds")


@needs("fittings.view_appointment")
@require_safe
def appointment_ics(request: SalonRequest, reference: str) -> HttpResponse:
    """The file of one appointment, to be sent to the client or opened on the spot."""
    appointment = get_object_or_404(Appointment.objects.select_related("client"), reference=reference)
    content = invitation_of(appointment, salon=request.salon, at=now())
    answer = HttpResponse(content, content_type=CALENDAR)
    answer["Content-Disposition"] = f'attachment; filename="{appointment.reference}.ics"'
    answer["Cache-Control"] = "private, no-store"
    return answer


def _seen_by(user: User) -> QuerySet[CalendarFeed]:
    """Her own, and for the owner all."""
    feeds = CalendarFeed.objects.live()
    return feeds if user.has_perm("fittings.change_calendarfeed") else feeds.filter(Q(stylist=user) | Q(made_by=user))
