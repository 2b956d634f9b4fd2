"""Asks whose file it is, of what, and for the file. It is looked at first; only what was looked at can be taken in."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import UploadedFile

from pieces.catalogue import Kind, kinds
from pieces.catalogue.cells import tidy
from pieces.catalogue.maker_file import KINDS_OF_MAKERS
from pieces.catalogue.maker_sheets import LARGEST_BYTES, MakersColumn, Meaning
from pieces.models import Maker


class MakerFileForm(forms.Form):
    maker = forms.ModelChoiceField(
        Maker.objects.all(),
        label="Maker",
        required=False,
        empty_label="One not known yet",
        error_messages={"invalid_choice": "This maker is not in the catalogue any more. Choose another."},
    )
    new_maker = forms.CharField(
        label="Name of a maker not known yet",
        required=False,
        max_length=80,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    kind = forms.ChoiceField(label="What each line is about")
    file = forms.FileField(
        label="The file",
        allow_empty_file=True,  # the reading says it better
        widget=forms.FileInput(attrs={"accept": ".csv,.txt,.tsv,text/csv"}),
        error_messages={"required": "Choose the file. A page that was sent forgets it, so choose it again."},
    )

    def __init__(self, *args: Any, currency: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.kinds = {name: kind for name, kind in kinds(currency).items() if name in KINDS_OF_MAKERS}
        choices = [(name, f"{kind.title}: a {kind.one} in each line") for name, kind in self.kinds.items()]
        self.fields["kind"].choices = choices  # type: ignore[attr-defined]  # it is a ChoiceField

    def clean_new_maker(self) -> str:
        return tidy(self.cleaned_data["new_maker"])

    def clean_file(self) -> UploadedFile[Any]:
        upload: UploadedFile[Any] = self.cleaned_data["file"]
        if (upload.size or 0) > LARGEST_BYTES:
            raise ValidationError(f"The file is larger than {LARGEST_BYTES // 1_000_000} MB. Split it into several.")
        return upload

    def clean(self) -> dict[str, Any]:
        chosen, named = self.cleaned_data.get("maker"), self.cleaned_data.get("new_maker")
        if chosen and named:
            self.add_error("new_maker", "Choose a maker or name a new one, not both.")
        if not chosen and not named and not self.errors:
            self.add_error("maker", "Say whose file it is: choose a maker, or name a new one.")
        return self.cleaned_data

    @property
    def known_maker(self) -> Maker | None:
        """The maker as she is stored, however it was named; None for a new one."""
        chosen: Maker | None = self.cleaned_data["maker"]
        return chosen or Maker.objects.filter(name=self.cleaned_data["new_maker"]).first()

    @property
    def maker_name(self) -> str:
        chosen: Maker | None = self.cleaned_data["maker"]
        return chosen.name if chosen else str(self.cleaned_data["new_maker"])

    @property
    def chosen_kind(self) -> Kind:
        return self.kinds[self.cleaned_data["kind"]]

    def content(self) -> bytes:
        """The bytes of the file; the form has to be valid."""
        upload: UploadedFile[Any] = self.cleaned_data["file"]
        upload.seek(0)
        return bytes(upload.read())


def mark_of_columns(maker: str, kind: str, columns: Sequence[MakersColumn]) -> str:
    """What tells of which columns the meaning was asked: another maker, kind or header gives another text."""
    return hashlib.sha256("\0".join([maker, kind, *(column.name for column in columns)]).encode()).hexdigest()


def fingerprint(maker: str, kind: str, content: bytes, meaning: Meaning) -> str:
    """What tells one look from another: the same file with the same meaning gives the same text."""
    parts = [maker, kind, *(repr(sorted(part.items())) for part in (meaning.columns, meaning.fixed, meaning.units))]
    parts += [f"{column} {sorted(words.items())}" for column, words in sorted(meaning.words.items())]
    return hashlib.sha256("\0".join(parts).encode() + b"\0" + content).hexdigest()
