"""What is known of one plan: facts about client, own hair, piece, placement and planned services.

A plan is what the rules read. It refuses facts nobody knows and values a fact can't have, and works out the two facts
that follow from others. What the facts are is in `facts`; what is said about them, in the rule files.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Mapping
from numbers import Real

from fittings.rules.facts import FACTS, TEXTURES, Fact

Value = bool | float | str | frozenset[str]


# what a plan says when a visit does nothing of the kind; facts of the service that is planned go on top
NOTHING_PLANNED: Mapping[str, object] = {
    "planned_heat": "none",
    "planned_steam": False,
    "planned_colour": "none",
    "planned_fixing": "none",
}


class PlanError(ValueError):
    """A plan says what no plan can say; the message names the fact, the value and what would be right."""


class Plan(Mapping[str, Value]):
    """A frozen mapping of fact to value; a fact that is not in it is unknown, never "no".

    Values as the records hold them: True, False, "yes" or "no"; numbers; a word of a choice; for a set any iterable of
    words, or one word alone, or "none" for the empty set. None and "" mean unknown, as an empty field does.
    Raises PlanError for an unknown fact and for a value the fact can't have.
    """

    __slots__ = ("_known",)

    def __init__(self, facts: Mapping[str, object]) -> None:
        known: dict[str, Value] = {}
        for key, value in facts.items():
            fact = FACTS.get(key)
            if fact is None:
                raise PlanError(f"unknown fact {key!r}; known facts: {', '.join(sorted(FACTS))}")
            if fact.worked_out_from:
                raise PlanError(f"{key!r} is worked out, give {' and '.join(fact.worked_out_from)} instead")
            if value is not None and value != "":
                known[key] = value_of(fact, value)
        for key, work_out in _WORKED_OUT.items():
            found = work_out(known)
            if found is not None:
                known[key] = found
        self._known = known

    def __getitem__(self, key: str) -> Value:
        return self._known[key]

    def __iter__(self) -> Iterator[str]:
        return iter(self._known)

    def __len__(self) -> int:
        return len(self._known)

    def __repr__(self) -> str:
        return f"Plan({self._known!r})"

    def to_ask(self, key: str) -> tuple[str, ...]:
        """The facts to ask for so that `key` is known; empty when it is known already."""
        if key in self._known:
            return ()
        if key == "weakest_fibre":  # a blend's synthetic part matters only once a blend is what it is
            return ("synthetic_part",) if self.get("fibre") == "blend" else ("fibre",)
        needed = FACTS[key].worked_out_from
        return tuple(fact for fact in needed if fact not in self._known) if needed else (key,)


def value_of(fact: Fact, value: object) -> Value:
    """The value as the plan keeps it; PlanError when the fact can't have it."""
    if fact.kind == "yes/no":
        return _yes_or_no(fact, value)
    if fact.kind == "number":
        return _number(fact, value)
    if fact.kind == "choice":
        return word_of(fact, value)
    if isinstance(value, str):
        return frozenset() if value == "none" else frozenset({word_of(fact, value)})
    if not isinstance(value, Iterable):
        raise PlanError(f"{fact.key!r} is a set of words, got {value!r}")
    return frozenset(word_of(fact, word) for word in value)


def word_of(fact: Fact, value: object) -> str:
    """The value if it is one of the fact's words; else PlanError."""
    if isinstance(value, str) and value in fact.values:
        return str(value)
    raise PlanError(f"{fact.key!r} can't be {value!r}; it can be: {', '.join(fact.values)}")


def weakest_fibre(fibre: str | None, synthetic_part: str | None) -> str | None:
    """The fibre a piece is held to under heat: a blend takes the weakest of its parts, which is its synthetic one.

    None while it isn't known. Words as in `facts`.
    """
    return synthetic_part if fibre == "blend" else fibre


def texture_steps(one: str | None, other: str | None) -> int | None:
    """How many steps two textures lie apart, from straight over wavy and curly to coily; None while one isn't known."""
    if one is None or other is None:
        return None
    in_order = list(TEXTURES)
    return abs(in_order.index(one) - in_order.index(other))


def _text(known: Mapping[str, Value], key: str) -> str | None:
    value = known.get(key)
    return value if isinstance(value, str) else None


_WORKED_OUT: Mapping[str, Callable[[Mapping[str, Value]], Value | None]] = {
    "weakest_fibre": lambda known: weakest_fibre(_text(known, "fibre"), _text(known, "synthetic_part")),
    "texture_steps": lambda known: texture_steps(_text(known, "piece_texture"), _text(known, "own_curl_pattern")),
}


def _yes_or_no(fact: Fact, value: object) -> bool:
    if isinstance(value, bool):
        return value
    if value in ("yes", "no"):
        return value == "yes"
    raise PlanError(f"{fact.key!r} is yes or no (true or false), got {value!r}")


def _number(fact: Fact, value: object) -> float:
    if isinstance(value, bool) or not isinstance(value, Real) or not math.isfinite(value):
        raise PlanError(f"{fact.key!r} is a number, got {value!r}")
    number = float(value)
    slack = 1e-6  # a computed share may come out as 1.0000000002
    if not fact.low - slack <= number <= fact.high + slack:
        unit = f" {fact.unit}" if fact.unit not in ("", "share") else ""
        raise PlanError(f"{fact.key!r} lies between {fact.low:g} and {fact.high:g}{unit}, got {value!r}")
    return number
