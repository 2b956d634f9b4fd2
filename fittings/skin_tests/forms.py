"""Asks what was put on her skin, what was seen there, and why a test is struck out; the deeds say what may be kept."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Layout, Row, Submit
from django import forms
from django.core.exceptions import ValidationError

from clients.forms import Refusable
from clients.models import Client, Product, SkinTest
from clients.models.health import SkinTestKind
from clients.skin_testing import KIND_OF_TEST, apply_skin_test, read_skin_test, strike_out_skin_test
from salon.models import User

MOMENT = forms.DateTimeInput(attrs={"type": "datetime-local", "step": 60}, format="%Y-%m-%dT%H:%M")


class SkinTestForm(Refusable, forms.Form):
    """A product of the salon's list, or another by its label. One of the list knows itself what its test is for."""

    listed = forms.ModelChoiceField(
        label="Product", queryset=Product.objects.none(), required=False, empty_label="Another, not on the list"
    )
    product = forms.CharField(
        label="Another product", max_length=120, required=False, help_text="Not on the list: as its label says."
    )
    kind = forms.ChoiceField(
        label="What another product is for", choices=SkinTestKind.choices, widget=forms.RadioSelect, required=False
    )
    lot = forms.CharField(label="Lot number", max_length=40, required=False)
    applied_at = forms.DateTimeField(
        label="Applied, if not just now",
        required=False,
        input_formats=["%Y-%m-%dT%H:%M", "%Y-%m-%dT%H:%M:%S"],
        widget=MOMENT,
        help_text="Empty: just now. At most seven days back.",
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        tested = Product.objects.in_use().filter(sort__in=KIND_OF_TEST)
        self.fields["listed"].queryset = tested  # type: ignore[attr-defined]  # a ModelChoiceField
        self.helper = FormHelper()
        first: list[Any] = [Row("listed", "lot"), "product"]
        if not tested.exists():
            del self.fields["listed"]
            self.fields["product"].label, self.fields["product"].help_text = "Product", "As its label says."
            self.fields["kind"].label = "What for"
            first = [Row("product", "lot")]
        self.helper.layout = Layout(*first, "kind", "applied_at", Submit("apply", "Write down"))

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        listed, written = cleaned.get("listed"), cleaned.get("product")
        if listed and written:
            self.add_error("product", f"Either {listed} from the list or another: clear one of the two.")
        if not listed and not {"listed", "product"} & set(self.errors):
            if not written:
                self.add_error("listed" if "listed" in self.fields else "product", "Say which product it is.")
            if not cleaned.get("kind") and "kind" not in self.errors:
                self.add_error("kind", "Say what it is for.")
        return cleaned

    def apply(self, client: Client, *, by: User, at: datetime) -> SkinTest | None:
        """Record it, or put the reason on the form and return None."""
        said = self.cleaned_data
        listed = said.get("listed")
        try:
            return apply_skin_test(
                client=client,
                kind="" if listed else said["kind"],  # a tick left over from another product says nothing of this one
                product=listed or said["product"],
                lot=said["lot"],
                applied_at=said["applied_at"],
                by=by,
                at=at,
            )
        except ValidationError as refusal:
            self.refuse(refusal)
            return None


class SkinTestReadingForm(Refusable, forms.Form):
    """Asks what was seen where the product was."""

    reacted = forms.TypedChoiceField(
        label="What is seen?",
        choices=[("no", "No reaction"), ("yes", "A reaction")],
        coerce=lambda answer: answer == "yes",
        error_messages={"required": "Choose “No reaction” or “A reaction”."},
    )

    def read(self, test: SkinTest, *, by: User, at: datetime) -> SkinTest | None:
        """Record it, or put the reason on the form and return None."""
        try:
            return read_skin_test(test=test, reacted=self.cleaned_data["reacted"], by=by, at=at)
        except ValidationError as refusal:
            self.refuse(refusal)
            return None


class StrikeOutForm(Refusable, forms.Form):
    because = forms.CharField(
        label="Why it is struck out", max_length=240, help_text="Such as: another client’s, or the product is wrong."
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = FormHelper()
        self.helper.layout = Layout("because", Submit("strike-out", "Strike it out"))

    def strike_out(self, test: SkinTest, *, by: User, at: datetime) -> SkinTest | None:
        try:
            return strike_out_skin_test(test=test, because=self.cleaned_data["because"], by=by, at=at)
        except ValidationError as refusal:
            self.refuse(refusal)
            return None
