"""What do the rules say about a plan, on a day?

Answers in findings: stops, cautions and notes, and questions where an unknown fact decides a stop. Knows nothing of
records or pages: the caller gathers the facts into a `Plan`, hands in the house rules of that day and shows or keeps
what comes back. The rules themselves are the .toml files of this folder, read by `rule_files`.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from fittings.rules.facts import FACTS
from fittings.rules.plan import NOTHING_PLANNED, Plan, PlanError
from fittings.rules.rule import ABOUT, SEVERITIES, About, Finding, Rule, Severity
from fittings.rules.rule_files import RuleFileError, read_rules
from fittings.rules.wording import Units, filled_in, with_labels

__all__ = [
    "NOTHING_PLANNED",
    "Finding",
    "Plan",
    "PlanError",
    "RuleBook",
    "RuleFileError",
    "RuleRow",
    "load_rules",
    "may_proceed",
    "open_questions",
    "rule_table",
]

OUR_RULES = Path(__file__).parent
ASK_FIRST = {
    "stop": "Find out and record it; until then this plan can't go ahead.",
    "caution": "Find out and record it.",
    "note": "Find out and record it.",
}


def load_rules(folder: Path = OUR_RULES) -> RuleBook:
    """Read the rule files; RuleFileError, a sentence, for one that is misspelt. Keep the book: reading takes time."""
    return RuleBook(read_rules(folder))


@dataclass(frozen=True, slots=True)
class RuleBook:
    """Every entry of the rule files, the older ones too."""

    rules: tuple[Rule, ...]

    def in_force(self, on: date) -> tuple[Rule, ...]:
        """Of each rule the newest entry that is not later than that day."""
        newest: dict[str, Rule] = {}
        for rule in self.rules:
            if rule.since <= on and (rule.id not in newest or newest[rule.id].since < rule.since):
                newest[rule.id] = rule
        return tuple(newest.values())

    def check(
        self,
        plan: Plan,
        house_rules: object,
        *,
        on: date,
        about: Collection[About] = ABOUT,
        units: Units = "metric",
    ) -> tuple[Finding, ...]:
        """What the rules of that day say about a plan: stops first, then cautions, then notes.

        house_rules: a mapping or an object with the salon's numbers by their keys; one it does not hold has its start
        value. about: what the plan is for; rules about other things are not asked, so that a piece looked at without
        planned services asks nothing about tools. A rule that unknown facts decide gives a finding with `asks` if it is
        a stop or says so in its file, and nothing otherwise.
        Raises ValueError for an `about` nobody knows.
        """
        for subject in about:
            if subject not in ABOUT:
                raise ValueError(f"a plan can't be about {subject!r}; it can be about: {', '.join(ABOUT)}")
        findings = [
            _finding(rule, plan, house_rules, units, asks=() if holds else rule.to_ask(plan, house_rules))
            for rule in self.in_force(on)
            if rule.about in about
            for holds in (rule.holds(plan, house_rules),)
            if holds or (holds is None and rule.asks_when_unknown)
        ]
        return tuple(sorted(findings, key=lambda finding: SEVERITIES.index(finding.severity)))


def may_proceed(findings: Iterable[Finding], overridden: Collection[str] = ()) -> bool:
    """Whether no stop stands, an asking one included. `overridden`: ids of stops that an owner let pass in writing."""
    return all(finding.severity != "stop" or finding.rule_id in overridden for finding in findings)


def open_questions(findings: Iterable[Finding]) -> dict[str, str]:
    """Every fact the findings ask for, with its question, each once and in their order."""
    return {
        fact: question for finding in findings for fact, question in zip(finding.asks, finding.questions, strict=True)
    }


@dataclass(frozen=True, slots=True)
class RuleRow:
    """A rule as the page of all rules shows it: facts by their names, house numbers by their value."""

    id: str
    subject: str
    about: About
    severity: Severity
    says: str
    because: str
    instead: str
    source: str
    since: date
    printed: bool
    house_numbers: tuple[str, ...]
    """Keys of the salon's numbers that decide it or stand in its sentences."""


def rule_table(book: RuleBook, house_rules: object, *, on: date, units: Units = "metric") -> tuple[RuleRow, ...]:
    """The rules in force on that day, in the order of their files."""
    return tuple(
        RuleRow(
            id=rule.id,
            subject=rule.subject,
            about=rule.about,
            severity=rule.severity,
            says=with_labels(rule.says, house_rules, units),
            because=with_labels(rule.because, house_rules, units),
            instead=with_labels(rule.instead, house_rules, units),
            source=with_labels(rule.source, house_rules, units),
            since=rule.since,
            printed=rule.printed,
            house_numbers=rule.house_numbers,
        )
        for rule in book.in_force(on)
    )


def _finding(rule: Rule, plan: Plan, house_rules: object, units: Units, *, asks: tuple[str, ...]) -> Finding:
    questions = tuple(FACTS[fact].question for fact in asks)
    return Finding(
        rule_id=rule.id,
        since=rule.since,
        about=rule.about,
        severity=rule.severity,
        says=" ".join(questions) if asks else filled_in(rule.says, plan, house_rules, units),
        because=filled_in(rule.because, plan, house_rules, units),
        instead=ASK_FIRST[rule.severity] if asks else filled_in(rule.instead, plan, house_rules, units),
        source=filled_in(rule.source, plan, house_rules, units),
        printed=rule.printed,
        asks=asks,
        questions=questions,
    )
