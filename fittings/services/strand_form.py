"""Asks which product was tried on a strand, and how the strand took it."""

from __future__ import annotations

import uuid
from datetime import datetime
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from clients.models import PhotoSet
from fittings.choosing.forms import RefusableForm
from fittings.models import Fitting, OwnedPiece, StrandTest
from fittings.services.fields import once_field, product_field, text_field
from fittings.serving import record_strand_test
from salon.common.form_fields import WholeField
from salon.models import User

SEEN = ("Colour as wished", "Lighter than wished", "Darker than wished", "Brittle or stretchy", "Nothing changed")


class StrandTestForm(RefusableForm):
    product = product_field("Product, by its label")
    lot = text_field("Lot", 40)
    minutes = WholeField(label="Minutes", low=0, high=300)
    held = forms.ChoiceField(
        label="How the strand took it",
        choices=[("yes", "Well"), ("no", "Not well")],
        widget=forms.RadioSelect,
        error_messages=dict.fromkeys(("required", "invalid_choice"), "Press how the strand took it."),
    )
    seen = forms.CharField(
        label="What was seen by daylight",
        max_length=240,
        widget=forms.TextInput(attrs={"autocomplete": "off", "list": "seen"}),
        error_messages={"required": "Write what was seen: the colour, and how the hair feels."},
    )
    photo_set = forms.ModelChoiceField(
        label="Photos", queryset=PhotoSet.objects.none(), required=False, empty_label="None"
    )
    once = once_field()

    def __init__(self, data: Any, *, owned: OwnedPiece, visit: Fitting | None, user: User) -> None:
        super().__init__(data, initial={"once": uuid.uuid4()})
        self.owned, self.visit = owned, visit
        self.fields["product"].required = True
        self.fields["product"].error_messages["required"] = "Write which product was tried, by its label."
        sets = PhotoSet.objects.filter(client=owned.client_id) if user.has_perm("clients.view_photo") else None
        if sets:
            self.fields["photo_set"].queryset = sets  # type: ignore[attr-defined]  # a ModelChoiceField
        else:
            del self.fields["photo_set"]

    seen_before = SEEN

    @property
    def asked(self) -> list[forms.BoundField]:
        return [field for field in self if field.name != "once"]

    def keep(self, *, by: User, at: datetime) -> StrandTest | None:
        """Keep it, or put the reasons on the form and return None."""
        said = self.cleaned_data
        try:
            return record_strand_test(
                unit=self.owned.unit,
                product=said["product"],
                lot=said["lot"],
                minutes=said["minutes"],
                held=said["held"] == "yes",
                seen=said["seen"],
                fitting=self.visit,
                photo_set=said.get("photo_set"),
                once=said["once"],
                by=by,
                at=at,
            )
        except ValidationError as refusal:
            self.refuse(refusal)
            return None
