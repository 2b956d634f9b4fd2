"""Asks which pieces or units to show, which units came in, and for the files of a catalogue."""

from __future__ import annotations

import hashlib
from datetime import date
from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Layout, Row, Submit
from django import forms
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import UploadedFile

from pieces.browsing import PieceQuestion, variants_of
from pieces.catalogue import kinds
from pieces.catalogue.sheets import LARGEST_BYTES
from pieces.models import Base, Maker, Piece, Unit, Variant
from pieces.stock import MOST_AT_ONCE, receive_units
from salon.common.form_fields import say_what_is_wanted
from salon.common.lengths import LengthUnit, format_length, parse_length_mm
from salon.models import Units, User

ANY = ("", "Any")


class PieceSearchForm(forms.Form):
    """What a stylist looks for, as the address keeps it; what can't be read is said and not asked."""

    q = forms.CharField(label="Name, maker, base or shade", required=False, max_length=80)
    maker = forms.ModelChoiceField(Maker.objects.all(), label="Maker", required=False, empty_label="Any")
    fibre = forms.ChoiceField(label="Fibre", choices=[ANY, *Piece.Fibre.choices], required=False)
    texture = forms.ChoiceField(label="Texture", choices=[ANY, *Piece.Texture.choices], required=False)
    front_edge = forms.ChoiceField(label="Front edge", choices=[ANY, *Base.FrontEdge.choices], required=False)
    shortest = forms.CharField(label="Length from", required=False, max_length=20)
    longest = forms.CharField(label="Length to", required=False, max_length=20)
    in_drawer = forms.BooleanField(label="In the drawer", required=False)

    def __init__(self, *args: Any, units: Units, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.length_unit = _unit_of(units)
        for name in ("shortest", "longest"):
            self.fields[name].widget.attrs["placeholder"] = self.length_unit
        self.fields["q"].widget = forms.TextInput(attrs={"type": "search", "autocomplete": "off", "maxlength": 80})
        self.helper = FormHelper()
        self.helper.form_tag = False
        self.helper.disable_csrf = True
        self.helper.form_show_errors = False  # they stand above the list, which is what a narrowing swaps

    def clean_shortest(self) -> float | None:
        return self._length("shortest")

    def clean_longest(self) -> float | None:
        return self._length("longest")

    def clean(self) -> dict[str, Any]:
        shortest, longest = self.cleaned_data.get("shortest"), self.cleaned_data.get("longest")
        if shortest is not None and longest is not None and shortest > longest:
            self.add_error("longest", "The hair length begins above where it ends. Write the shorter one first.")
        return self.cleaned_data

    def question(self) -> PieceQuestion:
        """What was asked and could be read."""
        self.is_valid()
        asked = self.cleaned_data
        return PieceQuestion(
            words=asked.get("q", ""),
            maker=asked.get("maker"),
            fibre=asked.get("fibre", ""),
            texture=asked.get("texture", ""),
            front_edge=asked.get("front_edge", ""),
            shortest_mm=asked.get("shortest"),
            longest_mm=asked.get("longest"),
            in_drawer=asked.get("in_drawer", False),
        )

    def _length(self, name: str) -> float | None:
        typed = self.cleaned_data[name]
        try:
            return parse_length_mm(typed, self.length_unit) if typed.strip() else None
        except ValueError as refusal:
            raise ValidationError(str(refusal)) from None


class UnitSearchForm(forms.Form):
    q = forms.CharField(label="Number, piece, maker or shade", required=False, max_length=80)
    state = forms.ChoiceField(label="Where it is", choices=[ANY, *Unit.State.choices], required=False)
    purpose = forms.ChoiceField(label="Purpose", choices=[ANY, *Unit.Purpose.choices], required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["q"].widget = forms.TextInput(attrs={"type": "search", "autocomplete": "off", "maxlength": 80})
        self.helper = FormHelper()
        self.helper.form_tag = False
        self.helper.disable_csrf = True
        self.helper.form_show_errors = False

    def asked(self) -> dict[str, str]:
        """What was asked and could be read."""
        self.is_valid()
        return {name: self.cleaned_data.get(name, "") for name in ("q", "state", "purpose")}


class VariantChoiceField(forms.ModelChoiceField):  # type: ignore[type-arg]  # takes no brackets at run time
    """A variant of one piece by its shade and its length in the reader's units."""

    length_unit: LengthUnit = "cm"

    def label_from_instance(self, obj: Variant) -> str:
        return f"{obj.shade.code}, {obj.shade.name}, {format_length(obj.length_mm, self.length_unit)}"


class ReceiveUnitsForm(forms.Form):
    """Asks for the units of one piece that came in; whether they may is `stock`'s to say."""

    variant = VariantChoiceField(Variant.objects.none(), label="Shade and length", empty_label="Choose one")
    count = forms.IntegerField(label="How many", min_value=1, max_value=MOST_AT_ONCE)
    purpose = forms.ChoiceField(label="Purpose", choices=Unit.Purpose.choices)
    received_on = forms.DateField(
        label="Came in on",
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={"required": "Write the day on which the units came in."},
    )

    def __init__(self, *args: Any, piece: Piece, units: Units, today: date, **kwargs: Any) -> None:
        kwargs.setdefault("initial", {"count": 1, "purpose": Unit.Purpose.SALE, "received_on": today})
        super().__init__(*args, **kwargs)
        self.today = today
        variant = self.fields["variant"]
        variant.queryset = variants_of(piece)  # type: ignore[attr-defined]  # it is a ModelChoiceField
        variant.length_unit = _unit_of(units)  # type: ignore[attr-defined]  # it is a VariantChoiceField
        say_what_is_wanted(self.fields)
        self.helper = FormHelper()
        self.helper.layout = Layout(
            "variant", Row("count", "purpose", "received_on"), Submit("receive", "Put into the drawer")
        )

    def clean_received_on(self) -> date:
        day: date = self.cleaned_data["received_on"]
        if day > self.today:
            raise ValidationError("That day is still to come. Write the day on which the units came in.")
        return day

    def receive(self, *, by: User) -> list[Unit]:
        """Put the units in, or put the reason on the form and return none."""
        try:
            return receive_units(**self.cleaned_data, by=by)
        except ValidationError as refusal:
            self.add_error(None, refusal)
            return []


class CatalogueForm(forms.Form):
    """The files of one upload. They are checked first; only what was checked can then be stored."""

    checked = forms.CharField(required=False, max_length=64, widget=forms.HiddenInput)

    def __init__(self, *args: Any, currency: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.kinds = kinds(currency)
        for kind in self.kinds.values():
            self.fields[kind.name] = forms.FileField(
                label=kind.title,
                required=False,
                allow_empty_file=True,  # the reading says it better
                widget=forms.FileInput(attrs={"accept": ".csv,text/csv"}),
            )

    def clean(self) -> dict[str, Any]:
        uploads = self._uploads()
        if not uploads:
            raise ValidationError("Choose at least one file.")
        for name, upload in uploads.items():
            if (upload.size or 0) > LARGEST_BYTES:
                self.add_error(name, f"The file is larger than {LARGEST_BYTES // 1_000_000} MB. Split it into several.")
        return self.cleaned_data

    def contents(self) -> dict[str, bytes]:
        """The bytes of each file by the name of its kind; the form has to be valid."""
        contents = {}
        for name, upload in self._uploads().items():
            upload.seek(0)
            contents[name] = upload.read()
        return contents

    def _uploads(self) -> dict[str, UploadedFile[Any]]:
        return {name: self.cleaned_data[name] for name in self.kinds if self.cleaned_data.get(name) is not None}


def fingerprint(contents: dict[str, bytes]) -> str:
    """What tells one upload from another: the same files give the same text."""
    whole = hashlib.sha256()
    for name, content in sorted(contents.items()):
        whole.update(f"{name} {len(content)} ".encode() + content)
    return whole.hexdigest()


def _unit_of(units: Units) -> LengthUnit:
    return "in" if units == Units.IMPERIAL else "cm"
