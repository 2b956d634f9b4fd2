"""Which kinds of row stand on whose line."""

from __future__ import annotations

from collections.abc import Callable

from clients.models import Client
from fittings.models import OwnedPiece
from fittings.timeline.client_rows import CLIENT_SOURCES
from fittings.timeline.line import LinePage, Mark, page_of_line
from fittings.timeline.piece_rows import piece_sources
from fittings.timeline.sale_rows import SALES
from fittings.timeline.unit_rows import UNIT_SOURCES
from pieces.models import Unit

OF_CLIENT = (*CLIENT_SOURCES, *piece_sources("client"), SALES)
OF_OWNED = piece_sources("pk")
OF_UNIT = (*UNIT_SOURCES, *piece_sources("unit"))

May = Callable[[str], bool]


def line_of_client(
    client: Client, *, may: May, imperial: bool = False, before: Mark | None = None, about: str = ""
) -> LinePage:
    return page_of_line(client, OF_CLIENT, may=may, imperial=imperial, before=before, about=about)


def line_of_owned(
    owned: OwnedPiece, *, may: May, imperial: bool = False, before: Mark | None = None, about: str = ""
) -> LinePage:
    return page_of_line(owned, OF_OWNED, may=may, imperial=imperial, before=before, about=about)


def line_of_unit(
    unit: Unit, *, may: May, imperial: bool = False, before: Mark | None = None, about: str = ""
) -> LinePage:
    return page_of_line(unit, OF_UNIT, may=may, imperial=imperial, before=before, about=about)
