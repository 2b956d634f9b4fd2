"""A client's hair over time, and two of her maps against each other."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from clients.looking import note_look
from clients.models import Client
from fittings.consult.map_form import ZONE_TEXT
from fittings.consult.step_page import kept_nowhere, unit_of
from fittings.models import Fitting, HouseRule
from fittings.over_time.apart import paintings_apart
from fittings.over_time.comparison import ZONE_NAMES, compared, day_told, key_of_change, to_compare
from fittings.over_time.hair_page import newest_in_words, pictures_of, rows_of
from fittings.over_time.pieces_shown import pieces_shown
from fittings.over_time.visits import hair_of
from fittings.still_covers import still_covers
from salon.common.access import needs
from salon.current import SalonRequest

LOOK = "hair over time"


@needs("clients.view_health")
@require_safe
def hair_over_time(request: SalonRequest, reference: str) -> HttpResponse:
    """Every signed map of hers, newest first, and which of her own pieces still cover by the newest."""
    client = get_object_or_404(Client.objects.active(), reference=reference)
    note_look(client=client, user=request.user, page=LOOK)
    numbers = HouseRule.objects.current()
    hair, apart, unit = hair_of(client), paintings_apart(numbers), unit_of(request)
    pieces = still_covers(client, hair.newest.loss_map, hair.on.head, numbers) if hair.newest else []
    context = {
        "place": "clients",
        "client": client,
        "rows": rows_of(hair, apart),
        "pictures": pictures_of(hair, apart),
        "sentences": newest_in_words(hair, apart),
        "head_of": hair.on.of,
        "assumed": hair.on.head.assumed,
        "apart": apart,
        "pieces": pieces_shown(pieces, hair, unit),
        "open_visit": Fitting.objects.open().select_related("assessment").filter(client=client).first(),
    }
    return kept_nowhere(render(request, "fittings/over_time/hair.html", context))


@needs("clients.view_health")
@require_safe
def hair_compare(request: SalonRequest, reference: str) -> HttpResponse:
    """Two of her maps side by side and as a difference, on heads that turn together."""
    client = get_object_or_404(Client.objects.active(), reference=reference)
    note_look(client=client, user=request.user, page=LOOK)
    maps = to_compare(client)
    apart = paintings_apart(HouseRule.objects.current())
    context = {
        "place": "clients",
        "client": client,
        "maps": [(assessment, day_told(assessment)) for assessment in maps],
        "compared": compared(maps, request.GET.get("then", ""), request.GET.get("now", ""), apart),
        "apart": apart,
        "key": key_of_change(),
        "zone_text": ZONE_TEXT,
        "zone_names": ZONE_NAMES,
        "unit": unit_of(request),
    }
    return kept_nowhere(render(request, "fittings/over_time/compare.html", context))
