"""Asks what a maker's columns, bare numbers and words mean; what the lines then say is the catalogue's to read."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from django import forms
from django.http import QueryDict

from pieces.catalogue.kinds import Column, Kind
from pieces.catalogue.maker_sheets import MOST_WORDS, NOTHING, MakersColumn, Meaning, read_meant
from pieces.catalogue.sheets import printable

_UNIT_NAMES = {"mm": "Millimetres", "cm": "Centimetres", "in": "Inches", "°C": "°C", "°F": "°F"}
_LONGEST_SAMPLE = 40


@dataclass(slots=True)
class WordsOfColumn:
    """The maker's words in one of the catalogue's columns: (word, what it means, in how many lines)."""

    column: Column
    choices: Sequence[tuple[str, str]]
    rows: list[tuple[str, str, int]] = field(default_factory=list)


class MeaningForm(forms.Form):
    """Of every column but the maker's: which of the maker's it is, or what it is in every line, and in which unit."""

    def __init__(
        self, data: QueryDict | None = None, *, kind: Kind, columns: Sequence[MakersColumn], start: Meaning
    ) -> None:
        super().__init__(data)
        self.kind, self.start = kind, start
        self.asked = [column for column in kind.columns if column.name != "maker"]
        theirs = [("", "None of them"), *((column.name, _told(column)) for column in columns)]
        for column in self.asked:
            self._ask(column, theirs)
        self.words = self._words_posted(data) if data is not None else {}
        if data is None:
            self.words = {column: dict(words) for column, words in start.words.items()}

    def _ask(self, column: Column, theirs: list[tuple[str, str]]) -> None:
        name, start = column.name, self.start
        self.fields[f"{name}-column"] = forms.ChoiceField(
            label="Column of the file",
            choices=theirs,
            required=False,
            initial=start.columns.get(name, ""),
            error_messages={"invalid_choice": "This column is not in the file. Choose another."},
        )
        always: forms.Field
        if column.cell.words:
            always = forms.ChoiceField(choices=[("", "As the column says"), *column.cell.words], required=False)
        else:
            always = forms.CharField(required=False, max_length=240)
            always.widget.attrs["autocomplete"] = "off"
        always.label, always.initial = "Or the same in every line", start.fixed.get(name, "")
        self.fields[f"{name}-always"] = always
        if column.cell.units:
            units = [("", "Each says its own"), *((unit, _UNIT_NAMES[unit]) for unit in column.cell.units)]
            self.fields[f"{name}-unit"] = forms.ChoiceField(
                label="Its bare numbers are", choices=units, required=False, initial=start.units.get(name, "")
            )

    def clean(self) -> dict[str, Any]:
        said = self.cleaned_data
        for column in self.asked:
            theirs, always = said.get(f"{column.name}-column"), said.get(f"{column.name}-always")
            if theirs and always:
                self.add_error(f"{column.name}-always", "Choose a column or write this, not both.")
            elif always:
                self._check_always(column, always, said.get(f"{column.name}-unit", ""))
            elif not theirs and column.required and f"{column.name}-column" not in self.errors:
                self.add_error(f"{column.name}-column", "This is needed: choose the column, or write it beside.")
        return said

    def _check_always(self, column: Column, always: str, unit: str) -> None:
        try:
            read_meant(column, printable(always), unit)
        except ValueError as refusal:
            self.add_error(f"{column.name}-always", str(refusal))

    def meaning(self) -> Meaning:
        """What was said; the form has to be valid."""

        def said(part: str) -> dict[str, str]:
            values = ((column.name, self.cleaned_data.get(f"{column.name}-{part}", "")) for column in self.asked)
            return {name: value for name, value in values if value}

        return Meaning(said("column"), said("always"), said("unit"), self.words)

    def rows(self) -> list[tuple[Column, list[forms.BoundField]]]:
        """The fields by column, those that are needed first."""
        parts = ("column", "always", "unit")
        asked = sorted(self.asked, key=lambda column: not column.required)
        return [
            (column, [self[f"{column.name}-{part}"] for part in parts if f"{column.name}-{part}" in self.fields])
            for column in asked
        ]

    def needed_rows(self) -> list[tuple[Column, list[forms.BoundField]]]:
        return [row for row in self.rows() if row[0].required]

    def other_rows(self) -> list[tuple[Column, list[forms.BoundField]]]:
        return [row for row in self.rows() if not row[0].required]

    def words_asked(self, strange: Mapping[str, Mapping[str, int]]) -> list[WordsOfColumn]:
        """The words that mean nothing yet, and those that somebody has said the meaning of."""
        found = []
        for column in self.asked:
            known, new = self.words.get(column.name, {}), strange.get(column.name, {})
            if not known and not new:
                continue
            choices = [*column.cell.words, *([] if column.required else [(NOTHING, "Nothing")])]
            rows = [(word, known.get(word, ""), lines) for word, lines in new.items()]
            rows += [(word, meant, 0) for word, meant in known.items() if word not in new]
            found.append(WordsOfColumn(column, choices, rows))
        return found

    def _words_posted(self, data: QueryDict) -> dict[str, dict[str, str]]:
        """What each word means; what can't be meant or read is left unsaid, and is asked again."""
        found: dict[str, dict[str, str]] = {}
        for column in self.asked:
            may_be = {value for value, _ in column.cell.words} | (set() if column.required else {NOTHING})
            pairs = zip(data.getlist(f"{column.name}-word"), data.getlist(f"{column.name}-means"), strict=False)
            for word, meant in list(pairs)[: 2 * MOST_WORDS]:
                if word and meant in may_be and _is_printable(word):
                    found.setdefault(column.name, {})[word.casefold()] = meant
        return found


def as_posted(meaning: Meaning) -> QueryDict:
    """What a page would send that says this."""
    data = QueryDict(mutable=True)
    for part, said in (("column", meaning.columns), ("always", meaning.fixed), ("unit", meaning.units)):
        for column, value in said.items():
            data[f"{column}-{part}"] = value
    for column, words in meaning.words.items():
        data.setlist(f"{column}-word", list(words))
        data.setlist(f"{column}-means", list(words.values()))
    return data


def _is_printable(word: str) -> bool:
    try:
        return printable(word) == word
    except ValueError:
        return False


def _told(column: MakersColumn) -> str:
    """The column with what stands in it, short enough for a list to choose from."""
    samples = ", ".join(column.samples)
    shown = samples if len(samples) <= _LONGEST_SAMPLE else samples[:_LONGEST_SAMPLE].rstrip() + "…"
    return f"{column.name} ({shown})" if shown else column.name
