"""Asks which piece becomes hers: a unit of the salon's, or one she brought, chosen from the catalogue."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import Q

from clients.models import Client
from fittings.choosing.forms import RefusableForm
from fittings.consult.fields import ChoiceField
from fittings.models import Candidate, OwnedPiece, TryOn
from fittings.owned.finding import unit_number
from fittings.owning import give_piece, take_in_brought
from pieces.models import Unit, Variant
from pieces.stock import IN_STOCK
from salon.common.refusing import DATE
from salon.models import User

MOST_FOUND = 30
MOST_AT_HAND = 12


def chosen_of(client: Client) -> list[Candidate]:
    """What she chose in her visits and does not own yet, the newest first."""
    chosen = Candidate.objects.filter(
        fitting__client=client, try_ons__outcome__in=[TryOn.Outcome.CHOSEN, TryOn.Outcome.SECOND]
    )
    return list(chosen.filter(owned_pieces__isnull=True).distinct().order_by("-pk")[:MOST_AT_HAND])


def units_at_hand(client: Client) -> list[Unit]:
    """Units in stock of what she chose; those she tried on come first."""
    units = Unit.objects.filter(state__in=IN_STOCK, variant__in=[one.variant_id for one in chosen_of(client)])
    tried = set(TryOn.objects.filter(fitting__client=client, unit__isnull=False).values_list("unit", flat=True))
    found = units.select_related("variant__piece", "variant__shade").order_by("-state", "number")
    return sorted(found, key=lambda unit: unit.pk not in tried)[:MOST_AT_HAND]


class FromStockForm(RefusableForm):
    """A unit of the salon's: one press for what she chose, or its number for any other."""

    unit = ChoiceField(label="Which unit", choices=(), unasked="Another one")
    number = forms.CharField(
        label="Number of another unit",
        required=False,
        max_length=16,
        widget=forms.TextInput(attrs={"autocomplete": "off", "autocapitalize": "characters"}),
        help_text="It stands on the unit’s label and begins with U-.",
    )
    since = forms.DateField(label="Hers since", widget=DATE)

    def __init__(self, data: Any = None, *, client: Client, today: date, unit: str = "") -> None:
        self.client, self.at_hand = client, units_at_hand(client)
        first = unit or (self.at_hand[0].number if len(self.at_hand) == 1 else "")
        super().__init__(data, initial={"since": today, "unit": first}, auto_id="id_stock_%s")
        self.fields["unit"].choices = [  # type: ignore[attr-defined]  # a ChoiceField
            ("", "Another one"),
            *((one.number, f"{one.variant.piece}, {one.variant.shade}: {one.number}") for one in self.at_hand),
        ]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        typed, pressed = unit_number(cleaned.get("number", "")), cleaned.get("unit", "")
        if typed and pressed and typed != pressed:
            self.add_error("number", f"Unit {pressed} is pressed and {typed} is written: keep one of the two.")
        elif not (typed or pressed) and not self.errors:
            self.add_error("number", "Press the unit she takes, or write its number.")
        elif number := typed or pressed:
            cleaned["taken"] = Unit.objects.filter(number=number).select_related("variant__piece__base").first()
            if cleaned["taken"] is None:
                self.add_error("number", f"There is no unit {number}. Its number stands on its label.")
        return cleaned

    def give(self, *, by: User, at: datetime) -> OwnedPiece | None:
        unit = self.cleaned_data["taken"]
        candidate = next((one for one in chosen_of(self.client) if one.variant_id == unit.variant_id), None)
        try:
            return give_piece(
                client=self.client, unit=unit, since=self.cleaned_data["since"], by=by, at=at, candidate=candidate
            )
        except ValidationError as refusal:
            self.refuse(refusal)
            return None


class FindVariantForm(forms.Form):
    """Narrows the catalogue to a few lengths and shades."""

    q = forms.CharField(
        label="Find it in the catalogue",
        required=False,
        max_length=80,
        widget=forms.TextInput(attrs={"type": "search", "autocomplete": "off"}),
        help_text="Words of the piece, its maker, its base or its shade.",
    )

    def found(self) -> list[Variant]:
        """At most one more than are shown, so that the page can say that there are more."""
        words = self.cleaned_data["q"].split() if self.is_valid() else []
        if not words:
            return []
        variants = Variant.objects.select_related("piece__base__maker", "shade")
        for word in words:
            named = Q(piece__name__icontains=word) | Q(piece__base__maker__name__icontains=word)
            variants = variants.filter(
                named
                | Q(piece__base__name__icontains=word)
                | Q(shade__name__icontains=word)
                | Q(shade__code__icontains=word)
            )
        return list(variants[: MOST_FOUND + 1])


class BroughtForm(RefusableForm):
    """A piece she brought: which one of the catalogue's it is, and since when she has it."""

    variant = forms.ModelChoiceField(
        queryset=Variant.objects.select_related("piece__base"),
        error_messages=dict.fromkeys(
            ("required", "invalid_choice"), "Find the piece she brought in the catalogue and press it."
        ),
    )
    since = forms.DateField(label="Hers since", widget=DATE, help_text="About when is enough.")

    def __init__(self, data: Any = None, *, client: Client, today: date) -> None:
        super().__init__(data, initial={"since": today}, auto_id="id_brought_%s")
        self.client = client

    def take_in(self, *, by: User, at: datetime) -> OwnedPiece | None:
        try:
            return take_in_brought(
                client=self.client,
                variant=self.cleaned_data["variant"],
                since=self.cleaned_data["since"],
                by=by,
                at=at,
            )
        except ValidationError as refusal:
            self.refuse(refusal)
            return None
