"""Asks for the file of people. It is looked at first; only what was looked at can then be taken in."""

from __future__ import annotations

import hashlib
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import UploadedFile

from clients.taking_in.people import LARGEST_BYTES


class PeopleFileForm(forms.Form):
    people = forms.FileField(
        label="File of clients",
        allow_empty_file=True,  # the reading says it better
        widget=forms.FileInput(attrs={"class": "form-control", "accept": ".csv,.vcf,text/csv,text/vcard"}),
        error_messages={"required": "Choose a file."},
    )
    looked_at = forms.CharField(required=False, max_length=64, widget=forms.HiddenInput)

    def clean_people(self) -> UploadedFile[Any]:
        upload: UploadedFile[Any] = self.cleaned_data["people"]
        if (upload.size or 0) > LARGEST_BYTES:
            raise ValidationError(f"The file is larger than {LARGEST_BYTES // 1_000_000} MB. Split it into several.")
        return upload

    def content(self) -> bytes:
        """The bytes of the file; the form has to be valid."""
        upload: UploadedFile[Any] = self.cleaned_data["people"]
        upload.seek(0)
        return bytes(upload.read())

    def was_looked_at(self, content: bytes) -> bool:
        """Whether this very file was looked at before it was sent to be taken in."""
        return bool(self.cleaned_data["looked_at"] == fingerprint(content))


def fingerprint(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()
