"""The card of the client's page about the pieces she has, in a fixed number of queries."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from django.utils.timezone import localdate

from clients.models import Client
from fittings.care_pages.shown import next_care
from fittings.models import CareDate, Loan, OwnedPiece, Repair


@dataclass(frozen=True)
class HerPieces:
    """What she has now, what she had, what is lent to her, and the next care date of each piece."""

    now: list[OwnedPiece]
    earlier: list[OwnedPiece]
    away: list[Repair]
    loans: list[Loan]
    care: list[CareDate]
    today: date


def her_pieces(client: Client) -> HerPieces:
    """Four queries."""
    pieces = list(client.owned_pieces.with_what_they_are())
    away = Repair.objects.filter(owned_piece__client=client, back_on__isnull=True)
    loans = Loan.objects.filter(client=client, back_on__isnull=True)
    return HerPieces(
        now=[one for one in pieces if one.is_hers],
        earlier=[one for one in pieces if not one.is_hers],
        away=list(away),
        loans=list(loans.select_related("unit__variant__piece", "unit__variant__shade").order_by("due_back_on", "pk")),
        care=next_care(client),
        today=localdate(),
    )
