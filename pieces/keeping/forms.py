"""Asks for a maker, a piece, a shade, a variant, a picture, and the day from which something can't be had any more."""

from __future__ import annotations

import uuid
from datetime import datetime
from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Fieldset, Layout, Row, Submit
from django import forms
from django.core.exceptions import ValidationError
from django.forms.models import fields_for_model

from pieces.catalogue import cells
from pieces.catalogue.agreement import LAB_COLUMNS
from pieces.keeping.form import CHOOSE, CellField, KeepingForm
from pieces.keeping_catalogue import (
    add_maker,
    add_piece,
    add_shade,
    add_variant,
    change_maker,
    change_piece,
    change_shade,
    change_variant,
    discontinue,
)
from pieces.keeping_pictures import take_piece_picture
from pieces.models import Base, Maker, Piece, PiecePicture, Shade, Variant
from salon.common.form_fields import LengthField, MoneyField, say_what_is_wanted
from salon.common.money import format_minor
from salon.common.refusing import DATE
from salon.models import Salon, User

ZONES = {"root": "Root", "mid": "Mid-length", "ends": "Ends"}


class MakerForm(KeepingForm):
    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields.update(
            fields_for_model(
                Maker,
                fields=["name", "note"],
                help_texts={"note": "For the salon alone, such as whom to ring and how long an order takes."},
            )
        )
        self.begin()
        self.lay_out("name", "note")

    def keep(self, *, by: User) -> Maker | None:
        """Add or change it, or put the reason on the form and return None."""
        try:
            if self.row is None:
                return add_maker(by=by, **self.asked())
            return change_maker(maker=self.row, by=by, shown=self.version, **self.asked())
        except ValidationError as refusal:
            self.refuse(refusal)
            return None


class PieceForm(KeepingForm):
    model = Piece
    beside = {
        "piece_name_once_on_a_base": "name",
        "piece_rated_only_if_it_takes_heat": "rated_c",
        "piece_blend_names_its_synthetic_part": "synthetic_part",
        "piece_colourable_only_with_human_hair": "colourable",
    }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        plain = ["base", "name", "fibre", "texture", "density", "synthetic_part", "colourable"]
        self.fields.update(
            fields_for_model(Piece, fields=plain, help_texts={"synthetic_part": "Of a blend only.", "colourable": ""})
        )
        self.fields["base"].queryset = Base.objects.select_related("maker")  # type: ignore[attr-defined]  # a ModelChoiceField
        self.say_empty(base=CHOOSE, fibre=CHOOSE, texture=CHOOSE, synthetic_part="None", colourable="Not stated")
        temperature = cells.temperature(60, 230)
        self.fields["rated_c"] = CellField(
            temperature,
            label="Takes tools up to",
            help_text="Of heat-friendly fibre, and the maker's own figure: 160 °C or 320 °F. Empty: the maker gives "
            "none, and no heat is advised.",
        )
        self.fields["curl_set_c"] = CellField(
            temperature, label="Curl set at", help_text="If the maker says so: 110 °C or 230 °F."
        )
        self.begin()
        self.lay_out(
            Row("name", "base"),
            Row("fibre", "synthetic_part"),
            Row("texture", "density"),
            Fieldset("What the maker says it takes", Row("rated_c", "curl_set_c"), "colourable"),
        )

    def keep(self, *, by: User) -> Piece | None:
        """Add or change it, or put the reason on the form and return None."""
        try:
            if self.row is None:
                return add_piece(by=by, **self.asked())
            return change_piece(piece=self.row, by=by, shown=self.version, **self.asked())
        except ValidationError as refusal:
            self.refuse(refusal)
            return None


class ShadeForm(KeepingForm):
    model = Shade
    beside = {"shade_code_once_for_a_maker": "code", "shade_measured_whole_or_not_at_all": "method"}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields.update(
            fields_for_model(
                Shade,
                fields=["maker", "code", "name", "method"],
                help_texts={
                    "code": "Written on the ring and in every list, such as walnut-husk.",
                    "method": "Photos of the ring may read it all the same.",
                },
            )
        )
        self.say_empty(maker=CHOOSE, method="By no instrument")
        for column in LAB_COLUMNS:
            low, high = (0, 100) if column.endswith("_l") else (-128, 127)
            zone, axis = column.split("_")
            label = f"{ZONES[zone]} {axis.upper() if axis == 'l' else axis}*"
            self.fields[column] = CellField(cells.number(low, high), label=label)
        self.begin()
        zones = [Row(*(f"{zone}_{axis}" for axis in "lab"), css_class="three") for zone in ZONES]
        self.lay_out(
            Row("maker", "code", "name"), Fieldset("What an instrument measured (D65, 2° observer)", "method", *zones)
        )

    def keep(self, *, by: User) -> Shade | None:
        """Add or change it, or put the reason on the form and return None."""
        try:
            if self.row is None:
                return add_shade(by=by, **self.asked())
            return change_shade(shade=self.row, by=by, shown=self.version, **self.asked())
        except ValidationError as refusal:
            self.refuse(refusal)
            return None


class VariantForm(KeepingForm):
    """Prices are in the salon's currency; one kept in another that the salon used before is asked for anew."""

    model = Variant
    beside = {"variant_once_of_piece_shade_length": "length_mm"}

    shade = forms.ModelChoiceField(label="Shade", queryset=Shade.objects.none(), empty_label=CHOOSE)
    length_mm = LengthField(label="Length of its hair", low_mm=20, high_mm=1200, noun="a length of hair", whole_mm=True)
    price_minor = MoneyField(label="Price", help_text="What a client pays.")
    cost_minor = MoneyField(label="Cost to us", help_text="Empty: not known.")
    discontinued_on = forms.DateField(
        label="Can't be had since", required=False, widget=DATE, help_text="Empty it to offer it again."
    )

    def __init__(self, *args: Any, piece: Piece, salon: Salon, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.piece, self.currency = piece, salon.currency
        of_its_maker = Shade.objects.filter(maker=piece.base.maker).order_by("code")
        self.fields["shade"].queryset = of_its_maker  # type: ignore[attr-defined]  # a ModelChoiceField
        for name in ("price_minor", "cost_minor"):
            self.fields[name].currency = self.currency  # type: ignore[attr-defined]  # a MoneyField
        is_discontinued = self.row is not None and self.row.discontinued_on is not None
        if not is_discontinued:
            del self.fields["discontinued_on"]
        self.begin("length_mm", "price_minor")
        if self.row is not None and self.row.currency != self.currency:
            self.initial = {**self.initial, "price_minor": None, "cost_minor": None}
            was = format_minor(self.row.price_minor, self.row.currency)
            self.fields["price_minor"].help_text = f"So far {was}. Write it in {self.currency}."
        self.lay_out(
            Row("shade", "length_mm"),
            Row("price_minor", "cost_minor"),
            *(["discontinued_on"] if is_discontinued else []),
        )

    def keep(self, *, by: User) -> Variant | None:
        """Add or change it, or put the reason on the form and return None."""
        asked = self.asked() | {"currency": self.currency}
        try:
            if self.row is None:
                return add_variant(piece=self.piece, by=by, **asked)
            return change_variant(variant=self.row, by=by, shown=self.version, **asked)
        except ValidationError as refusal:
            self.refuse(refusal)
            return None


class DiscontinueForm(forms.Form):
    on = forms.DateField(
        label="Can't be had since",
        widget=DATE,
        error_messages=dict.fromkeys(("required", "invalid"), "Write the day from which it can't be had any more."),
    )

    def discontinue(self, of: Piece | Variant, *, by: User) -> list[Variant] | None:
        """Discontinue it, or put the reason on the form and return None."""
        try:
            return discontinue(of=of, on=self.cleaned_data["on"], by=by)
        except ValidationError as refusal:
            self.add_error("on", refusal.messages)
            return None


class PictureForm(forms.Form):
    """Asks for one picture of a piece; whether it can be taken in is `keeping_pictures`' to say."""

    file = forms.FileField(
        label="Picture",
        error_messages={"required": "Take or choose a picture first.", "empty": "This file is empty. Choose another."},
        widget=forms.FileInput(attrs={"accept": "image/*,.heic,.heif"}),
    )
    shows = forms.CharField(
        label="What it shows",
        max_length=120,
        help_text="Read out to those who can't see it, such as “From the front, on a stand”.",
    )
    upload_key = forms.UUIDField(
        widget=forms.HiddenInput, error_messages=dict.fromkeys(("required", "invalid"), "Load this page again.")
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.initial["upload_key"] = uuid.uuid4()
        say_what_is_wanted(self.fields)
        self.helper = FormHelper()
        self.helper.layout = Layout("upload_key", "file", "shows", Submit("add", "Add the picture"))

    def take(self, piece: Piece, *, by: User, at: datetime) -> PiecePicture | None:
        """Take it in, or put the reason on the form and return None."""
        file, asked = self.cleaned_data["file"], self.cleaned_data
        try:
            return take_piece_picture(
                piece=piece,
                shows=asked["shows"],
                file=file.file,
                size=file.size,
                upload_key=asked["upload_key"],
                by=by,
                at=at,
            )
        except ValidationError as refusal:
            self.add_error("file", refusal.messages)
            return None
