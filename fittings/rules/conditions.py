"""Does one condition of a rule hold for a plan: yes, no, or not known?

A condition is a fact, a predicate and a value. The value stands in the rule file as it is, or names a house number
("house:clips_needed") or another fact ("fact:rated_c"). Where a fact is unknown the answer is None, except for the two
predicates that are about knowing. What a file may write is checked by `rule_files`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Literal

from fittings.rules.facts import FACTS, Kind
from fittings.rules.house_numbers import house_number
from fittings.rules.plan import Plan, Value

Takes = Literal["a value", "values", "a number", "a set", "true or false"]


@dataclass(frozen=True, slots=True)
class HouseNumber:
    """Stands for the salon's own number of that key."""

    key: str


@dataclass(frozen=True, slots=True)
class OtherFact:
    """Stands for what the plan says under that key."""

    key: str


@dataclass(frozen=True, slots=True)
class Predicate:
    """Which kinds of fact it is asked of, what it takes, and the answer for two known values.

    `about_knowing` ones have an answer for an unknown fact too, and are handed None for it.
    """

    kinds: tuple[Kind, ...]
    takes: Takes
    answer: Callable[..., bool]
    about_knowing: bool = False


PREDICATES: Mapping[str, Predicate] = {
    "is": Predicate(("yes/no", "choice", "number"), "a value", lambda known, value: known == value),
    "is not": Predicate(("yes/no", "choice", "number"), "a value", lambda known, value: known != value),
    "is one of": Predicate(("choice",), "values", lambda known, values: known in values),
    "above": Predicate(("number",), "a number", lambda known, limit: known > limit),
    "below": Predicate(("number",), "a number", lambda known, limit: known < limit),
    "at least": Predicate(("number",), "a number", lambda known, limit: known >= limit),
    "at most": Predicate(("number",), "a number", lambda known, limit: known <= limit),
    "includes any of": Predicate(("set",), "values", lambda known, values: bool(known & values)),
    "shares one with": Predicate(("set",), "a set", lambda known, other: bool(known & other)),
    "is empty": Predicate(("set",), "true or false", lambda known, empty: (not known) is empty),
    "is known": Predicate(
        ("yes/no", "choice", "number", "set"),
        "true or false",
        lambda known, wanted: (known is not None) is wanted,
        about_knowing=True,
    ),
    "is not known to be": Predicate(
        ("yes/no", "choice"), "a value", lambda known, value: known != value, about_knowing=True
    ),
}


@dataclass(frozen=True, slots=True)
class Condition:
    """One line of a rule's `when` or `any`."""

    fact: str
    predicate: str
    value: Value | HouseNumber | OtherFact

    def holds(self, plan: Plan, house_rules: object) -> bool | None:
        """True, False, or None when the plan does not say enough."""
        predicate = PREDICATES[self.predicate]
        known = plan.get(self.fact)
        if predicate.about_knowing:
            return predicate.answer(known, self.value)
        if isinstance(self.value, HouseNumber):
            return None if known is None else predicate.answer(known, house_number(house_rules, self.value.key))
        if not isinstance(self.value, OtherFact):
            return None if known is None else predicate.answer(known, self.value)
        other = plan.get(self.value.key)
        if known is not None and other is not None:
            return predicate.answer(known, other)
        return self._answer_whatever_they_are(known, other, self.value.key)

    def to_ask(self, plan: Plan) -> tuple[str, ...]:
        """The facts to ask for so that `holds` has an answer; empty if it has one whatever they are."""
        if PREDICATES[self.predicate].about_knowing:
            return ()
        other = plan.to_ask(self.value.key) if isinstance(self.value, OtherFact) else ()
        return plan.to_ask(self.fact) + other

    def _answer_whatever_they_are(self, known: Value | None, other: Value | None, other_key: str) -> bool | None:
        """False where two sets share nothing even if the unknown one held all it can; else None."""
        if PREDICATES[self.predicate].takes != "a set":
            return None
        could_be, other_could_be = (
            frozenset(FACTS[key].values) if told is None else told
            for key, told in ((self.fact, known), (other_key, other))
        )
        return None if PREDICATES[self.predicate].answer(could_be, other_could_be) else False
