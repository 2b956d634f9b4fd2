"""How this salon writes lengths, temperatures, days and money on its papers, whoever prints them."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.utils.formats import date_format
from django.utils.timezone import localtime

from fittings.rules.wording import Units
from salon.common.lengths import LengthUnit, format_length
from salon.common.temperatures import TemperatureUnit, format_temperature
from salon.models import Salon
from salon.models import Units as UnitsOfSalon


@dataclass(frozen=True)
class SalonWords:
    """The salon's units and its clock; a paper follows these and not the reader's own choice."""

    length_unit: LengthUnit
    temperature_unit: TemperatureUnit
    zone: ZoneInfo

    @classmethod
    def of(cls, salon: Salon) -> SalonWords:
        imperial = salon.units == UnitsOfSalon.IMPERIAL
        return cls("in" if imperial else "cm", "F" if imperial else "C", ZoneInfo(salon.time_zone))

    @property
    def units(self) -> Units:
        """The same choice, as the rules name it."""
        return "imperial" if self.length_unit == "in" else "metric"

    def length(self, millimetres: float) -> str:
        return format_length(float(millimetres), self.length_unit)

    def temperature_at_most(self, celsius: float) -> str:
        """A limit in whole degrees, rounded down, so that no paper allows more than was allowed."""
        degree_c = 5 / 9 if self.temperature_unit == "F" else 1.0
        offset_c = 160 / 9 if self.temperature_unit == "F" else 0.0  # 32 °F below zero, in °C
        degrees = math.floor((celsius + offset_c) / degree_c + 1e-9)
        return format_temperature(degrees * degree_c - offset_c, self.temperature_unit)

    def day_of(self, moment: datetime) -> date:
        """The salon's own day of that moment."""
        return localtime(moment, self.zone).date()

    def moment(self, at: datetime) -> str:
        """“2 January 2026, 10:30”, by the salon's clock."""
        return date_format(localtime(at, self.zone), "j F Y, H:i")

    @staticmethod
    def day(day: date) -> str:
        return date_format(day, "j F Y")


def in_one_line(address: str) -> str:
    """Lines of an address with commas between them."""
    return ", ".join(line.strip() for line in address.splitlines() if line.strip())


def joined(words: list[str]) -> str:
    """“a, b and c”."""
    return " and ".join(filter(None, [", ".join(words[:-1]), *words[-1:]]))
