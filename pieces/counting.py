"""Goes through the drawers: begins a stocktake, counts what is met, says what differs from the books, puts that right.

What is met is counted once; what was not met counts as missing unless somebody had it in hand since the stocktake
began, and what was met although the books say it is elsewhere is told. Movements are written by `pieces.stock` alone.
Rows are held in one order: stocktake, unit.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.db.models import Exists, OuterRef, QuerySet, Subquery

from pieces.models import Maker, StockMovement, Stocktake, StocktakeScan, Unit
from pieces.stock import HERE, put_right
from salon.common.references import normalise_reference
from salon.models import User

_ON_PAPER = (StockMovement.Kind.SET_ASIDE, StockMovement.Kind.PUT_BACK)  # nobody need have the unit in hand for these
LIKE = "U-7K2M9QAM"  # an example of the number of a unit
_ADDRESS = re.compile(r"/u/([0-9A-Za-z-]{3,16})/?$")  # what a label's code holds


@dataclass(frozen=True)
class Counted:
    """One unit that was met: `again` when it was counted before; `doubt` is what the books say against it."""

    unit: Unit
    again: bool
    doubt: str = ""

    @property
    def says(self) -> str:
        counted = "was counted before" if self.again else "is counted"
        return f"{self.unit.number} {counted}.{f' {self.doubt}' if self.doubt else ''}"


@dataclass(frozen=True)
class Differences:
    """What the drawers and the books disagree on, each a question to the database."""

    missing: QuerySet[Unit]
    written_off_but_met: QuerySet[Unit]
    out_but_met: QuerySet[Unit]

    def count(self) -> int:
        return self.missing.count() + self.written_off_but_met.count() + self.out_but_met.count()


@transaction.atomic
def begin_stocktake(*, by: User, at: datetime, maker: Maker | None = None) -> Stocktake:
    """Begin to go through all drawers, or through one maker's; raises ValidationError while another is open."""
    stocktake = Stocktake(maker=maker, began_at=at, began_by=by)
    stocktake.full_clean()
    try:
        with transaction.atomic():
            stocktake.save()
    except IntegrityError as refusal:  # somebody began one at the same moment
        raise ValidationError("A stocktake is open already; go on with that one.") from refusal
    return stocktake


@transaction.atomic
def count_unit(*, stocktake: Stocktake, number: str, how: str, by: User, at: datetime) -> Counted:
    """Count the unit of that number, as it was typed or as its label holds it; once, however often it is met.

    Raises ValidationError for a number that is none, for no unit of ours and for one that is not gone through now.
    """
    stocktake = _held(stocktake)
    unit = Unit.objects.select_related("variant__piece__base__maker").filter(number=number_in(number)).first()
    if unit is None:
        raise ValidationError({"number": f"There is no unit {number_in(number)}. Its number stands on its label."})
    maker = unit.variant.piece.base.maker
    if stocktake.maker_id not in (None, maker.pk):
        raise ValidationError(
            {"number": f"Unit {unit.number} is by {maker}; this stocktake goes through {stocktake.maker} alone."}
        )
    met = StocktakeScan.objects.filter(stocktake=stocktake, unit=unit).exists()
    if not met:
        scan = StocktakeScan(stocktake=stocktake, unit=unit, how=how, at=at, by=by)
        scan.full_clean()
        scan.save()
    return Counted(unit, met, _doubt(unit))


def number_in(text: str) -> str:
    """The number of a unit, from what was typed or from the address in a label's code; ValidationError for neither."""
    text = text.strip()
    address = _ADDRESS.search(text)
    if text.lower().startswith(("http://", "https://")) and not address:
        raise ValidationError({"number": "This code is not one of our labels: it leads elsewhere."})
    try:
        number = normalise_reference(address[1] if address else text, like=LIKE)
    except ValueError as slip:
        raise ValidationError({"number": str(slip)}) from slip
    if not number.startswith("U-"):
        raise ValidationError({"number": f"{number} is no unit's number: those begin with U."})
    return number


def differences(stocktake: Stocktake) -> Differences:
    """What differs from the books now, with what each unit is."""
    units = Unit.objects.select_related("variant__piece__base__maker", "variant__shade", "reserved_for")
    if stocktake.maker_id is not None:
        units = units.filter(variant__piece__base__maker=stocktake.maker_id)
    scans = StocktakeScan.objects.filter(stocktake=stocktake, unit=OuterRef("pk"))
    moved = StockMovement.objects.filter(unit=OuterRef("pk"))
    in_hand_since = moved.filter(at__gt=stocktake.began_at).exclude(kind__in=_ON_PAPER)
    met_at = StocktakeScan.objects.filter(stocktake=stocktake, unit=OuterRef("unit")).values("at")
    after_it_was_met = moved.filter(at__gt=Subquery(met_at))
    met = units.filter(Exists(scans)).exclude(Exists(after_it_was_met))
    in_order = ("variant__piece__name", "variant__length_mm", "number")
    return Differences(
        missing=units.filter(state__in=HERE).exclude(Exists(scans)).exclude(Exists(in_hand_since)).order_by(*in_order),
        written_off_but_met=met.filter(state=Unit.State.GONE).order_by(*in_order),
        out_but_met=met.filter(state=Unit.State.WITH_CLIENT).order_by(*in_order),
    )


@transaction.atomic
def put_right_difference(*, stocktake: Stocktake, unit: Unit, because: str, by: User, at: datetime) -> Unit:
    """Make the books say what was seen of one unit, with a reason; raises ValidationError where nothing differs."""
    stocktake = _held(stocktake)
    unit = Unit.objects.select_for_update(of=("self",)).get(pk=unit.pk)
    differ = differences(stocktake)
    if differ.out_but_met.filter(pk=unit.pk).exists():
        raise ValidationError(
            f"Unit {unit.number} is with a client by the books. Take it back where it was sold, lent or taken home."
        )
    if not any(rows.filter(pk=unit.pk).exists() for rows in (differ.missing, differ.written_off_but_met)):
        raise ValidationError(f"Unit {unit.number} differs from the books no longer.")
    return put_right(unit=unit, stocktake=stocktake, because=because, by=by, at=at)


@transaction.atomic
def finish_stocktake(*, stocktake: Stocktake, by: User, at: datetime, leaves: bool = False) -> Stocktake:
    """End it, and keep how many should have been there and how many were met.

    Raises ValidationError while something differs, unless the differences are to be left as they are (`leaves`).
    """
    stocktake = _held(stocktake)
    differ = differences(stocktake)
    left = differ.count()
    if left and not leaves:
        units = "1 unit differs" if left == 1 else f"{left} units differ"
        raise ValidationError(f"{units} from the books. Put it right with a reason, or tick that it is left so.")
    lost = stocktake.movements.filter(kind=StockMovement.Kind.NOT_FOUND).count()
    unexpected = stocktake.movements.filter(kind=StockMovement.Kind.FOUND).count()
    unexpected += differ.written_off_but_met.count() + differ.out_but_met.count()
    stocktake.found_count = stocktake.scans.count()
    stocktake.expected_count = stocktake.found_count - unexpected + lost + differ.missing.count()
    stocktake.is_open, stocktake.finished_at, stocktake.finished_by = False, at, by
    stocktake.full_clean()
    stocktake.save()
    return stocktake


def _held(stocktake: Stocktake) -> Stocktake:
    """The stocktake as kept now, held until the transaction ends; raises ValidationError when it is finished."""
    kept = Stocktake.objects.select_for_update(of=("self",)).select_related("maker").get(pk=stocktake.pk)
    if not kept.is_open:
        raise ValidationError(f"Stocktake {kept} is finished. Begin another one to count on.")
    return kept


def _doubt(unit: Unit) -> str:
    return {
        Unit.State.WITH_CLIENT: "By the books it is with a client.",
        Unit.State.GONE: "By the books it is written off.",
    }.get(Unit.State(unit.state), "")
