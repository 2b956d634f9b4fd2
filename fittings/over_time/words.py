"""A change in plain words, for a client beside the chair: what was, what is, and whether painting alone explains it.

Words only for what the maps show. Why hair changes, and what it will do, is for a doctor; no such word stands here.
"""

from __future__ import annotations

from datetime import datetime
from math import inf

from django.utils.formats import date_format
from django.utils.timezone import localtime

from clients.scalp.comparing import MapChange
from clients.scalp.regions import ZONES
from clients.scalp.repeatability import Repeatability
from fittings.over_time.apart import Apart

MORE = "more than painting alone explains"
WITHIN = "within what painting alone can differ"
_ZONE_POINTS = 5  # points of remaining hair by which a zone's mean has changed to be named


def day_of(at: datetime | None) -> str:
    return "" if at is None else date_format(localtime(at), "j F Y")


def number(value: float, digits: int = 1) -> str:
    """One decimal, with a true minus and no minus nought."""
    text = f"{value:.{digits}f}"
    return text.lstrip("-") if float(text) == 0 else text.replace("-", "−")


def signed(value: float) -> str:
    """The same with its sign: +3.2, −1.0, 0.0."""
    text = number(value)
    return f"+{text}" if value > 0 and float(f"{value:.1f}") else text


def interval(value: float, apart: Repeatability | None, *, most: float = inf) -> str:
    """“10.1 to 14.7”, never below nothing or above `most`; empty while too few heads were painted twice."""
    within = ends(value, apart, most=most)
    return f"{number(within[0])} to {number(within[1])}" if within else ""


def ends(value: float, apart: Repeatability | None, *, most: float = inf) -> tuple[float, float] | None:
    """Both ends of the same interval, in the unit of the value; None while too few heads were painted twice."""
    if apart is None:
        return None
    return max(value - apart.of_one, 0.0), min(value + apart.of_one, most)


def verdict(difference: float, apart: Repeatability | None) -> str:
    """MORE, WITHIN, or empty while it can't be said."""
    if apart is None:
        return ""
    return WITHIN if apart.explains(difference) else MORE


def change_in_words(change: MapChange, apart: Apart, *, since: str) -> list[str]:
    """Sentences on the change since a day."""
    if change.is_none:
        return [f"Nothing was painted anew since {since}: the map was taken over as it was."]
    share = _went(
        f"Since {since} the share of her scalp hair that is lost", change.then.salt.total, change.now.salt.total, " %"
    )
    area = _went("The area with less than 40 % of its hair", change.then.thin_cm2, change.now.thin_cm2, " cm²")
    if apart.share is None or apart.area is None:
        return [f"{share}.", f"{area}.", *_where(change), missing_in_words(apart)]
    by_share, by_area = verdict(change.salt_points, apart.share), verdict(change.thin_cm2, apart.area)
    return [f"{share}: {by_share}.", f"{area}: {by_area}.", *_where(change)]


def missing_in_words(apart: Apart) -> str:
    """Why no interval is shown."""
    more = "One more head has" if apart.missing == 1 else f"{apart.missing} more heads have"
    return f"{more} to be painted twice before it can be said whether that is more than painting alone explains."


def _went(what: str, then: float, now: float, unit: str) -> str:
    if number(then) == number(now):
        return f"{what} has stayed at {number(now)}{unit}"
    return f"{what} went from {number(then)} to {number(now)}{unit}"


def _where(change: MapChange) -> list[str]:
    """The zones whose mean has changed to the eye."""
    less = [zone.label.lower() for zone in ZONES if change.points_by_zone[zone.key] <= -_ZONE_POINTS]
    more = [zone.label.lower() for zone in ZONES if change.points_by_zone[zone.key] >= _ZONE_POINTS]
    told = []
    if less:
        told.append(f"There is less hair than then at: {', '.join(less)}.")
    if more:
        told.append(f"There is more hair than then at: {', '.join(more)}.")
    return told
