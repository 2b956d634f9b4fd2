"""Free times for nobody in particular yet: “what have you got on Tuesdays?”, and on to the booking."""

from __future__ import annotations

from typing import Any

from django.http import HttpResponse
from django.utils.timezone import now
from django.views.decorators.http import require_safe

from fittings.desk.times_offered import FAR_DAYS, times_offered
from fittings.desk.times_page import leafed_to
from fittings.desk.wish_form import WishForm
from fittings.models import OpeningHours
from salon.common.access import needs
from salon.common.htmx import render_page_or_part, wants_part
from salon.current import SalonRequest

DAYS_SHOWN = 14  # a page of them; the rest follows


@needs("fittings.view_appointment")
@require_safe
def free_times(request: SalonRequest) -> HttpResponse:
    wishes, later = WishForm(request.GET, at=now()), leafed_to(request.GET.get("later"))
    context: dict[str, Any] = {
        "place": "today",
        "wishes": wishes,
        "kind": wishes.chosen_kind,
        "here": request.path,
        "later": later,
        "far_days": FAR_DAYS,
        "is_part": wants_part(request),
    }
    if wishes.chosen_kind:
        context |= {
            "offered": times_offered(
                kind=wishes.chosen_kind, since=wishes.since(later), wish=wishes.wish([]), days_shown=DAYS_SHOWN
            ),
            "tells_who": not wishes.said.get("wished_stylist"),
            "hours_are_known": OpeningHours.objects.exists(),
            "asked": request.GET.urlencode(),
        }
    return render_page_or_part(request, "fittings/desk/free_times.html", "fittings/desk/_free_times.html", context)
