"""Asks who the client is; what may be kept is for the deeds to say."""

from __future__ import annotations

from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Div, Layout, Row
from django import forms
from django.core.exceptions import NON_FIELD_ERRORS, ValidationError
from django.urls import reverse_lazy
from django.utils.safestring import mark_safe

from clients.likely_same import Likeness, likely_the_same
from clients.models import Client
from clients.registering import ClientFields, change_client, register_client
from salon.models import User


class Refusable(forms.BaseForm):
    """A form that a deed may refuse."""

    def refuse(self, refusal: ValidationError) -> None:
        """Put the deed's reason beside the field it is about, or above the form when it has no such field."""
        for field, reasons in getattr(refusal, "message_dict", {NON_FIELD_ERRORS: refusal.messages}).items():
            self.add_error(field if field in self.fields else None, reasons)


MORE = ("preferred_name", "born_on", "guardian_name", "private_note")


def names_typed(typed: str) -> dict[str, str]:
    """What was looked for in vain, put where it belongs: an address, a number, or her names."""
    typed = " ".join(typed.split())
    if "@" in typed:
        return {"email": typed}
    if any(c.isalpha() for c in typed):
        given, _, family = typed.partition(" ")
        return {"given_name": given, "family_name": family}
    return {"phone": typed}


class ClientForm(Refusable, forms.ModelForm[Client]):
    """One short form for a new client and for changing one."""

    class Meta:
        model = Client
        fields = [
            "given_name",
            "family_name",
            "preferred_name",
            "phone",
            "email",
            "born_on",
            "guardian_name",
            "private_note",
        ]
        widgets = {
            "phone": forms.TextInput(attrs={"type": "tel"}),
            "born_on": forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
            "private_note": forms.Textarea(attrs={"rows": 3}),
        }
        labels = {"preferred_name": "Likes to be called", "email": "E-mail", "guardian_name": "Guardian"}
        help_texts = {
            "phone": mark_safe('<span id="phone-said" aria-live="polite">As she says it.</span>'),  # our own words
            "preferred_name": "Only if it is not her given name.",
            "guardian_name": "Only for a client under age: who signs for her.",
            "private_note": "For the salon alone: never shown while the screen is turned to the client, never printed. "
            "What concerns her health belongs in an assessment.",
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in self.fields:  # nobody else's browser should offer the last client's details
            self.fields[name].widget.attrs["autocomplete"] = "off"
        self.fields["phone"].widget.attrs |= {
            "hx-get": reverse_lazy("client-phone"),
            "hx-trigger": "input delay:300ms",
            "hx-target": "#phone-said",
            "hx-sync": "this:replace",
        }
        self.helper = FormHelper()
        self.helper.form_tag = False
        self.helper.layout = Layout(Row("given_name", "family_name"), Row("phone", "email"))
        if more := [name for name in MORE if name in self.fields]:
            self.helper.layout.append(self._more(more))

    def _more(self, names: list[str]) -> Div:
        """What can wait, folded away unless something in it is filled in or refused."""
        private = [Div(name, css_class="salon-only") for name in names if name == "private_note"]
        more = Div(Row(*(name for name in names if name != "private_note")), *private, template="clients/_more.html")
        more.is_open = any(self[name].value() or self[name].errors for name in names)
        return more

    def likely_the_same(self) -> list[Client]:
        """Clients already registered who may be her."""
        return [likeness.client for likeness in self.likenesses()]

    def likenesses(self) -> list[Likeness]:
        """The same, each with what speaks for it."""
        asked = ("given_name", "family_name", "phone", "email", "born_on")
        return likely_the_same(**{name: self.cleaned_data[name] for name in asked if name in self.fields})

    def register(self, *, by: User) -> Client | None:
        """Begin her record, or put the reason on the form and return None."""
        try:
            return register_client(**self._typed(), by=by)
        except ValidationError as refusal:
            self.refuse(refusal)
            return None

    def change(self, client: Client, *, by: User) -> Client | None:
        try:
            return change_client(client=client, by=by, **self._typed())
        except ValidationError as refusal:
            self.refuse(refusal)
            return None

    def _typed(self) -> ClientFields:
        return {name: self.cleaned_data[name] for name in self.fields}  # type: ignore[return-value]  # Meta names them
