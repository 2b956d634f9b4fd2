"""Who is meant: the first step of every page of the desk that is about one client.

The page asks for letters or digits until its address names a client; what else stands in the address is carried on.
"""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import urlencode

from django.http import HttpResponse
from django.shortcuts import get_object_or_404

from clients.models import Client
from clients.models.search import reference_in
from pieces.models import Unit
from salon.common.htmx import render_page_or_part
from salon.current import SalonRequest

FOUND_AT_MOST = 12  # clients shown to choose from; more letters narrow the list
LONGEST_QUESTION = 80
LONGEST_CARRIED, CARRIED_AT_MOST = 120, 16
ASKED_HERE = {"q", "client", "next"}  # what this step itself reads is not carried on


@dataclass(frozen=True)
class WhoAsked:
    """What was typed, who it may be, and what is carried on to the page that asks."""

    asked: str
    found: list[Client]
    has_more: bool
    here: str
    carried: list[tuple[str, str]]

    @property
    def address(self) -> str:
        """The page that asks, with what it carries, for her to be added to."""
        return f"{self.here}?{urlencode(self.carried)}" if self.carried else self.here

    @property
    def query(self) -> str:
        """What is carried, as the rest of an address that already names the client."""
        return "".join(f"&{urlencode([pair])}" for pair in self.carried)


def client_asked_for(request: SalonRequest) -> Client | None:
    """The client whom the address names; None when it names nobody yet, and no page when it names nobody real."""
    typed = request.GET.get("client", "")[:40]
    return get_object_or_404(Client.objects.active(), reference=reference_in(typed)) if typed else None


def carried_from(request: SalonRequest) -> list[tuple[str, str]]:
    """What the address says beside who it is."""
    said = [(name, value[:LONGEST_CARRIED]) for name, values in request.GET.lists() for value in values]
    return [(name, value) for name, value in said if name not in ASKED_HERE][:CARRIED_AT_MOST]


def ask_who(request: SalonRequest, *, heading: str, unit: Unit | None = None) -> HttpResponse:
    """The page that finds her and leads back to the address that asked; of a unit it is one of the pieces' pages."""
    asked = request.GET.get("q", "").strip()[:LONGEST_QUESTION]
    found = list(Client.objects.found_by(asked)[: FOUND_AT_MOST + 1]) if asked else []
    who = WhoAsked(asked, found[:FOUND_AT_MOST], len(found) > FOUND_AT_MOST, request.path, carried_from(request))
    page, part = "fittings/desk/who.html", "fittings/desk/_who_found.html"
    context = {"place": "pieces" if unit else "today", "heading": heading, "who": who, "unit": unit}
    return render_page_or_part(request, page, part, context)
