"""Lists the products the salon uses and changes what is known of them.

None is ever taken away: what was used and tested stays named. One that is used no more goes out of use. Who changed
what and when is kept with the records; `by` is nobody at a terminal.
"""

from __future__ import annotations

from typing import Any, TypedDict, Unpack

from django.core.exceptions import ValidationError
from django.db import transaction

from clients.models import Product
from clients.models.health import Substance
from salon.models import User

ON_LABELS = tuple(substance for substance in Substance if substance != Substance.BLACK_HENNA)
"""What clients react to and a label can name."""


class ProductChoices(TypedDict, total=False):
    """What a product can do without when it is new. Empty means not known, or the house rule."""

    contains: list[str]
    contains_read: bool
    oxidative: bool | None
    flammable: bool | None
    read_after_hours: int
    test_valid_days: int | None
    is_in_use: bool


class ProductFields(ProductChoices, total=False):
    name: str
    sort: str


@transaction.atomic
def add_product(*, name: str, sort: str, by: User | None = None, **fields: Unpack[ProductChoices]) -> Product:
    """A product by the name on its label; raises ValidationError for a name that is listed, in whatever case."""
    product = Product()
    _set(product, name=name, sort=sort, **fields)
    return _keep(product, by)


@transaction.atomic
def change_product(*, product: Product, by: User | None, **fields: Unpack[ProductFields]) -> Product:
    """Change what is named, or take it out of use; a change to nothing leaves no trace.

    Tests that were applied keep the hours and days they were applied with.
    """
    kept = Product.objects.select_for_update().get(pk=product.pk)
    return _keep(kept, by) if _set(kept, **fields) else kept


def _set(product: Product, **fields: Any) -> bool:
    """Put the values on the row; whether any of them differs."""
    if "name" in fields:
        fields["name"] = " ".join(fields["name"].split())
    if "contains" in fields:
        fields["contains"] = [str(substance) for substance in ON_LABELS if substance in fields["contains"]]
    before = {name: getattr(product, name) for name in fields}
    for name, value in fields.items():
        setattr(product, name, value)
    return before != fields or product._state.adding


def _keep(product: Product, by: User | None) -> Product:
    if product.contains and not product.contains_read:
        raise ValidationError(
            {"contains_read": "Something is ticked that its label names: tick that the label was read as well."}
        )
    product.full_clean()
    product._history_user = by  # type: ignore[attr-defined]  # where the history library looks
    product.save()
    return product
