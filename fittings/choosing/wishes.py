"""Narrows the catalogue to what the client wished for; which wishes count now is ticked on the candidates page."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from django.db.models import Q

from clients.models import Assessment
from pieces.models import Piece, Unit, Variant

if TYPE_CHECKING:
    from django.db.models import QuerySet

LENGTH_EITHER_WAY_MM = 50


@dataclass(frozen=True)
class Wish:
    """One tick of the page: what it asks of a variant, in words and as a condition."""

    key: str
    label: str
    condition: Q


def wishes_of(assessment: Assessment) -> tuple[Wish, ...]:
    """The wishes that this client has, in the order of the page; the drawer can always be asked for."""
    wishes = [Wish("drawer", "In the drawer now", Q(pk__in=Unit.objects.in_drawer().values("variant")))]
    if assessment.wants_heat == "yes":
        takes_heat = Q(piece__fibre=Piece.Fibre.HUMAN) | Q(piece__rated_c__isnull=False)
        wishes.append(Wish("heat", "Takes heat, as she wishes", takes_heat))
    if assessment.wants_colour == "yes":
        wishes.append(Wish("colour", "Can be coloured, as she wishes", Q(piece__colourable=Piece.Colourable.YES)))
    if assessment.wished_length_mm:
        low, high = (
            assessment.wished_length_mm - LENGTH_EITHER_WAY_MM,
            assessment.wished_length_mm + LENGTH_EITHER_WAY_MM,
        )
        wishes.append(Wish("length", "Near the length she would like", Q(length_mm__range=(max(low, 0), high))))
    if assessment.curl_pattern:
        wishes.append(Wish("texture", "The curl of her own hair", Q(piece__texture=assessment.curl_pattern)))
    if assessment.budget_minor:
        wishes.append(Wish("budget", "Within her budget", Q(price_minor__lte=assessment.budget_minor)))
    return tuple(wishes)


def narrowed(variants: QuerySet[Variant], wishes: tuple[Wish, ...], ticked: list[str]) -> QuerySet[Variant]:
    """Those that meet every ticked wish; a key nobody knows asks for nothing."""
    for wish in wishes:
        if wish.key in ticked:
            variants = variants.filter(wish.condition)
    return variants
