"""One rule as it stands in a file, and one finding as it stands beside a plan.

Whether a rule holds is three-valued: all its conditions hold, one does not, or the plan does not say enough.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal

from fittings.rules.conditions import Condition, HouseNumber
from fittings.rules.plan import Plan
from fittings.rules.wording import HOUSE_PREFIX, placeholders

Severity = Literal["stop", "caution", "note"]
SEVERITIES: tuple[Severity, ...] = ("stop", "caution", "note")

About = Literal["piece", "placement", "service", "client"]
ABOUT: tuple[About, ...] = ("piece", "placement", "service", "client")


@dataclass(frozen=True, slots=True)
class Rule:
    """An entry of a rule file. `asks_when_unknown` is always true of a stop."""

    id: str
    since: date
    subject: str
    about: About
    severity: Severity
    when: tuple[Condition, ...]
    any_of: tuple[Condition, ...]
    says: str
    because: str
    instead: str
    source: str
    printed: bool
    asks_when_unknown: bool

    @property
    def house_numbers(self) -> tuple[str, ...]:
        """Keys of the salon's numbers that decide it or stand in its sentences, each once."""
        decide = [one.value.key for one in self.when + self.any_of if isinstance(one.value, HouseNumber)]
        sentences = f"{self.says} {self.because} {self.instead} {self.source}"
        said = [name.removeprefix(HOUSE_PREFIX) for name in placeholders(sentences) if name.startswith(HOUSE_PREFIX)]
        return tuple(dict.fromkeys(decide + said))

    def holds(self, plan: Plan, house_rules: object) -> bool | None:
        """Whether all of `when` and at least one of `any` hold; None where unknown facts decide it."""
        all_hold = {condition.holds(plan, house_rules) for condition in self.when}
        one_holds = {condition.holds(plan, house_rules) for condition in self.any_of} or {True}
        if False in all_hold or one_holds == {False}:
            return False
        return None if None in all_hold or True not in one_holds else True

    def to_ask(self, plan: Plan, house_rules: object) -> tuple[str, ...]:
        """The unknown facts that decide a rule whose `holds` is None, each once, in the order of the file."""
        one_holds = any(condition.holds(plan, house_rules) for condition in self.any_of)
        deciding = self.when if one_holds else self.when + self.any_of
        undecided = (condition for condition in deciding if condition.holds(plan, house_rules) is None)
        return tuple(dict.fromkeys(fact for condition in undecided for fact in condition.to_ask(plan)))


@dataclass(frozen=True, slots=True)
class Finding:
    """What a rule says about a plan: how serious it is, what, why, and what to do instead.

    A finding with `asks` does not say that something is wrong: it names the unknown facts that decide it, and
    `questions` puts them in plain words. It weighs as much as the rule until they are answered.
    """

    rule_id: str
    since: date
    about: About
    severity: Severity
    says: str
    because: str
    instead: str
    source: str
    printed: bool
    asks: tuple[str, ...] = ()
    questions: tuple[str, ...] = ()
