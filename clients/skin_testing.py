"""Applies a skin test and reads it: a drop of the product on a little skin, before any of it comes near the head.

Read at 48 hours, and again at 72 to 96 hours if the client can (patch-test practice; the 48 hours are also the label
wording of oxidative dyes, Regulation (EC) 1223/2009 Annex III: READ). Makers differ, and their instructions come first.
A reaction may be recorded at any time, also after a clear reading. Whether a test still counts on a later day is for
`SkinTestQuerySet.clear_for`. The salon diagnoses nothing.

Some are not tested at all: with colour nobody under 16 (the same label wording; trade guidance extends it to the alert
test: READ) and nobody who has reacted to hair dye or to a temporary black tattoo (the same label wording: READ); with
no product again one to which a reaction was seen.
"""

from __future__ import annotations

from datetime import datetime, timedelta

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.timezone import localdate

from clients.consenting import locked, require_record_consent
from clients.models import Client, Sensitivity, SkinTest
from clients.models.health import SkinTestKind, Substance
from clients.models.search import folded
from salon.models import User

CLEAR_NO_SOONER = timedelta(hours=48)
COLOUR_FROM_AGE = 16
NO_COLOUR_AFTER = (Substance.HAIR_DYE, Substance.BLACK_HENNA)


@transaction.atomic
def apply_skin_test(*, client: Client, kind: str, product: str, lot: str = "", by: User, at: datetime) -> SkinTest:
    """Record that a product was put on her skin; refused without her consent to a record, and where it is unsafe."""
    client = locked(client)
    require_record_consent(client)
    test = SkinTest(
        client=client,
        kind=kind,
        product=" ".join(product.split()),
        lot=" ".join(lot.split()),
        applied_at=at,
        applied_by=by,
    )
    test.full_clean()
    _refuse_if_unsafe(test)
    test.save()
    return test


@transaction.atomic
def read_skin_test(*, test: SkinTest, reacted: bool, by: User, at: datetime) -> SkinTest:
    """Record what was seen. Clear only from 48 hours on; a reaction at once, and also after a clear reading."""
    client = locked(test.client)
    require_record_consent(client)
    test = SkinTest.objects.get(pk=test.pk)
    if test.reacted:
        raise ValidationError("A reaction to this product is already recorded, and stays so.")
    since = at - test.applied_at
    if not reacted and timedelta(0) <= since < CLEAR_NO_SOONER:
        raise ValidationError(
            f"It is {_hours(since)} since the product was applied: a test is clear only after "
            f"{_hours(CLEAR_NO_SOONER)}. A reaction can be recorded at once."
        )
    if test.read_at and test.earlier_read_at is None:
        test.earlier_read_at, test.earlier_read_by = test.read_at, test.read_by
    test.read_at, test.read_by, test.reacted = at, by, reacted
    test.full_clean()
    test.save()
    return test


def _refuse_if_unsafe(test: SkinTest) -> None:
    client = test.client
    reacted = SkinTest.objects.filter(client=client, reacted=True)
    if any(folded(earlier.product) == folded(test.product) for earlier in reacted):
        raise ValidationError(
            {"product": f"{client} has reacted to {test.product}: no more of it on her skin, not even as a test."}
        )
    if test.kind != SkinTestKind.COLOUR:
        return
    age = client.age_on(localdate(test.applied_at))
    if age is not None and age < COLOUR_FROM_AGE:
        raise ValidationError(
            {"kind": f"{client} is {age}: hair dye and its test are for nobody under {COLOUR_FROM_AGE}."}
        )
    told = Sensitivity.objects.filter(client=client, substance__in=NO_COLOUR_AFTER).first()
    if told:
        raise ValidationError(
            {
                "kind": f"{client} has reacted to {told.get_substance_display().lower()}: no hair dye on her skin, not "
                "even as a test. A doctor can tell her more."
            }
        )


def _hours(span: timedelta) -> str:
    hours = int(span.total_seconds() // 3600)
    return "less than an hour" if hours < 1 else "1 hour" if hours == 1 else f"{hours} hours"
