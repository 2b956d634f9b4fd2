"""What the page of one owned piece shows: each subject adds its own, for those who may see it.

The parts of the page are `templates/fittings/owned/_*.html`; a subject with rows of its own gathers them in a module of
its own and is called here.
"""

from __future__ import annotations

from typing import Any

from fittings.models import OwnedPiece
from salon.current import SalonRequest


def page_of(request: SalonRequest, owned: OwnedPiece) -> dict[str, Any]:
    """The whole page; the number of queries does not depend on how much was recorded."""
    return {"place": "clients", "client": owned.client, "owned": owned}
