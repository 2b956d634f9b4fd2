"""What happens to units: they come in, are set aside, go out and come back, are cleaned, kept apart or written off.

The only writer of a unit's state and of the ledger of its movements; whose it is while it is out is for `fittings` to
say, what is paid for it for `pieces.selling`.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from datetime import date, datetime, time
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.timezone import localdate, make_aware, now
from simple_history.utils import bulk_create_with_history

from clients.models import Client
from pieces.models import OrderLine, SaleLine, StockMovement, Stocktake, Unit, Variant
from salon.models import User

MOST_AT_ONCE = 50
IN_STOCK = (Unit.State.DRAWER, Unit.State.RESERVED)
HERE = (*IN_STOCK, Unit.State.CLEANING, Unit.State.APART)  # somewhere in the salon
_WHERE = {
    Unit.State.DRAWER: "in the drawer",
    Unit.State.RESERVED: "set aside for a client already",
    Unit.State.CLEANING: "being cleaned",
    Unit.State.APART: "kept apart",
    Unit.State.WITH_CLIENT: "with a client",
    Unit.State.GONE: "written off",
}
_CAME_BACK_TO = {
    Unit.State.DRAWER: StockMovement.Kind.CAME_BACK,
    Unit.State.CLEANING: StockMovement.Kind.TO_CLEAN,
    Unit.State.APART: StockMovement.Kind.KEPT_APART,
    Unit.State.GONE: StockMovement.Kind.WRITTEN_OFF,
}


@transaction.atomic
def receive_units(
    *,
    variant: Variant,
    count: int,
    purpose: str,
    received_on: date,
    by: User,
    at: datetime | None = None,
    order_line: OrderLine | None = None,
    cost_minor: int | None = None,
) -> list[Unit]:
    """Put new units of one variant into the drawer, each with a number of its own; raises ValidationError.

    What each cost is the order's figure, or else the catalogue's of today.
    """
    cost = variant.cost_minor if cost_minor is None else cost_minor
    units = _numbered(variant, count, purpose, received_on, cost, by)
    begin_ledger(units, by=by, at=at, order_line=order_line)
    return units


@transaction.atomic
def take_in_brought_unit(*, variant: Variant, received_on: date, by: User, at: datetime | None = None) -> Unit:
    """Give a number to a piece that a client brought; it was never the salon's and cost it nothing."""
    [unit] = _numbered(variant, 1, Unit.Purpose.SALE, received_on, None, by)
    begin_ledger([unit], by=by, at=at, kind=StockMovement.Kind.BROUGHT)
    return unit


def _numbered(variant: Variant, count: int, purpose: str, received_on: date, cost: int | None, by: User) -> list[Unit]:
    if not 1 <= count <= MOST_AT_ONCE:
        raise ValidationError(
            {"count": f"{count} units can't come in at once. Write a number from 1 to {MOST_AT_ONCE}."}
        )
    units = [Unit(variant=variant, purpose=purpose, received_on=received_on, cost_minor=cost) for _ in range(count)]
    for unit in units:
        unit.full_clean()
    return bulk_create_with_history(units, Unit, default_user=by)  # type: ignore[no-any-return]  # untyped library


def begin_ledger(
    units: Iterable[Unit],
    *,
    by: User,
    at: datetime | None = None,
    kind: str = StockMovement.Kind.RECEIVED,
    order_line: OrderLine | None = None,
) -> None:
    """Write the first movement of units that came in, in one statement; of each by the day it came in, unless said."""
    moment, today = now(), localdate()
    StockMovement.objects.bulk_create(
        StockMovement(
            unit=unit,
            seq=0,
            kind=kind,
            to_state=unit.state,
            order_line=order_line,
            at=at or (moment if unit.received_on == today else _noon_of(unit.received_on)),
            by=by,
        )
        for unit in units
    )


def _noon_of(day: date) -> datetime:
    return make_aware(datetime.combine(day, time(12)))


@transaction.atomic
def reserve_unit(
    *, unit: Unit, by: User, client: Client | None = None, visit: str = "", at: datetime | None = None
) -> Unit:
    """Set a unit aside, for a client or for a visit by its reference; ValidationError unless it lies in the drawer."""
    return _move(
        unit,
        [Unit.State.DRAWER],
        Unit.State.RESERVED,
        StockMovement.Kind.SET_ASIDE,
        "can't be set aside",
        by,
        at,
        for_client=client,
        for_visit=visit,
    )


@transaction.atomic
def release_unit(*, unit: Unit, by: User, at: datetime | None = None) -> Unit:
    """Put a unit that was set aside back into the drawer; raises ValidationError unless it was set aside."""
    return _move(
        unit,
        [Unit.State.RESERVED],
        Unit.State.DRAWER,
        StockMovement.Kind.PUT_BACK,
        "can't be put back",
        by,
        at,
    )


@transaction.atomic
def hand_over_unit(
    *,
    unit: Unit,
    by: User,
    to: Client | None = None,
    kind: str = StockMovement.Kind.TAKEN_HOME,
    sale_line: SaleLine | None = None,
    at: datetime | None = None,
) -> Unit:
    """Let a unit out with a client (`to`); raises ValidationError unless it lies in the drawer or is set aside for her.

    kind: taken home, lent, or sold with the line of the sale.
    """
    return _move(
        unit,
        IN_STOCK,
        Unit.State.WITH_CLIENT,
        kind,
        "can't be handed over",
        by,
        at,
        for_client=to,
        sale_line=sale_line,
    )


@transaction.atomic
def take_in_unit(
    *,
    unit: Unit,
    by: User,
    to: str = Unit.State.DRAWER,
    because: str = "",
    sale_line: SaleLine | None = None,
    at: datetime | None = None,
) -> Unit:
    """Take a unit back from a client: into the drawer, to be cleaned, to be kept apart, or written off (`to`)."""
    to = Unit.State(to)
    refusal = "can't be written off" if to == Unit.State.GONE else "can't be taken in"
    return _move(
        unit, [Unit.State.WITH_CLIENT], to, _CAME_BACK_TO[to], refusal, by, at, because=because, sale_line=sale_line
    )


@transaction.atomic
def send_to_be_cleaned(*, unit: Unit, by: User, at: datetime | None = None) -> Unit:
    """Take a unit out of the drawer to be cleaned, after it was tried on."""
    return _move(
        unit,
        [Unit.State.DRAWER, Unit.State.APART],
        Unit.State.CLEANING,
        StockMovement.Kind.TO_CLEAN,
        "can't be cleaned",
        by,
        at,
    )


@transaction.atomic
def back_from_cleaning(*, unit: Unit, by: User, at: datetime | None = None) -> Unit:
    """It is clean and lies in the drawer again."""
    return _move(
        unit,
        [Unit.State.CLEANING],
        Unit.State.DRAWER,
        StockMovement.Kind.CLEANED,
        "can't come from being cleaned",
        by,
        at,
    )


@transaction.atomic
def keep_apart(*, unit: Unit, because: str, by: User, at: datetime | None = None) -> Unit:
    """Keep a unit out of the drawer until somebody has looked at it; needs a reason."""
    return _move(
        unit,
        [Unit.State.DRAWER, Unit.State.CLEANING],
        Unit.State.APART,
        StockMovement.Kind.KEPT_APART,
        "can't be kept apart",
        by,
        at,
        because=because,
    )


@transaction.atomic
def let_in_again(*, unit: Unit, by: User, at: datetime | None = None) -> Unit:
    """A unit that was kept apart is fit for the drawer."""
    return _move(unit, [Unit.State.APART], Unit.State.DRAWER, StockMovement.Kind.LET_IN, "can't be let in", by, at)


@transaction.atomic
def write_off(*, unit: Unit, because: str, by: User, at: datetime | None = None) -> Unit:
    """It is in the salon and will never be used again; needs a reason."""
    return _move(
        unit,
        [Unit.State.DRAWER, Unit.State.CLEANING, Unit.State.APART],
        Unit.State.GONE,
        StockMovement.Kind.WRITTEN_OFF,
        "can't be written off",
        by,
        at,
        because=because,
    )


@transaction.atomic
def put_right(*, unit: Unit, stocktake: Stocktake, because: str, by: User, at: datetime | None = None) -> Unit:
    """Make the books say what a stocktake saw: a unit that should lie here and was not met is gone, and one that was
    met and is written off lies in the drawer, or is set aside for whoever bought it. Needs a reason.
    """
    unit = Unit.objects.select_for_update(of=("self",)).get(pk=unit.pk)
    told: dict[str, Any] = {"because": because, "stocktake": stocktake}
    if not stocktake.scans.filter(unit=unit).exists():
        return _move(unit, HERE, Unit.State.GONE, StockMovement.Kind.NOT_FOUND, "can't be put right", by, at, **told)
    waits = unit.sale_lines.filter(is_live=True, handed_over_at__isnull=True).select_related("sale__client").first()
    to = Unit.State.RESERVED if waits else Unit.State.DRAWER
    told["for_client"] = waits.sale.client if waits else None
    return _move(unit, [Unit.State.GONE], to, StockMovement.Kind.FOUND, "can't be put right", by, at, **told)


@transaction.atomic
def change_purpose(*, unit: Unit, purpose: str, by: User) -> Unit:
    """Keep a unit for trying on or for sale from now on; raises ValidationError unless it is here and not set aside."""
    stored = Unit.objects.select_for_update(of=("self",)).get(pk=unit.pk)
    if stored.state not in HERE or stored.state == Unit.State.RESERVED:
        where = _WHERE[Unit.State(stored.state)]
        raise ValidationError(f"What unit {stored.number} is for can't be changed: it is {where}.")
    stored.purpose = purpose
    stored.full_clean()
    stored._history_user = by  # type: ignore[attr-defined]  # where django-simple-history looks for who did it
    stored.save()
    return stored


def _move(
    unit: Unit,
    expected: Collection[str],
    to: Unit.State,
    kind: str,
    refusal: str,
    by: User,
    at: datetime | None,
    *,
    because: str = "",
    **facts: Any,
) -> Unit:
    """Move the stored unit, which may have moved since the caller read it; the row is held meanwhile."""
    stored = Unit.objects.select_for_update(of=("self",)).get(pk=unit.pk)
    if stored.state not in expected:
        raise ValidationError(f"Unit {stored.number} {refusal}: it is {_WHERE[Unit.State(stored.state)]}.")
    client = facts.get("for_client")
    if client is not None and stored.reserved_for_id not in (None, client.pk):
        raise ValidationError(f"Unit {stored.number} {refusal}: it is set aside for another client.")
    _refuse_against_its_sale(stored, to, kind, refusal, facts.get("sale_line"))
    because = " ".join(because.split())
    if kind in StockMovement.NEEDS_A_REASON and not because:
        raise ValidationError({"because": "Write why; it stays in the unit's history."})
    last = stored.movements.order_by("-seq").values_list("seq", flat=True)[0]
    movement = StockMovement(
        unit=stored,
        seq=last + 1,
        kind=kind,
        from_state=stored.state,
        to_state=to,
        because=because,
        at=at or now(),
        by=by,
        **facts,
    )
    stored.state = to
    stored.reserved_for = client if to == Unit.State.RESERVED else None
    stored.full_clean()
    stored._history_user = by  # type: ignore[attr-defined]  # where django-simple-history looks for who did it
    stored.save()
    movement.full_clean()
    movement.save()
    return stored


def _refuse_against_its_sale(unit: Unit, to: str, kind: str, refusal: str, by_line: SaleLine | None) -> None:
    """What stands in a sale leaves and comes back by that sale alone. It can be lost, and found before she took it."""
    line = unit.sale_lines.filter(is_live=True).select_related("sale").first()
    if line is None or line == by_line or to == Unit.State.GONE:
        return
    if kind == StockMovement.Kind.FOUND and line.handed_over_at is None:
        return
    way = "take it back there" if line.handed_over_at else "hand it over or take it out there, or cancel that sale"
    raise ValidationError(f"Unit {unit.number} {refusal}: it stands in sale {line.sale}; {way}.")
