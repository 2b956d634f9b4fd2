"""Has one head painted twice, to learn how far two paintings lie apart; the only writer of `Repainting`.

The first painting is a client's map that the same stylist has just painted, or an example's; the second is painted
without seeing the first. What the pairs say is `clients.scalp.repeatability`'s to work out.
"""

from __future__ import annotations

from datetime import datetime, timedelta

from django.core.exceptions import ValidationError
from django.db import transaction

from clients.consenting import locked, require_record_consent
from clients.models import Assessment, Repainting
from clients.models.repainting import RepaintingQuerySet
from clients.scalp.comparing import map_change
from clients.scalp.head import Head, TapesError
from clients.scalp.loss_map import LossMap, LossMapError
from clients.scalp.patterns import PATTERNS
from salon.models import User

FRESH = timedelta(days=14)  # hair itself does not change to the eye within it (common practice)


def painted_lately(*, by: User, at: datetime) -> list[Assessment]:
    """Her own maps that may serve as a first painting, newest first, without the maps."""
    lately = Assessment.objects.signed_off().filter(map_painted=True, stylist=by, signed_at__gt=at - FRESH)
    return list(lately.select_related("client").without_maps().order_by("-signed_at", "-pk"))


@transaction.atomic
def begin_repainting(*, by: User, at: datetime, pattern: str = "", assessment: Assessment | None = None) -> Repainting:
    """Begin with an example (`pattern`, a key of PATTERNS) or with a client's map, which is the first painting."""
    repainting = Repainting(painted_by=by, begun_at=at, pattern=pattern, assessment=assessment)
    if assessment is None:
        if pattern not in {one.key for one in PATTERNS}:
            raise ValidationError({"whose": "Choose the head to paint: an example, or a client you have examined."})
    else:
        _require_fresh(assessment, by=by, at=at)
        require_record_consent(locked(assessment.client))
        repainting.first_hex = assessment.density_hex
    repainting.full_clean()
    repainting.save()
    return repainting


@transaction.atomic
def keep_painting(*, repainting: Repainting, density_hex: str, by: User, at: datetime) -> Repainting:
    """Store the first painting, or with it there the second: then the pair is finished and its differences are kept."""
    fresh = _open(repainting, by)
    try:
        painted = LossMap.from_hex(density_hex)
    except LossMapError as refusal:
        raise ValidationError({"density_hex": f"This map can't be read. {refusal}"}) from refusal
    if painted == LossMap.full():
        raise ValidationError({"density_hex": "Nothing is painted yet. Paint the head, then go on."})
    if not fresh.first_hex:
        fresh.first_hex = painted.to_hex()
    else:
        if fresh.assessment is not None:
            require_record_consent(locked(fresh.assessment.client))
        change = map_change(LossMap.from_hex(fresh.first_hex), painted, head_painted(fresh))
        fresh.second_hex, fresh.finished_at = painted.to_hex(), at
        fresh.salt_difference, fresh.area_difference_cm2 = change.salt_points, change.thin_cm2
    fresh.full_clean()
    fresh.save()
    return fresh


@transaction.atomic
def drop_repainting(*, repainting: Repainting, by: User) -> None:
    """Take away one that is not finished; it counts for nothing."""
    _open(repainting, by).delete()


def head_painted(repainting: Repainting) -> Head:
    """The head both paintings are on: the client's, or the average one of an example."""
    try:
        return Head.from_tapes(**(repainting.assessment.tapes() if repainting.assessment else {}))
    except TapesError:  # tapes stored before they could be refused
        return Head.from_tapes()


def with_whose_head(repaintings: RepaintingQuerySet) -> RepaintingQuerySet:
    return repaintings.select_related("painted_by", "assessment__client")


def _open(repainting: Repainting, by: User) -> Repainting:
    """The row as kept now, held until the transaction ends; refused when it is finished or another's."""
    held = Repainting.objects.select_for_update(of=("self",)).select_related("assessment__client")
    fresh = held.filter(pk=repainting.pk).first()
    if fresh is None:
        raise ValidationError("This head painted twice has been dropped.")
    if fresh.is_finished:
        raise ValidationError("Both paintings of this head are done; begin a new one to paint another.")
    if fresh.painted_by_id != by.pk:
        raise ValidationError("The same hand paints both times, and this one was begun by somebody else.")
    return fresh


def _require_fresh(assessment: Assessment, *, by: User, at: datetime) -> None:
    is_own = assessment.stylist_id == by.pk and assessment.map_painted
    signed_at = assessment.signed_at if assessment.state == Assessment.State.SIGNED_OFF else None
    if not is_own or signed_at is None or signed_at <= at - FRESH:
        raise ValidationError(
            {"whose": "A client's map serves when you painted it yourself and signed it within the last 14 days."}
        )
