"""Finds the visit a page is about, with what its steps show, and notes who looked."""

from __future__ import annotations

from typing import Any

from django.shortcuts import get_object_or_404

from clients.looking import note_look
from fittings.consult.steps import steps_of
from fittings.models import Fitting
from salon.current import SalonRequest


def visit_of(request: SalonRequest, reference: str) -> Fitting:
    """The visit with that reference, its client and assessment fetched; 404 when there is none."""
    visits = Fitting.objects.select_related("client", "stylist", "assessment__client", "finished_by")
    return get_object_or_404(visits, reference=reference)


def page_of(request: SalonRequest, fitting: Fitting, here: str, **more: Any) -> dict[str, Any]:
    """What every page of a visit shows: the client, the steps, the place in the header. The look is kept."""
    note_look(client=fitting.client, user=request.user, page=f"visit {fitting.reference}: {here}")
    return {
        "place": "fittings",
        "fitting": fitting,
        "client": fitting.client,
        "steps": steps_of(fitting),
        "here": here,
    } | more
