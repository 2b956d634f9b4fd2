"""Finds the sale a page is about, what she may take, and what waits for her."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Final

from django.db.models import Q, QuerySet
from django.shortcuts import get_object_or_404

from clients.models import Client
from fittings.models import Candidate, Fitting, Service
from fittings.selling_home import CHOSEN
from pieces.models import OrderLine, PricedService, Sale, Unit
from pieces.stock import IN_STOCK

MOST_AT_HAND: Final = 12
_KEY: Final = re.compile(r"unit-(U-[0-9A-Z]{8})|service-([0-9]{1,9})|order-([0-9]{1,9})")


@dataclass(frozen=True)
class Thing:
    """Something she may take: a unit, a thing of the price list, or what is ordered for her. `price_minor` is that of
    the list, None where it is in another currency than the salon's."""

    key: str
    name: str
    price_minor: int | None
    unit: Unit | None = None
    service: PricedService | None = None
    order_line: OrderLine | None = None

    @property
    def is_try_on(self) -> bool:
        return self.unit is not None and self.unit.purpose == Unit.Purpose.TRY_ON


def sale_of(reference: str) -> Sale:
    """The sale with that reference, its client and who agreed it; 404 when there is none."""
    return get_object_or_404(
        Sale.objects.filter(client__erased_at__isnull=True).select_related(
            "client", "stylist", "agreed_by", "cancelled_by"
        ),
        reference=reference,
    )


def things(keys: Iterable[str], *, client: Client, currency: str) -> list[Thing]:
    """What the keys name, in their order and each once, in three queries; what there is no longer is left out."""
    asked = dict.fromkeys(keys)
    found = {key: match for key in asked if (match := _KEY.fullmatch(key))}
    units = {one.number: one for one in _units().filter(number__in=[match[1] for match in found.values() if match[1]])}
    services = PricedService.objects.in_use().select_related("tax_rate")
    priced = {one.pk: one for one in services.filter(pk__in=[int(m[2]) for m in found.values() if m[2]])}
    ordered = {one.pk: one for one in ordered_for(client).filter(pk__in=[int(m[3]) for m in found.values() if m[3]])}
    shown: list[Thing] = []
    for match in found.values():
        if match[1] and (unit := units.get(match[1])):
            shown.append(thing_of_unit(unit, currency=currency))
        elif match[2] and (service := priced.get(int(match[2]))):
            shown.append(thing_of_service(service))
        elif match[3] and (line := ordered.get(int(match[3]))):
            shown.append(thing_of_order(line, currency=currency))
    return shown


def thing_of_unit(unit: Unit, *, currency: str) -> Thing:
    variant = unit.variant
    price = variant.price_minor if variant.currency == currency else None
    return Thing(f"unit-{unit.number}", f"{variant.piece}, {variant.shade.name}, {unit.number}", price, unit=unit)


def thing_of_service(service: PricedService) -> Thing:
    return Thing(f"service-{service.pk}", service.name, service.price_minor, service=service)


def thing_of_order(line: OrderLine, *, currency: str) -> Thing:
    variant = line.variant
    price = variant.price_minor if variant.currency == currency else None
    return Thing(f"order-{line.pk}", f"{variant.piece}, {variant.shade.name}, on order", price, order_line=line)


def at_hand(client: Client, *, currency: str) -> list[Thing]:
    """What is set aside for her, what lies in the drawer of what she chose, and what is ordered for her."""
    chosen = Candidate.objects.filter(fitting__client=client, try_ons__outcome__in=CHOSEN, owned_pieces__isnull=True)
    hers = Q(reserved_for=client) | Q(state=Unit.State.DRAWER, variant__in=chosen.values("variant"))
    units = _units().filter(hers, state__in=IN_STOCK).order_by("-state", "purpose", "number")
    free = units.exclude(sale_lines__is_live=True)[:MOST_AT_HAND]
    return [
        *(thing_of_unit(unit, currency=currency) for unit in free),
        *(thing_of_order(line, currency=currency) for line in ordered_for(client)[:MOST_AT_HAND]),
    ]


def ordered_for(client: Client) -> QuerySet[OrderLine]:
    """Special orders of hers that stand in no sale yet and whose unit has not come."""
    lines = OrderLine.objects.for_clients().filter(for_client=client, sale_line__isnull=True, received_count=0)
    return lines.exclude(order__state__in=("closed", "dropped")).select_related("variant__piece", "variant__shade")


def of_visit(visit: Fitting, *, currency: str) -> tuple[list[Thing], list[Service]]:
    """What a visit proposes to sell: a unit of each piece chosen in it, and what the price list has for the services
    done, at the price noted with them; and the services done that it has nothing for."""
    listed = {one.done_as: one for one in PricedService.objects.in_use().exclude(done_as="").order_by("-name")}
    done = list(visit.services.standing().filter(done_at__isnull=False).order_by("pk"))
    priced = [
        replace(thing_of_service(listed[one.kind]), price_minor=one.price_minor or listed[one.kind].price_minor)
        for one in done
        if one.kind in listed
    ]
    unlisted = [one for one in done if one.kind not in listed and one.price_minor]
    return [*_units_chosen_in(visit, currency), *priced], unlisted


def _units_chosen_in(visit: Fitting, currency: str) -> Iterator[Thing]:
    """One of each piece: set aside for her before the drawer, and one for trying on only if it is the one she tried."""
    taken: set[int] = set()
    for look in visit.try_ons.filter(outcome__in=CHOSEN).select_related("candidate").order_by("outcome", "pk"):
        hers = Q(reserved_for=visit.client) | Q(state=Unit.State.DRAWER)
        fit = Q(purpose=Unit.Purpose.SALE) | Q(pk=look.unit_id)
        units = _units().filter(hers, fit, state__in=IN_STOCK, variant=look.candidate.variant_id)
        free = units.exclude(sale_lines__is_live=True).exclude(pk__in=taken)
        if unit := free.order_by("purpose", "-state", "number").first():
            taken.add(unit.pk)
            yield thing_of_unit(unit, currency=currency)


def _units() -> QuerySet[Unit]:
    return Unit.objects.select_related("variant__piece", "variant__shade", "reserved_for")
