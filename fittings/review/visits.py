"""What visits add to the review: consults, what was tried on in them, and how many of them led to a sale.

A consult is a visit with an examination. A sale belongs to the visit in which its piece was chosen, however much later
it was handed over. Sums are the database's.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import Any

from django.db.models import Count, Exists, OuterRef, Q, QuerySet, Subquery

from fittings.models import Candidate, Fitting, TryOn
from pieces.models import SaleLine
from pieces.review_asked import Asked, fold
from pieces.review_groups import Group


@dataclass
class Led:
    """Consults, and how many of them led how far. old_*: with a piece handed over long enough ago to know."""

    consults: int = 0
    tried: int = 0
    sold: int = 0
    old_30: int = 0
    kept_30: int = 0
    old_90: int = 0
    kept_90: int = 0


@dataclass
class Tried:
    """Pieces put forward, and pieces put on."""

    put_forward: int = 0
    tried_on: int = 0


def consults(asked: Asked) -> QuerySet[Fitting]:
    """Visits with an examination that began in the span."""
    return Fitting.objects.filter(assessment__isnull=False, began_at__gte=asked.since, began_at__lt=asked.until)


def with_try_on() -> Exists:
    return Exists(TryOn.objects.filter(fitting=OuterRef("pk")))


def lines_of_consults(asked: Asked) -> QuerySet[SaleLine]:
    """Pieces handed over that were chosen in one of the consults."""
    return SaleLine.objects.sold().filter(visit_reference__in=Subquery(consults(asked).values("reference")))


def kept_for(days: int, asked: Asked) -> Q:
    """Handed over long enough ago to know, and not taken back within so many days."""
    return asked.old_enough(days) & (Q(taken_back__isnull=True) | Q(taken_back__days_since__gt=days))


def led_to(asked: Asked) -> Led:
    """How far the consults of the span led, in two queries."""
    begun = consults(asked).aggregate(consults=Count("pk"), tried=Count("pk", filter=with_try_on()))
    went_on = lines_of_consults(asked).aggregate(
        sold=Count("visit_reference", distinct=True),
        old_30=Count("visit_reference", filter=asked.old_enough(30), distinct=True),
        kept_30=Count("visit_reference", filter=kept_for(30, asked), distinct=True),
        old_90=Count("visit_reference", filter=asked.old_enough(90), distinct=True),
        kept_90=Count("visit_reference", filter=kept_for(90, asked), distinct=True),
    )
    return Led(**begun, **went_on)


def put_forward(asked: Asked) -> QuerySet[Candidate]:
    """Pieces chosen to try, in the span."""
    return Candidate.objects.filter(chosen_at__gte=asked.since, chosen_at__lt=asked.until)


def tried_on(asked: Asked) -> QuerySet[TryOn]:
    return TryOn.objects.filter(logged_at__gte=asked.since, logged_at__lt=asked.until)


def tried_by_group(asked: Asked) -> dict[Group, Tried]:
    """What was put forward and tried on, by group, in two queries."""
    found: dict[Group, Tried] = defaultdict(Tried)
    sums: tuple[tuple[QuerySet[Any], str, str], ...] = (
        (put_forward(asked), "put_forward", asked.key(stylist="fitting__stylist_id")),
        (tried_on(asked), "tried_on", asked.key(variant="candidate__variant_id", stylist="fitting__stylist_id")),
    )
    for rows, name, key in sums:
        fold(found, asked.groups, rows.order_by().values(key).annotate(**{name: Count("pk")}), key)
    return dict(found)
