"""What to order next: what each variant sold, was asked for in vain, has in the drawer and on its way.

How many are proposed is the pure `pieces.review.reordering`'s to say; that a proposal becomes drafts, one a maker, is
done here by the deed of `ordering`.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any
from uuid import UUID, uuid5

from django.db import transaction
from django.db.models import Count, F, QuerySet, Sum
from django.db.models.expressions import Combinable

from pieces.lead_times import lead_times
from pieces.models import AskedFor, Maker, MakerOrder, OrderLine, Unit, Variant
from pieces.ordering import LineWanted, draft_order
from pieces.owner_review import TAKEN_BACK, sold_from
from pieces.review.reordering import LEAD_DAYS, Proposal, Proposed, Stocked, propose
from pieces.review_asked import Asked
from salon.models import User

TO_SELL = (Unit.State.DRAWER, Unit.State.CLEANING)


@dataclass(frozen=True)
class Reorder:
    """variants: what the lines name, by key; words: what the catalogue does not have, with its length and how often."""

    proposal: Proposal[int]
    variants: Mapping[int, Variant]
    stocked: Mapping[int, Stocked[int]]
    words: list[tuple[str, int | None, int]]


def asked_in_vain(asked: Asked) -> QuerySet[AskedFor]:
    """What consults of the span asked for and did not find in the drawer."""
    return AskedFor.objects.filter(asked_at__gte=asked.since, asked_at__lt=asked.until)


def units_to_sell() -> QuerySet[Unit]:
    """Units for sale that nobody has set aside."""
    return Unit.objects.filter(purpose=Unit.Purpose.SALE, state__in=TO_SELL)


def lines_on_the_way() -> QuerySet[OrderLine]:
    """What makers still have to send, for the drawer."""
    return OrderLine.objects.still_to_come().filter(for_client__isnull=True, purpose=Unit.Purpose.SALE)


def reorder(asked: Asked, also: Collection[int] = ()) -> Reorder:
    """What to order, from the demand of the span; in a fixed number of queries.

    also: variants that stand below the proposal with nothing proposed of them, because somebody wrote them in.
    """
    sold = {
        pk: (count, back)
        for pk, count, back in sold_from(asked.since, asked.until)
        .filter(variant__isnull=False)
        .order_by()
        .values_list("variant")
        .annotate(sold=Count("pk"), back=Count("pk", filter=TAKEN_BACK))
    }
    wanted = _by_variant(asked_in_vain(asked).filter(variant__isnull=False), Count("pk"))
    here = _by_variant(units_to_sell(), Count("pk"))
    coming = _by_variant(lines_on_the_way(), Sum(F("count") - F("received_count")))
    lead = {maker: round(time.high_days) for maker, time in lead_times(on=asked.today).items()}
    rows = Variant.objects.order_by("pk").values_list(
        "pk", "piece__base", "length_mm", "shade", "piece__base__maker", "discontinued_on"
    )
    stocked = {
        pk: Stocked(
            key=pk,
            size=(base, length_mm),
            shade=shade,
            sold=sold.get(pk, (0, 0))[0],
            came_back=sold.get(pk, (0, 0))[1],
            asked=wanted.get(pk, 0),
            in_drawer=here.get(pk, 0),
            on_the_way=coming.get(pk, 0),
            lead_days=lead.get(maker, LEAD_DAYS),
            can_be_ordered=_is_made(ended, asked.today),
        )
        for pk, base, length_mm, shade, maker, ended in rows
    }
    proposal = propose(list(stocked.values()), span_days=asked.span.days)
    added = sorted({*also} & {*stocked} - {line.key for line in proposal.lines})
    lines = [*proposal.lines, *(_nothing_of(stocked[key]) for key in added)]
    proposal = replace(proposal, lines=lines)
    variants = Variant.objects.select_related("piece__base__maker", "shade").in_bulk(
        [one.key for one in proposal.lines]
    )
    words = asked_in_vain(asked).filter(variant__isnull=True).order_by("words", "length_mm")
    missing = list(words.values_list("words", "length_mm").annotate(n=Count("pk")))
    return Reorder(proposal, variants, stocked, missing)


def _nothing_of(variant: Stocked[int]) -> Proposed[int]:
    return Proposed(variant.key, 0, 0.0, 0, variant.asked, 0, variant.lead_days)


@transaction.atomic
def draft_orders(*, counts: Mapping[Variant, int], by: User, at: datetime, once: UUID) -> list[MakerOrder]:
    """A draft for each maker of what is asked for, so many of each; the same form sent twice gives the same drafts.

    Raises ValidationError as `draft_order` does, and then drafts none.
    """
    by_maker: dict[Maker, list[LineWanted]] = {}
    for variant, count in counts.items():
        by_maker.setdefault(variant.piece.base.maker, []).append(LineWanted(variant=variant, count=count))
    return [
        draft_order(maker=maker, lines=lines, by=by, at=at, once=uuid5(once, str(maker.pk)))
        for maker, lines in sorted(by_maker.items(), key=lambda item: item[0].pk)
    ]


def _by_variant(rows: QuerySet[Any], count: Combinable) -> dict[int, int]:
    return dict(rows.order_by().values_list("variant").annotate(counted=count))


def _is_made(ended: date | None, today: date) -> bool:
    return ended is None or ended > today
