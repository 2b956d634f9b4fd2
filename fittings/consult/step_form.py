"""What the forms of all steps share: where a save starts from, what happens when another tab was faster, and units.

A form knows two things about the step as its page last saw it: the assessment's revision, and `base`, a fingerprint of
this step's own values. A save elsewhere in the assessment moves the revision and leaves the fingerprint, and so does no
harm here; a save of this very step moves both, and then both versions are shown and nothing is overwritten.
"""

from __future__ import annotations

import hashlib
import json
from datetime import date
from typing import Any, ClassVar, NamedTuple

from crispy_forms.helper import FormHelper
from django import forms
from django.core.exceptions import NON_FIELD_ERRORS, ValidationError

from clients.assessing import StaleRevision
from clients.models import Assessment
from salon.common.form_fields import LengthField, MoneyField, in_reader_units, unchanged
from salon.common.lengths import LengthUnit
from salon.models import User

_TOO_OLD = "This page has lost track of what it was changing. Load it again; what you typed is kept."
_LONGEST_SHOWN = 400  # characters of a text when two versions are laid side by side


class TwoVersions(NamedTuple):
    """One field that this page and the record have differently, in words."""

    label: str
    typed: str
    saved: str


class StepForm(forms.Form):
    """One step of one assessment; a subclass says what it asks, and `write` hands it to the deed."""

    fields_of_assessment: ClassVar[tuple[str, ...]]
    revision = forms.IntegerField(
        min_value=0,
        max_value=2**31 - 1,
        widget=forms.HiddenInput,
        error_messages=dict.fromkeys(("required", "invalid", "min_value", "max_value"), _TOO_OLD),
    )
    base = forms.CharField(max_length=16, required=False, widget=forms.HiddenInput)

    def __init__(self, data: Any = None, *, assessment: Assessment, unit: LengthUnit, currency: str) -> None:
        self.assessment, self.unit, self.currency = assessment, unit, currency
        self.stale_sentence = ""
        super().__init__(data, initial={name: getattr(assessment, name) for name in self.fields_of_assessment})
        for field in self.fields.values():
            if isinstance(field, LengthField):
                field.unit = unit
            if isinstance(field, MoneyField):
                field.currency = currency
        self.helper = FormHelper()
        self.helper.form_tag = False
        self.helper.disable_csrf = True
        self.helper.form_show_errors = True
        self.helper.errors_stand_above = True  # read by templates/bootstrap5/errors.html

    def write(self, *, revision: int, by: User, on: date) -> Assessment:
        """Hand what was typed to the deed."""
        raise NotImplementedError

    def keep(self, *, by: User, on: date) -> Assessment | None:
        """Store it, or put the reason on the form and return None."""
        revision: int = self.cleaned_data["revision"]
        if self.cleaned_data["base"] == self.fingerprint:
            revision = self.assessment.revision  # saved elsewhere, but not this step
        try:
            return self.write(revision=revision, by=by, on=on)
        except StaleRevision as refusal:
            self.stale_sentence = refusal.messages[0]
        except ValidationError as refusal:
            reasons = getattr(refusal, "message_dict", {NON_FIELD_ERRORS: refusal.messages})
            for name, sentences in reasons.items():
                self.add_error(
                    name if name in self.fields else None,
                    [ValidationError(in_reader_units(sentence, self.unit)) for sentence in sentences],
                )
        return None

    def clean(self) -> dict[str, Any]:
        """A length sent back as it was shown is the stored one, not its rounding."""
        for name in self.fields_of_assessment:
            field = self.fields[name]
            if isinstance(field, LengthField) and name in self.cleaned_data:
                initial = self.initial[name]
                if unchanged(field, initial, self.data.get(self.add_prefix(name))):
                    self.cleaned_data[name] = initial
        return self.cleaned_data

    @property
    def answers(self) -> dict[str, Any]:
        """The cleaned values that are columns of the assessment."""
        return {name: self.cleaned_data[name] for name in self.fields_of_assessment}

    @property
    def fingerprint(self) -> str:
        """Of this step as it is stored now, the same for everybody who sees it in the same units."""
        stored = {name: _plain(self._stored(name)) for name in self.fields if name not in ("revision", "base")}
        return hashlib.sha256(json.dumps(stored, sort_keys=True).encode()).hexdigest()[:16]

    @property
    def starts_from(self) -> tuple[int | str, str]:
        """Revision and base for the page to send next: what it sent, unless the two versions are before her now."""
        if self.is_bound and not self.stale_sentence:
            return self.data.get("revision", ""), self.data.get("base", "")
        return self.assessment.revision, self.fingerprint

    @property
    def two_versions(self) -> list[TwoVersions]:
        """Every field that was typed differently from what is stored now."""
        versions = []
        for name, field in self.fields.items():
            if name in ("revision", "base"):
                continue
            typed, saved = _plain(self[name].data), _plain(self._stored(name))
            if typed != saved:
                versions.append(TwoVersions(self.label_of(name), *(in_words(field, value) for value in (typed, saved))))
        return versions

    def label_of(self, name: str) -> str:
        return str(self[name].label)

    def errors_by_field(self) -> dict[str, list[str]]:
        """Sentences by the id of the element they stand beside; those about the whole step under an empty id."""
        by_field: dict[str, list[str]] = {}
        for name, sentences in self.errors.items():
            of_the_step = name == NON_FIELD_ERRORS or self.fields[name].widget.is_hidden
            beside = "" if of_the_step else f"div_{self[name].auto_id}"
            by_field.setdefault(beside, []).extend(str(sentence) for sentence in sentences)
        return by_field

    def _stored(self, name: str) -> Any:
        field = self.fields[name]
        return field.prepare_value(self.get_initial_for_field(field, name))


def in_words(field: forms.Field, value: Any) -> str:
    """A value of a field as a person would say it."""
    if isinstance(field, forms.BooleanField):
        return "ticked" if value else "not ticked"
    if isinstance(field, forms.ChoiceField):
        labels = {str(key): str(label) for key, label in _flat(field.choices)}
        chosen = value if isinstance(value, list) else [value]
        return ", ".join(labels.get(str(one), str(one)) for one in chosen) or "nothing ticked"
    return str(value)[:_LONGEST_SHOWN] if value else "empty"


def _flat(choices: Any) -> Any:
    for key, label in choices:
        if isinstance(label, (list, tuple)):
            yield from label
        else:
            yield key, label


def _plain(value: Any) -> Any:
    """A value as a form sends it: text, a list of texts, or whether it is ticked."""
    if value is None or value is False or value == "":
        return ""
    if value is True or value == "on":
        return "on"
    if isinstance(value, (list, tuple, set)):
        return sorted(str(one) for one in value)
    return " ".join(str(value).split())
