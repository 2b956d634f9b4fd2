"""What is measured of each shade, on which scale, by what, by whom and when: the lines under a lock of the ring."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from pieces.models import Shade, ShadeReading
from pieces.models.shade import INSTRUMENT
from salon.colour.reading import ROUTINES
from salon.models import ChartEdition, Salon

Lab = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Measured:
    """One way in which a shade was measured. What an instrument measured came with the catalogue: undated, no doubt.

    remarks: what to know before it is compared, in words. earlier: how many older readings of this routine there are.
    """

    by_what: str
    scale: str
    lab: Mapping[str, Lab]
    read_at: datetime | None = None
    read_by: str = ""
    doubt: float | None = None
    remarks: tuple[str, ...] = ()
    earlier: int = 0

    @property
    def short(self) -> str:
        """“instrument”, “card” or “chart”."""
        return self.scale.partition("-")[0]


@dataclass(frozen=True, slots=True)
class RingShade:
    """A shade of the ring with all the ways in which it was measured; the instrument first, then the newest photo."""

    shade: Shade
    ways: tuple[Measured, ...]


def ring_shades(shades: Iterable[Shade], *, salon: Salon) -> list[RingShade]:
    """Each shade as the ring's page shows it. Prefetch `readings__read_by`."""
    return [RingShade(shade, tuple(_ways(shade, salon))) for shade in shades]


def _ways(shade: Shade, salon: Salon) -> list[Measured]:
    found = []
    if shade.is_measured:
        found.append(Measured(shade.get_method_display(), INSTRUMENT, shade.lab()))
    by_routine: dict[str, list[ShadeReading]] = {}
    for reading in sorted(shade.readings.all(), key=lambda row: (row.read_at, row.pk), reverse=True):
        by_routine.setdefault(reading.routine_version, []).append(reading)
    for newest, *earlier in by_routine.values():
        found.append(
            Measured(
                by_what=newest.get_method_display(),
                scale=newest.routine_version,
                lab=newest.lab(),
                read_at=newest.read_at,
                read_by=str(newest.read_by),
                doubt=newest.doubt,
                remarks=tuple(_remarks(newest, salon)),
                earlier=len(earlier),
            )
        )
    return found


def _remarks(reading: ShadeReading, salon: Salon) -> Iterable[str]:
    if reading.details.get("one_colour"):
        yield "one colour, from a row"
    if reading.routine_version not in ROUTINES.values():
        yield f"by an earlier routine ({reading.routine_version}): read it anew to compare it"
    setting: Mapping[str, Any] = reading.details.get("setting", {})
    card, edition = setting.get("card_reflectance_percent"), setting.get("chart_edition")
    if card is not None and card != salon.card_reflectance_percent:
        yield f"read with the card at {card:g} %, which is now {salon.card_reflectance_percent:g} %"
    if edition is not None and edition != salon.chart_edition:
        made = ChartEdition(edition).label
        yield f"read with a chart made {made[0].lower()}{made[1:]}"
