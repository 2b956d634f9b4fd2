"""What a sale takes from a visit: how the piece fitted when she chose it, and the piece that becomes hers.

The sale itself, its money and the stock are `pieces`'; whose a piece is, `owning`'s.
"""

from __future__ import annotations

from datetime import date, datetime

from django.db import transaction

from clients.consenting import locked
from clients.models import Client, Consent
from fittings.models import Candidate, OwnedPiece, TryOn
from fittings.owning import begin_sold_piece
from pieces.models import SaleLine, Variant
from pieces.selling import Measured, hand_over
from salon.models import User

CHOSEN = (TryOn.Outcome.CHOSEN, TryOn.Outcome.SECOND)


def measured_for(client: Client, variant: Variant) -> tuple[Measured, Candidate | None]:
    """How this variant sat on her in the newest visit in which she chose it, and the candidate it was.

    Where she chose it in none, all that is known is whether it is her first piece.
    """
    candidate = _chosen(client, variant)
    is_first = not (
        client.owned_pieces.exists() or SaleLine.objects.sold().filter(sale__client=client, is_live=True).exists()
    )
    if candidate is None:
        return Measured(is_first_piece=is_first), None
    wished_mm = candidate.assessment.wished_length_mm
    return (
        Measured(
            visit_reference=candidate.fitting.reference,
            cover=candidate.cover,
            margin_mm=candidate.margin_mm,
            clips_holding=candidate.clips_holding,
            clips_total=candidate.clips_total,
            colour_difference=candidate.colour.get("weighted"),
            length_step_mm=None if wished_mm is None else variant.length_mm - wished_mm,
            is_first_piece=is_first,
        ),
        candidate,
    )


@transaction.atomic
def hand_over_hers(*, line: SaleLine, since: date, by: User, at: datetime) -> OwnedPiece | None:
    """She takes the piece with her, and it is kept as hers from that day; None where she agreed to no record.

    Raises ValidationError as `hand_over` and `begin_sold_piece` do.
    """
    locked(line.sale.client)  # before sale, line and unit: `begin_sold_piece` holds her too
    line = hand_over(line=line, by=by, at=at)
    client = line.sale.client
    if line.unit is None or not Consent.objects.allows_record(client):
        return None
    candidate = _chosen(client, line.unit.variant)
    return begin_sold_piece(line=line, since=since, by=by, at=at, candidate=candidate)


def _chosen(client: Client, variant: Variant) -> Candidate | None:
    chosen = Candidate.objects.filter(fitting__client=client, variant=variant, try_ons__outcome__in=CHOSEN)
    return chosen.select_related("fitting", "assessment").order_by("-fitting__began_at", "-pk").first()
