"""Writes down what a consult asked for and did not find in the drawer. What is ordered for it is the owner's to say."""

from __future__ import annotations

from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from pieces.models import AskedFor, Variant
from salon.models import User


def note_asked_for(
    *,
    visit_reference: str,
    variant: Variant | None = None,
    words: str = "",
    length_mm: int | None = None,
    by: User,
    at: datetime,
) -> AskedFor:
    """Note a variant of the catalogue or, in words, what the catalogue lacks; once in a visit, however often pressed.

    length_mm: the hair length that was missed; of a variant, its own. Raises ValidationError where nothing is said.
    """
    words = " ".join(words.split())
    asked = AskedFor(
        visit_reference=visit_reference,
        variant=variant,
        words="" if variant else words,
        length_mm=variant.length_mm if variant else length_mm,
        asked_at=at,
        asked_by=by,
    )
    if noted := _noted(asked):
        return noted
    if variant is None and not words:
        raise ValidationError({"words": "Write what was missed, such as “short fringe piece, ash brown”."})
    try:
        with transaction.atomic():
            asked.full_clean()
            asked.save()
    except (ValidationError, IntegrityError):
        if noted := _noted(asked):  # the same press came in twice at once
            return noted
        raise
    return asked


def _noted(asked: AskedFor) -> AskedFor | None:
    """What this visit has noted of it already."""
    of_visit = AskedFor.objects.filter(visit_reference=asked.visit_reference)
    if asked.variant:
        return of_visit.filter(variant=asked.variant).first()
    return of_visit.filter(variant__isnull=True, words__iexact=asked.words, length_mm=asked.length_mm).first()
