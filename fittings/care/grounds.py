"""What a care date rests on, in words with numbers, and where each is from: told, recorded, assumed, or a house rule.

Pure: no Django, no records. The words are the stylist's; a client's paper chooses among them by `source`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Final, Literal

from fittings.care.numbers import FIBRE_WORDS
from fittings.care.wear import WearStretch

Source = Literal["told", "recorded", "assumed", "house", "own pieces"]
SOURCE_WORDS: Final[Mapping[str, str]] = {
    "told": "as she told it",
    "recorded": "from the record",
    "assumed": "not asked yet, so assumed",
    "house": "house rule, common practice",
    "own pieces": "the salon's own pieces",
}
_CHECK_WORDS: Final = {2: "clearly worn", 3: "at its end"}
_INTERVAL: Final = "95 % interval"


@dataclass(frozen=True)
class Ground:
    says: str
    source: Source


@dataclass(frozen=True)
class OwnLife:
    """How long the salon's own pieces of this fibre lasted, in days: median and 95 % interval (None: no such end)."""

    pieces: int
    ended: int
    median_days: int
    low_days: int | None
    high_days: int | None


def of_wash(
    fibre: str,
    numbers: Mapping[str, float],
    wear: WearStretch,
    *,
    last_wash_on: date | None,
    since_deep: int | None,
) -> tuple[Ground, ...]:
    """since_deep: washes since the last deep care, for the date of that one; None for a wash."""
    grounds = [
        Ground(
            f"{FIBRE_WORDS[fibre].capitalize()}: a wash every {numbers[f'care_wash_wears_{fibre}']:g} wears", "house"
        ),
        Ground(f"Last washed on {_in_words(last_wash_on)}", "recorded")
        if last_wash_on
        else Ground("No wash is on record: counted from the day she had it", "recorded"),
        _days_worn(wear),
    ]
    if wear.hard_water:
        grounds.append(Ground(f"Hard water: {numbers['care_wash_hard_water_percent']:g} % sooner", "house"))
    if wear.swum_in:
        grounds.append(Ground(f"Swum in: {numbers['care_wash_swim_percent']:g} % sooner", "house"))
    grounds += _not_asked(wear, "swum_in", "hard_water")
    if since_deep is not None:
        every = f"{numbers['care_deep_every_washes']:g}"
        grounds.insert(0, Ground(f"Deep care with one wash in {every}; {since_deep} since the last", "house"))
    return tuple(grounds)


def of_visits(
    numbers: Mapping[str, float],
    *,
    since: date | None = None,
    last_check_on: date | None = None,
    tape_since: date | None = None,
) -> tuple[Ground, ...]:
    if tape_since:
        return (
            Ground(f"Tape set on {_in_words(tape_since)}", "recorded"),
            Ground(f"New tape after {numbers['care_tape_days']:g} days", "house"),
        )
    if last_check_on:
        return (
            Ground(f"Last looked over on {_in_words(last_check_on)}", "recorded"),
            Ground(f"A check-up every {numbers['care_check_up_weeks']:g} weeks", "house"),
        )
    begun = [Ground(f"Hers since {_in_words(since)}", "recorded")] if since else []
    return (*begun, Ground(f"The first check-up after {numbers['check_up_weeks']:g} weeks", "house"))


def of_life(
    fibre: str,
    numbers: Mapping[str, float],
    wear: WearStretch,
    *,
    lace_front: bool,
    own: OwnLife | None,
) -> tuple[Ground, ...]:
    """own: the salon's own figure; None where the house rule is used."""
    if own:
        low, high = (f"{days}" if days else "not known" for days in (own.low_days, own.high_days))
        first = Ground(
            f"The salon's own {own.pieces} pieces of {FIBRE_WORDS[fibre]}, {own.ended} worn out: half lasted"
            f" {own.median_days} days, {_INTERVAL} {low} to {high}; counted as worn"
            f" {numbers['care_assumed_days_per_week']:g} days a week,"
            f" {numbers['care_assumed_hours_per_day']:g} hours a day",
            "own pieces",
        )
    else:
        days = numbers[f"care_life_days_{fibre}"]
        first = Ground(f"{FIBRE_WORDS[fibre].capitalize()} lasts {days:g} days worn eight hours", "house")
    grounds = [first, _days_worn(wear), _hours_worn(wear)]
    shortens = [
        ("Slept in", "care_life_bed_percent", wear.worn_to_bed),
        ("Swum in", "care_life_swim_percent", wear.swum_in),
        ("Hard water", "care_life_hard_water_percent", wear.hard_water),
        ("A lace front", "care_life_lace_percent", lace_front and own is None),
    ]
    grounds += [Ground(f"{what}: {numbers[key]:g} % shorter", "house") for what, key, holds in shortens if holds]
    grounds += _not_asked(wear, "worn_to_bed", "swum_in", "hard_water")
    months = f"{numbers['care_longest_life_months']:g}"
    return (*grounds, Ground(f"No piece is expected to last longer than {months} months", "house"))


def of_checks(numbers: Mapping[str, float], checks: Sequence[tuple[date, int]]) -> tuple[Ground, ...]:
    """checks: the days on which it was found clearly worn or at its end, and which of the two."""
    grounds = []
    for on, worst in checks:
        grounds.append(Ground(f"Found {_CHECK_WORDS[worst]} on {_in_words(on)}", "recorded"))
    if any(worst == 3 for _, worst in checks):
        grounds.append(Ground(f"At its end: {numbers['care_done_left_days']:g} days to order and change", "house"))
    elif checks:
        grounds.append(
            Ground(f"Clearly worn: at most {numbers['care_marked_left_percent']:g} % of its life left", "house")
        )
    return tuple(grounds)


def before_the_end(numbers: Mapping[str, float], end: date) -> Ground:
    """How many weeks the next one is ordered before the day on which this one is expected to end."""
    return Ground(f"Ordered {numbers['care_lead_weeks']:g} weeks before the end expected for {_in_words(end)}", "house")


def overdue_when_made(worked_out: date) -> Ground:
    """Said of a date that would lie in the past, and so is due on the day it is worked out."""
    return Ground(f"By these it was due on {_in_words(worked_out)} already", "recorded")


def _days_worn(wear: WearStretch) -> Ground:
    turns = ", in turns with another piece: half of them each" if wear.takes_turns else ""
    said = f"Worn {wear.days_per_week:g} days a week{turns}"
    return Ground(said, "assumed" if "days_per_week" in wear.assumed else "told")


def _hours_worn(wear: WearStretch) -> Ground:
    return Ground(f"{wear.hours_per_day:g} hours a day", "assumed" if "hours_per_day" in wear.assumed else "told")


def _not_asked(wear: WearStretch, *names: str) -> list[Ground]:
    words = {"worn_to_bed": "slept in", "swum_in": "swum in", "hard_water": "washed in hard water"}
    not_asked = [words[name] for name in names if name in wear.assumed]
    return [Ground(f"Counted as not {' and not '.join(not_asked)}", "assumed")] if not_asked else []


def _in_words(day: date | None) -> str:
    return f"{day.day} {day:%B %Y}" if day else "a day not known"
