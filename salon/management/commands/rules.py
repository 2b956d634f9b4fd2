"""Print the rules with their weights, reasons and sources: `rules --subject heat --changed-since 2026-01-01`."""

from __future__ import annotations

import shutil
import textwrap
from argparse import ArgumentTypeError
from collections.abc import Iterable, Mapping
from datetime import date
from itertools import groupby
from typing import Any, Final

from django.core.management.base import BaseCommand, CommandParser
from django.db import OperationalError, ProgrammingError
from django.utils.timezone import localdate

from fittings.candidates import rule_book
from fittings.house_numbers import ALL_NUMBERS, start_numbers
from fittings.models import HouseRule
from fittings.rules.engine import RuleRow, rule_table
from fittings.rules.rule import SEVERITIES
from fittings.rules.wording import Units, say_number

_WEIGHTS: Final = {"stop": "STOP", "caution": "TAKE CARE", "note": "NOTE"}
_NARROWEST, _WIDEST = 56, 120  # below that words no longer fit beside their labels; above it lines are hard to follow
_LABEL: Final = 12


class Command(BaseCommand):
    help = (
        "Prints every rule in force with its weight, what it says, why, what to do instead, its source and its date, "
        "and the house rules it reads. Facts of a plan stand in [brackets]."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        subjects = sorted({rule.subject for rule in rule_book().rules})
        parser.add_argument("--subject", choices=subjects, help="rules about one subject only")
        parser.add_argument("--weight", choices=SEVERITIES, help="rules of one weight only")
        parser.add_argument("--changed-since", type=_day, metavar="DATE", help="rules that are new or other since then")
        parser.add_argument("--on", type=_day, metavar="DATE", help="rules in force on that day, instead of today")
        parser.add_argument("--units", choices=["metric", "imperial"], default="metric")
        parser.add_argument("--width", type=int, help="characters a line, instead of the terminal's own")

    def handle(self, *args: Any, **options: Any) -> None:
        on: date = options["on"] or localdate()
        numbers, remark = _numbers()
        table = [
            row
            for row in rule_table(rule_book(), numbers, on=on, units=options["units"])
            if options["subject"] in (None, row.subject)
            and options["weight"] in (None, row.severity)
            and (options["changed_since"] is None or row.since >= options["changed_since"])
        ]
        width = min(max(options["width"] or shutil.get_terminal_size().columns, _NARROWEST), _WIDEST)
        for line in _told(table, numbers, units=options["units"], on=on, width=width):
            self.stdout.write(line)
        if remark:
            self.stderr.write(remark)


def _day(typed: str) -> date:
    try:
        return date.fromisoformat(typed)
    except ValueError:
        raise ArgumentTypeError(f"“{typed}” is not a date. Write one as 2026-01-31.") from None


def _numbers() -> tuple[dict[str, float], str]:
    """The salon's numbers, or the start values with a remark where there is no database yet."""
    try:
        return HouseRule.objects.current(), ""
    except (OperationalError, ProgrammingError):
        return start_numbers(), "There is no database with house rules yet: their start values are shown."


def _told(table: list[RuleRow], numbers: Mapping[str, float], *, units: Units, on: date, width: int) -> Iterable[str]:
    for subject, rows in groupby(table, key=lambda row: row.subject):
        heading = f"{subject.capitalize()}"
        yield heading
        yield "=" * len(heading)
        yield ""
        for row in rows:
            yield from _rule(row, numbers, units=units, width=width)
            yield ""
    counts = [(weight, sum(row.severity == weight for row in table)) for weight in SEVERITIES]
    told = ", ".join(f"{count} {weight}{'' if count == 1 else 's'}" for weight, count in counts if count)
    word = "rule" if len(table) == 1 else "rules"
    yield from textwrap.wrap(f"{len(table)} {word} in force on {on.isoformat()}{': ' if told else ''}{told}.", width)
    yield from textwrap.wrap(
        "General guidance, not medical advice. Makers' instructions, local codes and licensed practice come first. "
        "What is not known is asked for, never taken for no. READ beside a source: it was opened; MEMORY: it was not; "
        "common practice: a habit of the trade.",
        width,
    )


def _rule(row: RuleRow, numbers: Mapping[str, float], *, units: Units, width: int) -> Iterable[str]:
    yield f"{_WEIGHTS[row.severity]}  {row.id}"
    said = [("says", row.says), ("why", row.because), ("instead", row.instead), ("source", row.source)]
    for key in row.house_numbers:
        info = ALL_NUMBERS[key]
        now, start = (say_number(value, info.unit, units) for value in (numbers[key], info.start))
        said.append(("house rule", f"{info.label}: {now}{'' if now == start else f' (started at {start})'}"))
    said.append(("since", f"{row.since.isoformat()}{'; printed for the client' if row.printed else ''}"))
    for label, sentence in said:
        yield from textwrap.wrap(
            sentence,
            width,
            initial_indent=f"  {label:<{_LABEL - 2}}",
            subsequent_indent=" " * _LABEL,
            break_on_hyphens=False,
        )
