"""Reads the rule files, and refuses a misspelt one with a sentence that says where, what, and what is known.

A file is one subject. Each entry is a `[[rule]]` with these keys:

* `id`, `since` (a date: a changed rule is a new entry with a later one), `severity`, `about` (what the plan is for);
* `when`: a list of [fact, predicate, value], all of which must hold; optionally `any`: such a list of which one must;
* `says`, `because`, `instead`, `source`: sentences. `{fact}` in `says` and `instead` is filled in from the plan and
  must be a fact that `when` makes sure of; `{house:key}` is filled in, anywhere, from the house rules;
* optionally `printed = true` (stands on the client's paper) and `ask = true` (a caution or note that asks for the
  unknown facts that decide it; a stop always does).

A value is a word, a number, true or false, a list of words, "house:key" or "fact:key".
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Mapping
from datetime import date, datetime
from pathlib import Path
from typing import Any, get_args

from fittings.rules.conditions import PREDICATES, Condition, HouseNumber, OtherFact, Predicate
from fittings.rules.facts import FACTS, Fact
from fittings.rules.house_numbers import HOUSE_NUMBERS
from fittings.rules.plan import PlanError, Value, value_of, word_of
from fittings.rules.rule import About, Rule, Severity
from fittings.rules.wording import HOUSE_PREFIX, placeholders

FACT_PREFIX = "fact:"
SENTENCES = ("says", "because", "instead", "source")
NEEDED = ("id", "since", "severity", "about", "when", *SENTENCES)
OPTIONAL = ("any", "printed", "ask")


class RuleFileError(ValueError):
    """A rule file is misspelt; the message is the sentence for the person who wrote it."""


def read_rules(folder: Path) -> tuple[Rule, ...]:
    """Every rule of every .toml file of a folder, file by file in the order of their names.

    Raises RuleFileError for the first thing that is wrong, also when there is no file or two entries share id and date.
    """
    files = sorted(folder.glob("*.toml"))
    if not files:
        raise RuleFileError(f"there is no rule file (*.toml) in the folder '{folder.name}'")
    rules: list[Rule] = []
    seen: dict[tuple[str, date], str] = {}
    for file in files:
        for rule in _rules_of(file):
            entry = (rule.id, rule.since)
            if entry in seen:
                raise RuleFileError(
                    f"{file.name}, rule '{rule.id}': {seen[entry]} already has an entry since {rule.since}. "
                    "A changed rule is a new entry with a later date."
                )
            seen[entry] = file.name
            rules.append(rule)
    return tuple(rules)


def _rules_of(file: Path) -> Iterable[Rule]:
    try:
        content = tomllib.loads(file.read_text(encoding="utf-8"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise RuleFileError(f"{file.name} is not TOML: {error}") from error
    _refuse_unknown(content, ("rule",), f"{file.name}: unknown key", "a file holds [[rule]] entries")
    entries = content.get("rule")
    if not isinstance(entries, list) or not entries or not all(isinstance(entry, dict) for entry in entries):
        raise RuleFileError(f"{file.name} holds no [[rule]] entry")
    for number, entry in enumerate(entries, start=1):
        where = f"{file.name}, rule '{entry['id']}'" if "id" in entry else f"{file.name}, rule {number}"
        yield _Entry(where, entry).rule(file.stem)


class _Entry:
    """One [[rule]] on its way to a Rule; every refusal begins with where it is."""

    def __init__(self, where: str, keys: Mapping[str, Any]) -> None:
        self.where = where
        self.keys = keys

    def rule(self, subject: str) -> Rule:
        _refuse_unknown(self.keys, NEEDED + OPTIONAL, f"{self.where}: unknown key", "")
        for key in NEEDED:
            if key not in self.keys:
                raise self.refusal(f"the key '{key}' is missing")
        severity: Severity = self.word("severity", get_args(Severity))
        rule = Rule(
            id=self.name(),
            since=self.day(),
            subject=subject,
            about=self.word("about", get_args(About)),
            severity=severity,
            when=self.conditions("when", at_least=1),
            any_of=self.conditions("any", at_least=2) if "any" in self.keys else (),
            says=self.sentence("says"),
            because=self.sentence("because"),
            instead=self.sentence("instead"),
            source=self.sentence("source"),
            printed=self.flag("printed"),
            asks_when_unknown=self.flag("ask") or severity == "stop",
        )
        self.check_placeholders(rule)
        return rule

    def refusal(self, sentence: str) -> RuleFileError:
        return RuleFileError(f"{self.where}: {sentence}.")

    def name(self) -> str:
        value = self.keys["id"]
        if not isinstance(value, str) or not re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", value):
            raise self.refusal(f"'id' is small letters joined by hyphens, got {value!r}")
        return value

    def day(self) -> date:
        value = self.keys["since"]
        if not isinstance(value, date) or isinstance(value, datetime):
            raise self.refusal(f"'since' is a date such as 2026-01-31, without quotes, got {value!r}")
        return value

    def word(self, key: str, known: tuple[Any, ...]) -> Any:
        value = self.keys[key]
        if value not in known:
            raise self.refusal(f"unknown {key} {value!r}. Known: {', '.join(known)}")
        return value

    def sentence(self, key: str) -> str:
        value = self.keys[key]
        if not isinstance(value, str) or not value.strip():
            raise self.refusal(f"'{key}' is a sentence, got {value!r}")
        return value

    def flag(self, key: str) -> bool:
        value = self.keys.get(key, False)
        if not isinstance(value, bool):
            raise self.refusal(f"'{key}' is true or false, got {value!r}")
        return value

    def conditions(self, key: str, *, at_least: int) -> tuple[Condition, ...]:
        listed = self.keys[key]
        if not isinstance(listed, list) or len(listed) < at_least:
            raise self.refusal(f"'{key}' is a list of {at_least} or more [fact, predicate, value], got {listed!r}")
        return tuple(self.condition(triple) for triple in listed)

    def condition(self, triple: object) -> Condition:
        if not isinstance(triple, list) or len(triple) != 3 or not all(isinstance(word, str) for word in triple[:2]):
            raise self.refusal(f"a condition is [fact, predicate, value], got {triple!r}")
        key, name, value = triple
        if key not in FACTS:
            raise self.refusal(f"unknown fact {key!r}. Known facts: {', '.join(sorted(FACTS))}")
        if name not in PREDICATES:
            raise self.refusal(f"unknown predicate {name!r}. Known predicates: {', '.join(PREDICATES)}")
        fact, predicate = FACTS[key], PREDICATES[name]
        if fact.kind not in predicate.kinds:
            fitting = ", ".join(word for word, other in PREDICATES.items() if fact.kind in other.kinds)
            raise self.refusal(f"'{name}' can't be asked of the {fact.kind} fact '{key}'. Predicates for it: {fitting}")
        return Condition(key, name, self.value(fact, predicate, name, value))

    def value(self, fact: Fact, predicate: Predicate, name: str, value: object) -> Value | HouseNumber | OtherFact:
        if isinstance(value, str) and value.startswith((HOUSE_PREFIX, FACT_PREFIX)):
            return self.reference(fact, predicate, name, value)
        if predicate.takes == "a set":
            raise self.refusal(f"'{name}' takes another fact, such as \"fact:reactions\", got {value!r}")
        if predicate.takes == "true or false":
            if not isinstance(value, bool):
                raise self.refusal(f"'{name}' takes true or false, got {value!r}")
            return value
        if predicate.takes == "values":
            if not isinstance(value, list) or not value:
                raise self.refusal(f"'{name}' takes a list of words, got {value!r}")
            return frozenset(self.word_of_fact(fact, word) for word in value)
        if fact.kind == "yes/no" and not isinstance(value, bool):
            raise self.refusal(f"'{fact.key}' is true or false, got {value!r}")
        try:
            return value_of(fact, value)
        except PlanError as error:
            raise self.refusal(str(error)) from error

    def reference(self, fact: Fact, predicate: Predicate, name: str, value: str) -> HouseNumber | OtherFact:
        prefix, key = value.split(":", 1)
        if prefix == "house":
            if key not in HOUSE_NUMBERS:
                raise self.refusal(f"unknown house number {key!r}. Known: {', '.join(sorted(HOUSE_NUMBERS))}")
            if predicate.takes != "a number":
                raise self.refusal(f"'{name}' takes no house number, got {value!r}")
            return HouseNumber(key)
        if key not in FACTS:
            raise self.refusal(f"unknown fact {key!r}. Known facts: {', '.join(sorted(FACTS))}")
        if predicate.takes not in ("a number", "a set") or FACTS[key].kind != fact.kind:
            raise self.refusal(f"'{name}' can't compare the {fact.kind} fact '{fact.key}' with '{key}'")
        return OtherFact(key)

    def word_of_fact(self, fact: Fact, word: object) -> str:
        try:
            return word_of(fact, word)
        except PlanError as error:
            raise self.refusal(str(error)) from error

    def check_placeholders(self, rule: Rule) -> None:
        sure = {fact for condition in rule.when for fact in _made_sure_by(condition)}
        for key in SENTENCES:
            names = placeholders(getattr(rule, key))
            if getattr(rule, key).count("{") != len(names) or getattr(rule, key).count("}") != len(names):
                raise self.refusal(f"a brace in '{key}' has no partner: a fact is written {{fact}}")
            for name in names:
                if name.startswith(HOUSE_PREFIX):
                    if name.removeprefix(HOUSE_PREFIX) not in HOUSE_NUMBERS:
                        known = ", ".join(sorted(HOUSE_NUMBERS))
                        raise self.refusal(f"unknown house number in {{{name}}} of '{key}'. Known: {known}")
                elif name not in FACTS:
                    raise self.refusal(
                        f"unknown fact in {{{name}}} of '{key}'. Known facts: {', '.join(sorted(FACTS))}"
                    )
                elif key not in ("says", "instead"):
                    raise self.refusal(f"{{{name}}} can't stand in '{key}', which holds for every plan")
                elif name not in sure:
                    raise self.refusal(f"{{{name}}} in '{key}' may be unknown: ask for the fact in 'when' first")


def _made_sure_by(condition: Condition) -> list[str]:
    """The facts a plan must hold for the condition to hold."""
    if PREDICATES[condition.predicate].about_knowing:
        return [condition.fact] if condition == Condition(condition.fact, "is known", True) else []
    return [condition.fact] + ([condition.value.key] if isinstance(condition.value, OtherFact) else [])


def _refuse_unknown(keys: Iterable[str], known: tuple[str, ...], sentence: str, hint: str) -> None:
    for key in keys:
        if key not in known:
            raise RuleFileError(f"{sentence} {key!r}. Known keys: {', '.join(known)}{f' ({hint})' if hint else ''}.")
