"""The page of one piece that a client owns."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from fittings.owned.finding import owned_of
from fittings.owned.page import page_of
from salon.common.access import needs
from salon.current import SalonRequest


@needs("fittings.view_ownedpiece")
@require_safe
def owned_piece(request: SalonRequest, reference: str) -> HttpResponse:
    return render(request, "fittings/owned/piece.html", page_of(request, owned_of(reference)))
