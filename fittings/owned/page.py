"""What the page of one owned piece shows: each subject adds its own, for those who may see it.

The parts of the page are `templates/fittings/owned/_*.html`; a subject with rows of its own gathers them in a module of
its own and is called here.
"""

from __future__ import annotations

from typing import Any

from django.utils.timezone import localdate

from clients.looking import note_look_lately
from fittings.care_pages.shown import care_shown
from fittings.models import OwnedPiece
from fittings.owned.checks_shown import checks_shown
from fittings.photos.finding import LOOK
from fittings.services.on_record import services_of_piece
from fittings.timeline.asked import line_asked_for
from fittings.timeline.lines_of import line_of_owned
from salon.current import SalonRequest

TOLD_BEFORE = 5


def page_of(request: SalonRequest, owned: OwnedPiece) -> dict[str, Any]:
    """The whole page; the number of queries does not depend on how much was recorded."""
    context: dict[str, Any] = {"place": "clients", "client": owned.client, "owned": owned, **_where_it_is(owned)}
    context |= line_asked_for(request, line_of_owned, owned, here=owned.get_absolute_url())
    if owned.is_hers and not owned.partner_id:
        hers = owned.client.owned_pieces.current().with_what_they_are()
        context["could_take_turns"] = list(hers.filter(partner__isnull=True).exclude(pk=owned.pk))
    context["care"] = care_shown(owned, user=request.user, on=localdate())
    if request.user.has_perm("fittings.view_wearentry"):
        told = list(owned.wear_entries.standing().select_related("recorded_by")[: TOLD_BEFORE + 1])
        context |= {"worn": told[0] if told else None, "worn_before": told[1:]}
    if request.user.has_perm("fittings.view_conditioncheck"):
        context["checks"] = shown = checks_shown(request, owned)
        if shown.photos:
            note_look_lately(client=owned.client, user=request.user, page=LOOK)
    return context | services_of_piece(request, owned)


def _where_it_is(owned: OwnedPiece) -> dict[str, Any]:
    """Its repairs, the one it is away for, and what she wears meanwhile."""
    repairs = list(owned.repairs.select_related("sent_by", "back_by"))
    lent = owned.loans.filter(back_on__isnull=True).select_related("unit__variant__piece")
    return {
        "away": next((one for one in repairs if one.back_on is None), None),
        "repairs": [one for one in repairs if one.back_on is not None],
        "lent_meanwhile": list(lent),
    }
