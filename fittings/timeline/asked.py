"""Which page of a line does a request ask for?"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.http import Http404

from fittings.timeline.line import LinePage, Mark
from salon.current import SalonRequest, reader_units
from salon.models import Units


def line_asked_for(
    request: SalonRequest, line_of: Callable[..., LinePage], subject: Any, *, here: str
) -> dict[str, Any]:
    """What `fittings/timeline/_line.html` needs; Http404 for a place on the line that nobody gave out."""
    try:
        before = Mark.read(request.GET["before"]) if "before" in request.GET else None
    except ValueError as error:
        raise Http404(str(error)) from error
    page = line_of(
        subject,
        may=request.user.has_perm,
        imperial=reader_units(request.user, request.salon) == Units.IMPERIAL,
        before=before,
        about=request.GET.get("show", ""),
    )
    return {"line": page, "line_here": here, "is_first_page": before is None}
