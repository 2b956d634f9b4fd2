"""Asks for one signature, typed or drawn: hers, or her guardian's when she is under age."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from clients.consenting import full_name, give_consent, is_under_age
from clients.forms import Refusable
from clients.models import Client, Consent
from clients.models.consent import ConsentKind
from clients.signatures import Strokes, read_strokes
from salon.models import Salon, User


class ConsentForm(Refusable, forms.Form):
    """One consent; drawn or not, the name is typed too, so that it can be read."""

    kind = forms.ChoiceField(choices=ConsentKind.choices, widget=forms.HiddenInput)
    signed_name = forms.CharField(max_length=120)
    signature = forms.CharField(required=False, widget=forms.HiddenInput)

    def __init__(self, data: Any = None, *, kind: str, client: Client, salon: Salon, at: datetime) -> None:
        super().__init__(data, initial={"kind": kind}, auto_id=f"id_{kind}_%s")
        self.client, self.at = client, at
        self.guardian_signs = is_under_age(client, salon, at)
        name = self.fields["signed_name"]
        name.widget.attrs |= {"autocomplete": "off"} | ({"autofocus": True} if self.is_bound else {})
        if self.guardian_signs:
            name.label = "Guardian's name, typed by the guardian as a signature"
            on_file = f" On file: {client.guardian_name}." if client.guardian_name else ""
            name.help_text = f"{full_name(client)} is under {salon.age_of_consent}, so her guardian signs.{on_file}"
        else:
            name.label = "Her name, typed by her as a signature"

    def clean_signature(self) -> Strokes:
        return read_strokes(self.cleaned_data["signature"])

    @property
    def strokes_sent(self) -> str:
        """What was drawn, to be drawn again on a page that refuses; nothing when it can't be a signature."""
        return "" if "signature" in self.errors else str(self["signature"].value() or "")

    def sign(self, *, by: User) -> Consent | None:
        """Store the consent, or put the reason on the form and return None."""
        name = self.cleaned_data["signed_name"]
        try:
            return give_consent(
                client=self.client,
                kind=self.cleaned_data["kind"],
                signed_name=name,
                guardian_name=name if self.guardian_signs else "",
                signature=self.cleaned_data["signature"],
                by=by,
                at=self.at,
            )
        except ValidationError as refusal:
            self.refuse(refusal)
            return None
