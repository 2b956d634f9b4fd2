"""Asks the owner for the house numbers, subject by subject, and keeps what she typed whatever is refused.

Each number is sent with the value the page was shown, so that a page left open undoes nothing that somebody else did.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from django.core.exceptions import ValidationError

from fittings.house_rules.number_typed import as_typed, in_readers_units, number_typed
from fittings.house_rules.subjects import SUBJECTS, Subject
from fittings.keeping_house_rules import Change, keep_house_rules
from fittings.placement.house_rules import HouseRuleInfo
from fittings.rules.wording import Units
from salon.models import User

SHOWN = "shown_"  # before the key of a number: the value that the page was shown


@dataclass(slots=True)
class NumberAsked:
    """One number on the page: what stands in its field, what it was shown as, and what is wrong with it."""

    info: HouseRuleInfo
    typed: str
    shown: str
    units: Units
    errors: list[str] = field(default_factory=list)

    @property
    def start(self) -> str:
        return f"{self.info.start:g} {self.info.unit}".strip()

    @property
    def start_for_reader(self) -> str:
        return in_readers_units(self.info.start, self.info.unit, self.units)

    @property
    def now_for_reader(self) -> str:
        """The value that was shown, in inches or °F."""
        return in_readers_units(float(self.shown), self.info.unit, self.units)

    @property
    def bounds(self) -> str:
        return f"{self.info.low:g} to {self.info.high:g}"

    @property
    def is_changed(self) -> bool:
        return float(self.shown) != self.info.start


class HouseRulesForm:
    """All numbers in one form, so that saving under one subject loses nothing typed under another."""

    def __init__(self, posted: Mapping[str, str] | None, *, current: Mapping[str, float], units: Units) -> None:
        self.posted, self.current, self.units = posted, current, units
        self.values: dict[str, float] = {}
        self.shown: dict[str, float] = {}
        self.asked = {
            info.key: NumberAsked(info, as_typed(current[info.key]), as_typed(current[info.key]), units)
            for subject in SUBJECTS
            for info in subject.numbers
        }
        if posted is not None:
            for asked in self.asked.values():
                self._read(asked, posted)

    @property
    def subjects(self) -> list[tuple[Subject, list[NumberAsked]]]:
        return [(subject, [self.asked[info.key] for info in subject.numbers]) for subject in SUBJECTS]

    @property
    def wrong(self) -> list[NumberAsked]:
        return [asked for asked in self.asked.values() if asked.errors]

    def keep(self, *, by: User) -> list[Change] | None:
        """Keep what was changed, or put the sentences beside the numbers and return None."""
        if self.wrong:
            return None
        try:
            return keep_house_rules(values=self.values, shown=self.shown, by=by)
        except ValidationError as refusal:
            for key, sentences in refusal.message_dict.items():
                asked = self.asked[key]
                asked.errors += sentences
                if self.current[key] != self.shown[key]:  # both values have been said: the next save is meant
                    asked.shown = as_typed(self.current[key])
            return None

    def _read(self, asked: NumberAsked, posted: Mapping[str, str]) -> None:
        key = asked.info.key
        try:
            self.shown[key] = float(posted[SHOWN + key])
            asked.info.check(self.shown[key])
        except (KeyError, ValueError):
            asked.errors.append("This page was sent without what it showed here; look at the number and save again.")
        else:
            asked.shown = as_typed(self.shown[key])
        asked.typed = posted.get(key, "")[:60]
        try:
            self.values[key] = number_typed(asked.typed, asked.info)
        except ValueError as refusal:
            asked.errors.append(str(refusal))
