"""What it costs: the chosen pieces at the price they were proposed for, the planned services, and the total."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from fittings.models import Candidate, Service
from fittings.rules.facts import FACTS
from fittings.rules.plan import value_of
from fittings.rules.wording import Units, say_value
from salon.common.money import format_minor

INCLUDED = "included"
_TELLING = {"heat": ("planned_heat", "tool_c"), "colour": ("planned_colour",), "fixing": ("planned_fixing",)}


@dataclass(frozen=True)
class QuoteLine:
    """One thing and its price in minor units; a service without a price of its own is included."""

    what: str
    note: str
    minor: int
    currency: str
    is_service: bool

    @property
    def price(self) -> str:
        return format_minor(self.minor, self.currency) if self.minor or not self.is_service else INCLUDED


@dataclass(frozen=True)
class Quote:
    """Lines and the total of each currency; nearly always one."""

    lines: tuple[QuoteLine, ...]
    totals: tuple[str, ...]


def quote(pieces: Iterable[Candidate], services: Iterable[Service], *, currency: str, units: Units) -> Quote:
    """currency: that of the services, which the salon charges in its own; a piece carries its own."""
    lines = [
        QuoteLine(str(one.kept.piece), str(one.kept.shade), one.price_minor, one.currency, is_service=False)
        for one in pieces
    ] + [
        QuoteLine(service_in_words(service, units), service.note, service.price_minor, currency, is_service=True)
        for service in services
    ]
    totals: dict[str, int] = {}
    for line in lines:
        totals[line.currency] = totals.get(line.currency, 0) + line.minor
    return Quote(tuple(lines), tuple(format_minor(minor, code) for code, minor in totals.items()))


def service_in_words(service: Service, units: Units) -> str:
    """The kind of service with what it is done with: “Heat styling: an iron, 150 °C”."""
    details = [
        say_value(key, value_of(FACTS[key], service.facts[key]), units)
        for key in _TELLING.get(service.kind, ())
        if service.facts.get(key)
    ]
    kind = str(service.get_kind_display())
    return f"{kind}: {', '.join(details)}" if details else kind
