"""What the page of her hair over time shows: a row a visit, two line pictures, and sentences on the newest change."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

from django.utils.formats import date_format
from django.utils.safestring import SafeString, mark_safe
from django.utils.timezone import localdate

from clients.models import Assessment
from clients.scalp.repeatability import Repeatability
from fittings.over_time.apart import Apart
from fittings.over_time.line_picture import Point, draw_line
from fittings.over_time.visits import HairOverTime, Visit, small_picture
from fittings.over_time.words import change_in_words, day_of, ends, interval, number, signed, verdict

_WHOLE = 100.0  # percent


@dataclass(frozen=True)
class Value:
    """One number of one visit in words: itself, its interval, and the change since the visit before."""

    says: str
    interval: str
    change: str
    verdict: str


@dataclass(frozen=True)
class Row:
    """One visit; `before` is the assessment of the visit before, None at the first."""

    assessment: Assessment
    before: Assessment | None
    share: Value
    area: Value
    was_taken_over: bool
    picture: SafeString

    @property
    def values(self) -> tuple[Value, Value]:
        return self.share, self.area


def rows_of(hair: HairOverTime, apart: Apart) -> list[Row]:
    earlier = [*(visit.assessment for visit in hair.visits[1:]), None]
    rows = []
    for visit, before in zip(hair.visits, earlier, strict=False):
        share, area, change = visit.measured.salt.total, visit.measured.thin_cm2, visit.change
        rows.append(
            Row(
                assessment=visit.assessment,
                before=before,
                share=_value(share, change.salt_points if change else None, apart.share, most=_WHOLE),
                area=_value(area, change.thin_cm2 if change else None, apart.area, most=inf),
                was_taken_over=visit.was_taken_over,
                picture=small_picture(visit.loss_map, hair.on.head),
            )
        )
    return rows


def _value(now: float, change: float | None, apart: Repeatability | None, *, most: float) -> Value:
    return Value(
        says=number(now),
        interval=interval(now, apart, most=most),
        change="" if change is None else signed(change),
        verdict="" if change is None else verdict(change, apart),
    )


def pictures_of(hair: HairOverTime, apart: Apart) -> list[tuple[str, SafeString]]:
    """A caption and a picture each of the share of hair lost and of the area with little hair; none for no visit."""
    if not hair.visits:
        return []
    oldest_first = hair.visits[::-1]
    shares = [
        _point(visit, visit.measured.salt.total, ends(visit.measured.salt.total, apart.share, most=_WHOLE))
        for visit in oldest_first
    ]
    areas = [
        _point(visit, visit.measured.thin_cm2, ends(visit.measured.thin_cm2, apart.area)) for visit in oldest_first
    ]
    return [
        ("Share of her scalp hair that is lost, percent", _drawn(shares, "%")),
        ("Area with less than 40 % of its hair, cm²", _drawn(areas, "cm²")),
    ]


def newest_in_words(hair: HairOverTime, apart: Apart) -> list[str]:
    """Sentences on what has changed since the visit before the newest; empty with fewer than two visits."""
    newest = hair.newest
    if newest is None or newest.change is None:
        return []
    return change_in_words(newest.change, apart, since=day_of(hair.visits[1].assessment.signed_at))


def _point(visit: Visit, value: float, within: tuple[float, float] | None) -> Point:
    return Point(localdate(visit.assessment.signed_at), value, within)


def _drawn(points: list[Point], unit: str) -> SafeString:
    told = "; ".join(f"{date_format(point.on, 'j M Y')} {number(point.value)} {unit}" for point in points)
    return mark_safe(draw_line(points, title=f"By visit: {told}", unit=unit))  # noqa: S308  # our own; the title is escaped
