"""What visits add to the review: consults, what was tried on in them, and how many of them led to a sale.

A consult is a visit with an examination. A sale belongs to the visit in which its piece was chosen, however much later
it was handed over. Sums are the database's.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

from django.db.models import Count, Exists, Min, OuterRef, Q, QuerySet

from fittings.models import Candidate, Fitting, TryOn
from pieces.models import Return, SaleLine
from pieces.owner_review import taken_back_within
from pieces.review_asked import Asked, fold
from pieces.review_groups import Group


@dataclass
class Led:
    """Consults, and how many of them led how far. old_*: with a piece handed over long enough ago to know; kept_*: of
    which nothing came back within so many days."""

    consults: int = 0
    tried: int = 0
    sold: int = 0
    old_30: int = 0
    kept_30: int = 0
    old_90: int = 0
    kept_90: int = 0


@dataclass
class Tried:
    """Pieces that were put forward, and of those the ones that were put on."""

    put_forward: int = 0
    tried_on: int = 0


def consults(asked: Asked) -> QuerySet[Fitting]:
    """Visits with an examination that began in the span."""
    return Fitting.objects.filter(assessment__isnull=False, began_at__gte=asked.since, began_at__lt=asked.until)


def with_try_on() -> Exists:
    return Exists(TryOn.objects.filter(fitting=OuterRef("pk")))


def led_to(asked: Asked) -> Led:
    """How far the consults of the span led, in three queries."""
    visits = consults(asked)
    begun = visits.aggregate(consults=Count("pk"), tried=Count("pk", filter=with_try_on()))
    lines = SaleLine.objects.sold().filter(Exists(visits.filter(reference=OuterRef("visit_reference"))))
    by_visit = lines.order_by().values("visit_reference").annotate(first=Min("handed_over_at"))
    sold = by_visit.aggregate(
        sold=Count("visit_reference"),
        old_30=Count("visit_reference", filter=Q(first__lt=asked.known_before(30))),
        old_90=Count("visit_reference", filter=Q(first__lt=asked.known_before(90))),
    )
    of_consults = Exists(visits.filter(reference=OuterRef("line__visit_reference")))
    came_back = Return.objects.filter(of_consults, line__variant__isnull=False).aggregate(
        back_30=Count("line__visit_reference", distinct=True, filter=taken_back_within(30, asked)),
        back_90=Count("line__visit_reference", distinct=True, filter=taken_back_within(90, asked)),
    )
    return Led(
        **begun,
        **sold,
        kept_30=sold["old_30"] - came_back["back_30"],
        kept_90=sold["old_90"] - came_back["back_90"],
    )


def put_forward(asked: Asked) -> QuerySet[Candidate]:
    """Pieces chosen to try, in the span; one is put on or it is not, however often."""
    return Candidate.objects.filter(chosen_at__gte=asked.since, chosen_at__lt=asked.until)


def put_on() -> Exists:
    return Exists(TryOn.objects.filter(candidate=OuterRef("pk")))


def tried_by_group(asked: Asked) -> dict[Group, Tried]:
    """What was put forward and put on, by group, in one query."""
    key = asked.key(stylist="fitting__stylist_id")
    rows = put_forward(asked).order_by().values(key)
    found: dict[Group, Tried] = defaultdict(Tried)
    fold(found, asked.groups, rows.annotate(put_forward=Count("pk"), tried_on=Count("pk", filter=put_on())), key)
    return dict(found)
