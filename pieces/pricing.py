"""Keeps the price list and the rates of tax; nothing is taken away, for old sales go on naming it.

What was agreed keeps its price and its tax: a line copies both. No rate and no relief is built in; what applies where
is the owner's entry.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, TypedDict, TypeVar, Unpack

from django.db import transaction

from pieces.models import PricedService, TaxRate
from salon.holding import hold_salon
from salon.models import User

Row = TypeVar("Row", PricedService, TaxRate)


class PricedFields(TypedDict, total=False):
    name: str
    price_minor: int
    tax_rate: TaxRate | None
    done_as: str
    is_in_use: bool


class RateFields(TypedDict, total=False):
    name: str
    basis_points: int
    is_usual: bool
    asks_for_declaration: bool
    is_in_use: bool


@transaction.atomic
def add_priced_service(*, by: User | None, **fields: Unpack[PricedFields]) -> PricedService:
    """A thing of the price list; raises ValidationError for a name that is on it already."""
    hold_salon()
    return _kept(PricedService(**fields), by)


@transaction.atomic
def change_priced_service(*, service: PricedService, by: User | None, **fields: Unpack[PricedFields]) -> PricedService:
    """Change what is named, or take it off the list; a change to nothing leaves no trace."""
    hold_salon()
    kept = PricedService.objects.select_for_update(of=("self",)).get(pk=service.pk)
    return _kept(kept, by) if _set(kept, fields) else kept


@transaction.atomic
def add_tax_rate(*, by: User | None, **fields: Unpack[RateFields]) -> TaxRate:
    """A rate; one that is the usual takes that from the one before. Raises ValidationError."""
    hold_salon()
    rate = TaxRate(**fields)
    if rate.is_usual:
        _no_longer_usual(by)
    return _kept(rate, by)


@transaction.atomic
def change_tax_rate(*, rate: TaxRate, by: User | None, **fields: Unpack[RateFields]) -> TaxRate:
    """Change what is named; lines of sales keep the rate they were agreed with."""
    hold_salon()
    kept = TaxRate.objects.select_for_update().get(pk=rate.pk)
    becomes_usual = fields.get("is_usual", False) and not kept.is_usual
    if not _set(kept, fields):
        return kept
    if becomes_usual:
        _no_longer_usual(by)
    return _kept(kept, by)


def _no_longer_usual(by: User | None) -> None:
    for rate in TaxRate.objects.select_for_update().filter(is_usual=True):
        rate.is_usual = False
        _kept(rate, by)


def _set(row: PricedService | TaxRate, fields: Mapping[str, Any]) -> bool:
    """Write the fields onto the row; whether any of them is another value."""
    changed = {name: value for name, value in fields.items() if getattr(row, name) != value}
    for name, value in changed.items():
        setattr(row, name, value)
    return bool(changed)


def _kept(row: Row, by: User | None) -> Row:
    row.name = " ".join(row.name.split())
    row.full_clean()
    row._history_user = by  # type: ignore[attr-defined]  # where django-simple-history looks for who did it
    row.save()
    return row
