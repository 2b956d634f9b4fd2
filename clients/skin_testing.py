"""Applies a skin test, reads it, strikes it out: a drop of a product on a little skin, before more of it comes near.

Read at 48 hours, and again at 72 to 96 hours if the client can (patch-test practice; the 48 hours are also the label
wording of oxidative dyes, Regulation (EC) 1223/2009 Annex III: READ). Makers differ, and their instructions come first:
a product of the salon's list says after how many hours it is read (never sooner) and for how many days a clear reading
counts, and both are kept with the test as they stood when it was applied. A reaction may be recorded at any time, also
after a clear reading. Whether a test still counts on a later day is for `SkinTestQuerySet.clear_for`. The salon
diagnoses nothing.

Some are not tested at all: with colour nobody under 16 (the same label wording; trade guidance extends it to the alert
test: READ) and nobody who has reacted to hair dye or to a temporary black tattoo (the same label wording: READ); nobody
with a product whose label names what she has reacted to; with no product again one to which a reaction was recorded.

A test that was written down wrongly is struck out and clears nothing from then on. A reaction stays on the safe side:
struck out or not, its product is not put on her skin again, for nobody can tell a slip of the finger from a wish to be
rid of what was seen, and there is always another product.
"""

from __future__ import annotations

from datetime import datetime, timedelta

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.timezone import localdate

from clients.consenting import locked, require_record_consent
from clients.models import Client, Product, Sensitivity, SkinTest
from clients.models.health import CLEAR_NO_SOONER, SkinTestKind, Substance
from clients.models.search import folded_whole
from salon.models import User

COLOUR_FROM_AGE = 16
NO_COLOUR_AFTER = (Substance.HAIR_DYE, Substance.BLACK_HENNA)
WRITTEN_DOWN_WITHIN = timedelta(days=7)
KIND_OF_TEST = {
    Product.Sort.TAPE: SkinTestKind.ADHESIVE,
    Product.Sort.ADHESIVE: SkinTestKind.ADHESIVE,
    Product.Sort.COLOUR: SkinTestKind.COLOUR,
    Product.Sort.LIGHTENER: SkinTestKind.COLOUR,
    Product.Sort.TONER: SkinTestKind.COLOUR,
}
"""What a test of a product is for; one of another sort may be tested for either."""


@transaction.atomic
def apply_skin_test(
    *,
    client: Client,
    kind: str = "",
    product: str | Product,
    lot: str = "",
    applied_at: datetime | None = None,
    by: User,
    at: datetime,
) -> SkinTest:
    """Record that a product was put on her skin, just now or earlier (`applied_at`, within the last seven days).

    product: one of the salon's list, or what its label says. kind: a product of the list knows it itself. Refused
    without her consent to a record, and where it is unsafe.
    """
    client = locked(client)
    require_record_consent(client)
    listed = product if isinstance(product, Product) else _listed(product)
    name = listed.name if listed else " ".join(str(product).split())
    applied_at = applied_at or at
    if not at - WRITTEN_DOWN_WITHIN <= applied_at <= at:
        raise ValidationError(
            {"applied_at": "It was applied within the last seven days, or just now: say when, or leave it empty."}
        )
    test = SkinTest(
        client=client,
        kind=_kind(kind, listed),
        product=name,
        product_key=folded_whole(name),
        known_product=listed,
        lot=" ".join(lot.split()),
        valid_days=listed.test_valid_days if listed else None,
        read_from=applied_at + (timedelta(hours=listed.read_after_hours) if listed else CLEAR_NO_SOONER),
        applied_at=applied_at,
        applied_by=by,
        written_at=at,
    )
    test.full_clean()
    _refuse_if_unsafe(test)
    test.save()
    return test


@transaction.atomic
def read_skin_test(*, test: SkinTest, reacted: bool, by: User, at: datetime) -> SkinTest:
    """Record what was seen. Clear only from its hours on (48 at least); a reaction at once, and after a clear reading.

    A struck-out test takes a reaction too: what was seen on her skin is always written down.
    """
    client = locked(test.client)
    require_record_consent(client)
    test = SkinTest.objects.get(pk=test.pk)
    if test.reacted:
        raise ValidationError("A reaction to this product is already recorded, and stays so.")
    if test.is_struck_out and not reacted:
        raise ValidationError("This test was struck out and can't be read as clear. Apply a new one.")
    since, wait = at - test.applied_at, test.to_be_read_from - test.applied_at
    if not reacted and timedelta(0) <= since < wait:
        raise ValidationError(
            f"It is {_hours(since)} since the product was applied: a test is clear only after "
            f"{_hours(wait)}. A reaction can be recorded at once."
        )
    if test.read_at and test.earlier_read_at is None:
        test.earlier_read_at, test.earlier_read_by = test.read_at, test.read_by
    test.read_at, test.read_by, test.reacted = at, by, reacted
    test.full_clean()
    test.save()
    return test


@transaction.atomic
def strike_out_skin_test(*, test: SkinTest, because: str, by: User, at: datetime) -> SkinTest:
    """Say that a test should not have been written down so: it clears nothing any more, and stays to be seen.

    Taken also after her consent was withdrawn: a record is then still put right.
    """
    locked(test.client)
    test = SkinTest.objects.get(pk=test.pk)
    if test.is_struck_out:
        raise ValidationError("This test is struck out already.")
    because = " ".join(because.split())
    if not because:
        raise ValidationError({"because": "Say why it is struck out."})
    if at < max(test.applied_at, test.read_at or test.applied_at):
        raise ValidationError("A test is struck out after it was applied and read.")
    test.struck_out_at, test.struck_out_by, test.struck_out_because = at, by, because
    test.full_clean()
    test.save()
    return test


def _listed(name: str) -> Product | None:
    """The product of the list that is called so: a name typed out of hand is known all the same."""
    key = folded_whole(name)
    return next((product for product in Product.objects.in_use() if folded_whole(product.name) == key), None)


def _kind(kind: str, product: Product | None) -> str:
    known = KIND_OF_TEST.get(Product.Sort(product.sort)) if product else None
    if product is None or known is None:
        return kind
    if kind and kind != known:
        raise ValidationError(
            {"kind": f"{product} is listed as {product.get_sort_display().lower()}, which asks for: {known.label}."}
        )
    return known


def _refuse_if_unsafe(test: SkinTest) -> None:
    client, product = test.client, test.known_product
    reacted = SkinTest.objects.filter(client=client, reacted=True)
    if any(
        earlier.product_key == test.product_key
        or folded_whole(earlier.product) == test.product_key
        or (product is not None and earlier.known_product_id == product.pk)
        for earlier in reacted
    ):
        raise ValidationError(
            {"product": f"{client} has reacted to {test.product}: no more of it on her skin, not even as a test."}
        )
    contains = product.contains if product else []
    contained = Sensitivity.objects.filter(client=client, substance__in=contains).first()
    if contained:
        raise ValidationError(
            {
                "product": f"{client} has reacted to {contained.get_substance_display().lower()}, and {test.product} "
                "contains it: none of it on her skin, not even as a test. A doctor can tell her more."
            }
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
