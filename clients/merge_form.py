"""Asks whose words hold where two records of one person differ."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from django import forms
from django.utils.formats import date_format

from clients.merge_plan import BOTH, FIELDS, GONE, KEPT, MAY_BE_JOINED
from clients.models import Client


class MergeForm(forms.Form):
    """One question for each detail that both records have and that differs; the kept record's word is chosen first."""

    def __init__(self, data: Any = None, *, keep: Client, gone: Client) -> None:
        super().__init__(data)
        self.keep, self.gone = keep, gone
        for name in FIELDS:
            hers, others = getattr(keep, name), getattr(gone, name)
            if not hers or not others or hers == others:
                continue
            choices = [(KEPT, _told(hers)), (GONE, _told(others))]
            if name in MAY_BE_JOINED:
                choices.append((BOTH, "Both, one after the other"))
            initial = BOTH if name in MAY_BE_JOINED else KEPT
            self.fields[name] = forms.ChoiceField(
                label=_label(name), choices=choices, initial=initial, widget=forms.RadioSelect
            )

    def differing(self) -> list[forms.BoundField]:
        return [self[name] for name in self.fields]

    def needing_no_question(self) -> list[tuple[str, str, str]]:
        """The details that need no question: label, what will stand there, and whose it is when only one has it."""
        rows = []
        for name in FIELDS:
            hers, others = getattr(self.keep, name), getattr(self.gone, name)
            if name not in self.fields and (hers or others):
                only = "" if hers == others else self.keep.reference if hers else self.gone.reference
                rows.append((_label(name), _told(hers or others), only))
        return rows


def details_told(client: Client) -> list[tuple[str, str]]:
    """Everything a record says of who she is: label and words."""
    return [(_label(name), _told(getattr(client, name))) for name in FIELDS if getattr(client, name)]


def changes_told(filled_in: Mapping[str, list[str | None]]) -> list[tuple[str, str, str]]:
    """What a merge changed in the kept record: label, what was there, what is there since."""
    return [(_label(name), _stored(name, before), _stored(name, after)) for name, (before, after) in filled_in.items()]


def _stored(name: str, value: str | None) -> str:
    return _told(date.fromisoformat(value) if name == "born_on" and value else value)


def _label(name: str) -> str:
    label = str(Client._meta.get_field(name).verbose_name)  # type: ignore[union-attr]  # a column has one
    return label[:1].upper() + label[1:]


def _told(value: date | str | None) -> str:
    return str(date_format(value, "j F Y")) if isinstance(value, date) else value or ""
