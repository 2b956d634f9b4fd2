"""A sale that is being put together: its lines, each with its price, discount and tax, and what they come to.

Nothing is kept until it is agreed: the page sends all lines back with every press. What a sale may be is for
`pieces.selling` to say.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from clients.models import Client
from fittings.selling_home import measured_for
from fittings.till.finding import Thing
from pieces.models import TaxRate
from pieces.reckoning import Reckoned, percent, reckon
from pieces.selling import LineAsked, Measured
from salon.common.form_fields import MoneyField
from salon.models import Salon

MOST_OF_ONE = 99
MOST_OF_A_LINE = 2**31 - 1  # minor units: the most a column of that kind holds


class LineForm(forms.Form):
    """One line: how many, at what price, what is taken off and why, and by which rate of tax."""

    count = forms.IntegerField(
        label="How many",
        min_value=1,
        max_value=MOST_OF_ONE,
        initial=1,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
        error_messages=dict.fromkeys(
            ("required", "invalid", "min_value", "max_value"), f"Write a whole number from 1 to {MOST_OF_ONE}."
        ),
    )
    price_minor = MoneyField(label="Price")
    discount_minor = MoneyField(label="Discount on the line")
    discount_because = forms.CharField(
        label="Why it is given", required=False, max_length=120, widget=forms.TextInput(attrs={"autocomplete": "off"})
    )
    tax_rate = forms.ChoiceField(
        label="Tax", required=False, error_messages={"invalid_choice": "Choose one of the rates that are shown."}
    )
    declared = forms.BooleanField(label="She signed the declaration that this rate asks for", required=False)
    tried_on = forms.BooleanField(label="She knows that this one was for trying on", required=False)

    def __init__(self, data: Mapping[str, Any] | None, *, thing: Thing, salon: Salon, rates: list[TaxRate]) -> None:
        super().__init__(data, prefix=thing.key)
        self.thing, self.salon = thing, salon
        for name in ("price_minor", "discount_minor"):
            self.fields[name].currency = salon.currency  # type: ignore[attr-defined]  # a MoneyField
        self.fields["price_minor"].initial = thing.price_minor
        self.rates = {str(one.pk): one for one in rates}
        self.usual = _usual(thing, rates)
        rate = self.fields["tax_rate"]
        rate.choices = [(key, rate_told(one)) for key, one in self.rates.items()]  # type: ignore[attr-defined]  # a ChoiceField
        rate.initial = str(self.usual.pk) if self.usual else None
        left_out = {
            "count": thing.service is None,
            "tried_on": not thing.is_try_on,
            "tax_rate": not rates,
            "declared": not any(one.asks_for_declaration for one in rates),
        }
        for name in (name for name, is_left_out in left_out.items() if is_left_out):
            del self.fields[name]
        self.reckoned: Reckoned | None = None
        if self.is_bound:
            self.full_clean()  # the line's head tells its total before anything asks for its errors
        else:
            self.reckoned = self._reckon({"price_minor": thing.price_minor, "tax_rate": self.usual})

    def clean_tax_rate(self) -> TaxRate | None:
        return self.rates.get(self.cleaned_data["tax_rate"], self.usual)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        if "price_minor" in cleaned and cleaned["price_minor"] is None:
            self.add_error("price_minor", "Write its price; for what costs her nothing, write 0.")
        rate = cleaned.get("tax_rate")
        if rate and rate.asks_for_declaration and not cleaned.get("declared"):
            self.add_error("declared", f"“{rate}” holds only with her own signed declaration. Ask your tax office.")
        if cleaned.get("discount_minor") and not cleaned.get("discount_because"):
            self.add_error("discount_because", "Write why a discount is given.")
        if self.thing.is_try_on and not cleaned.get("tried_on"):
            self.add_error("tried_on", "Say that she knows it, or take another unit.")
        if cleaned.get("price_minor") is not None and "count" not in self.errors:
            self.reckoned = self._reckon(cleaned)
        return cleaned

    def asked(self, client: Client) -> LineAsked:
        """The line as `agree_sale` takes it, with how the piece fitted her."""
        thing, cleaned = self.thing, self.cleaned_data
        piece = thing.unit or thing.order_line
        return LineAsked(
            unit=thing.unit,
            order_line=thing.order_line,
            service=thing.service,
            count=cleaned.get("count") or 1,
            price_minor=cleaned["price_minor"],
            discount_minor=cleaned["discount_minor"] or 0,
            discount_because=cleaned["discount_because"] if cleaned["discount_minor"] else "",
            tax_rate=cleaned.get("tax_rate"),
            declared=bool(cleaned.get("declared")),
            tried_on=bool(cleaned.get("tried_on")),
            measured=measured_for(client, piece.variant)[0] if piece else Measured(),
        )

    def _reckon(self, said: Mapping[str, Any]) -> Reckoned | None:
        if said["price_minor"] is None:
            return None
        rate = said.get("tax_rate")
        try:
            reckoned = reckon(
                price_minor=said["price_minor"],
                count=said.get("count") or 1,
                discount_minor=said.get("discount_minor") or 0,
                basis_points=rate.basis_points if rate else 0,
                prices_include_tax=self.salon.prices_include_tax,
            )
        except ValueError as refusal:
            self.add_error("discount_minor", ValidationError(str(refusal)))
            return None
        if reckoned.total_minor > MOST_OF_A_LINE:
            self.add_error("price_minor", "That is more than a sale ever comes to. Write it again.")
            return None
        return reckoned


class Basket:
    """The lines of the page; those in `kept` are read from what was sent, the others begin from the lists."""

    def __init__(
        self, shown: Iterable[Thing], *, salon: Salon, sent: Mapping[str, Any] | None = None, kept: Iterable[str] = ()
    ) -> None:
        rates, typed = list(TaxRate.objects.in_use()), set(kept)
        self.lines = [
            LineForm(sent if thing.key in typed else None, thing=thing, salon=salon, rates=rates) for thing in shown
        ]

    def is_complete(self) -> bool:
        """Whether there are lines and each was sent and is right."""
        right = [line.is_valid() for line in self.lines]  # all of them, so that each says what is wrong
        return bool(right) and all(right)

    @property
    def sums(self) -> Reckoned | None:
        """What the lines come to together; None while one can't be reckoned."""
        known = [line.reckoned for line in self.lines if not line.errors and line.reckoned]
        if len(known) < len(self.lines):
            return None
        tax, total = sum(one.tax_minor for one in known), sum(one.total_minor for one in known)
        return Reckoned(total - tax, tax, total)

    def asked(self, client: Client) -> list[LineAsked]:
        return [line.asked(client) for line in self.lines]


def rate_told(rate: TaxRate) -> str:
    """The rate with its percent, unless its name says it."""
    told = percent(rate.basis_points)
    return rate.name if told in rate.name else f"{rate.name} ({told})"


def _usual(thing: Thing, rates: list[TaxRate]) -> TaxRate | None:
    """The rate a line begins with: the service's own, or the salon's usual one."""
    own = thing.service.tax_rate if thing.service else None
    return own if own in rates else next((one for one in rates if one.is_usual), None)
