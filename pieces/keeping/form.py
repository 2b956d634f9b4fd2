"""What the forms over one record of the catalogue share: fields as they are typed, the version shown, refusals beside.

Whether something may be kept is `pieces.keeping_catalogue`'s to say.
"""

from __future__ import annotations

from typing import Any

from crispy_forms.layout import Layout, Submit
from django import forms
from django.core.exceptions import ValidationError
from django.db import models

from pieces.catalogue import cells
from pieces.seen_versions import NOT_SHOWN, ChangedMeanwhile, version_of
from salon.common.form_fields import LengthField, MoneyField, in_reader_units, unchanged
from salon.common.lengths import LengthUnit
from salon.common.refusing import RefusingForm
from salon.models import Units


class CellField(forms.CharField):
    """What a cell of a catalogue file would say, read in the same way; None when empty."""

    def __init__(self, cell: cells.Cell, **kwargs: Any) -> None:
        super().__init__(required=False, max_length=40, widget=forms.TextInput(attrs={"autocomplete": "off"}), **kwargs)
        self.cell = cell

    def prepare_value(self, value: Any) -> Any:
        return value if value is None or isinstance(value, str) else self.cell.show(value)

    def clean(self, value: Any) -> Any:
        typed = super().clean(value)
        if not typed:
            return None
        try:
            return self.cell.read(cells.tidy(typed))
        except ValueError as refusal:
            raise ValidationError(str(refusal)) from refusal


CHOOSE = "Choose one"
AS_TYPED = (LengthField, MoneyField, CellField)
"""Fields whose text is rounder than what is stored."""


class KeepingForm(RefusingForm):
    """Asks for one record: the one that is changed, or a new one where `row` is None. A subclass calls `begin` last."""

    shown = forms.Field(required=False, widget=forms.HiddenInput)  # whatever it holds, `clean` says in one sentence

    def __init__(self, data: Any = None, *, row: Any = None, units: Units, **kwargs: Any) -> None:
        super().__init__(data, **kwargs)
        self.row = row
        self.units = units
        self.unit: LengthUnit = "in" if units == Units.IMPERIAL else "cm"

    def begin(self, *required: str) -> None:
        """Fill in what is stored, in the reader's units; `required` names fields that can't stay empty."""
        for name in required:
            self.fields[name].required = True
        for field in self.fields.values():
            if isinstance(field, LengthField):
                field.unit = self.unit
        if self.row is None:
            del self.fields["shown"]
        else:
            stored = {name: _stored_value(self.row, name) for name in self.fields if hasattr(self.row, name)}
            self.initial = {**stored, "shown": version_of(self.row), **self.initial}

    def say_empty(self, **words: str) -> None:
        """What a choice that nobody has made yet, or that says nothing, is called."""
        for name, said in words.items():
            field: Any = self.fields[name]
            if isinstance(field, forms.ModelChoiceField):
                field.empty_label = said
            else:
                field.choices = [(value, label if value else said) for value, label in field.choices]

    def lay_out(self, *parts: Any) -> None:
        """The form from top to bottom, between what it must send and its button."""
        hidden = [name for name in ("shown",) if name in self.fields]
        self.helper.layout = Layout(*hidden, *parts, Submit("save", "Save" if self.row else "Add"))

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        for name, field in self.fields.items() if self.row is not None else ():
            if isinstance(field, AS_TYPED) and name in cleaned:
                stored = getattr(self.row, name)
                if unchanged(field, stored, self.data.get(self.add_prefix(name))):
                    cleaned[name] = stored
        if self.row is not None and _version(cleaned.get("shown")) is None:
            self.add_error(None, NOT_SHOWN)
            self._show_version_of_now()
        return cleaned

    def refuse(self, refusal: ValidationError) -> None:
        """Beside the fields, in the reader's units. Once what somebody else changed is said, the next save is meant."""
        if hasattr(refusal, "error_dict"):
            said = {
                name: [in_reader_units(sentence, self.unit) for sentence in sentences]
                for name, sentences in refusal.message_dict.items()
            }
            super().refuse(ValidationError(said))
        else:
            super().refuse(refusal)
        if isinstance(refusal, ChangedMeanwhile):
            self._show_version_of_now()

    def asked(self) -> dict[str, Any]:
        """What was typed, as the deeds take it."""
        return {name: value for name, value in self.cleaned_data.items() if name != "shown"}

    @property
    def version(self) -> int | None:
        return _version(self.cleaned_data["shown"])

    def _show_version_of_now(self) -> None:
        typed: Any = self.data
        self.data = typed.copy()
        self.data["shown"] = str(version_of(self.row))  # type: ignore[index]  # a copy of what was sent can be written to


def _version(sent: str | None) -> int | None:
    return int(sent) if sent and sent.isascii() and sent.isdigit() and len(sent) < 19 else None


def _stored_value(row: models.Model, name: str) -> Any:
    value = getattr(row, name)
    return value.pk if isinstance(value, models.Model) else value
