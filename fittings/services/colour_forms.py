"""What colour and tone ask: a formula line by line, the developer, how long, where, and what the rules must know."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from django import forms

from clients.models import Product
from fittings.consult.fields import ChoiceField
from fittings.models import Service
from fittings.services.details import ALONG_WORDS, MOST_LINES, Colouring, Details
from fittings.services.developer import USUAL_PERCENT, format_strength
from fittings.services.fields import (
    NOT_KNOWN,
    PartsField,
    StrengthField,
    asked_yes_no,
    developer_field,
    product_field,
    text_field,
    ticks,
    zones_field,
)
from fittings.services.service_form import ServiceForm
from salon.common.form_fields import WholeField

LINE = ("product", "parts", "lot")
OPEN_LINES = 2


class ColourForm(ServiceForm):
    """Only what is done needs a formula; planning needs to know only what kind of colour it will be."""

    kind = Service.Kind.COLOUR
    fact_fields = (
        "planned_colour",
        "colour_on",
        "colour_touches_base",
        "colour_touches_skin",
        "unit_strand_test",
        "unit_coloured",
        "unit_lightened_before",
    )
    detail_fields = (
        *(f"{part}_{line}" for line in range(1, MOST_LINES + 1) for part in LINE),
        "developer",
        "developer_other",
        "developer_parts",
        "developer_lot",
        "minutes",
        "zones",
        "along",
    )

    planned_colour = ChoiceField(
        label="What",
        choices=[("deposit", "Deposit-only colour"), ("oxidative", "Oxidative colour"), ("lightener", "Lightener")],
        unasked=NOT_KNOWN,
    )
    colour_on = ChoiceField(
        label="On what",
        choices=[
            ("piece detached", "The piece, off the head"),
            ("piece worn", "The piece, worn"),
            ("own hair", "Her own hair"),
        ],
        unasked=NOT_KNOWN,
    )
    colour_touches_base = asked_yes_no("It touches knots, lace or polyurethane")
    colour_touches_skin = asked_yes_no("It touches her skin")
    unit_strand_test = asked_yes_no("A strand of this very piece was tested")
    unit_coloured = asked_yes_no("This piece was coloured before")
    unit_lightened_before = asked_yes_no("This piece was lightened before")
    developer = developer_field()
    developer_other = StrengthField(label="Another strength", help_text="In per cent or volumes: 4.5 %, 7 vol.")
    developer_parts = PartsField(label="Parts of developer")
    developer_lot = text_field("Lot of the developer", 40)
    minutes = WholeField(label="Minutes", low=0, high=300)
    zones = zones_field()
    along = ticks("How far along the hair", ALONG_WORDS)

    def prepare(self) -> None:
        for line in range(1, MOST_LINES + 1):
            self.fields[f"product_{line}"] = product_field(f"Product {line}")
            self.fields[f"parts_{line}"] = PartsField(label="Parts")
            self.fields[f"lot_{line}"] = text_field("Lot", 40)

    def lines(self) -> Iterator[tuple[int, dict[str, Any]]]:
        """Each line that says something, with its number."""
        for number in range(1, MOST_LINES + 1):
            said = {part: self.cleaned_data.get(f"{part}_{number}") for part in LINE}
            if any(value not in (None, "") for value in said.values()):
                yield number, {part: value for part, value in said.items() if value not in (None, "")}

    @property
    def line_rows(self) -> list[list[forms.BoundField]]:
        """The formula for the page: a row a line, those that are always open."""
        return [] if self.plans else self._rows(1, OPEN_LINES)

    @property
    def more_rows(self) -> list[list[forms.BoundField]]:
        return [] if self.plans else self._rows(OPEN_LINES + 1, MOST_LINES)

    @property
    def says_more(self) -> bool:
        """Whether the rows that are folded away say something, or something is wrong in them."""
        return any(field.value() or field.errors for row in self.more_rows for field in row)

    @property
    def asked(self) -> list[forms.BoundField]:
        """Without the formula, which stands in rows of its own."""
        rows = {field.name for row in (*self.line_rows, *self.more_rows) for field in row}
        return [field for field in super().asked if field.name not in rows]

    def _rows(self, first: int, last: int) -> list[list[forms.BoundField]]:
        return [[self[f"{part}_{line}"] for part in LINE] for line in range(first, last + 1)]

    def read_details(self) -> dict[str, Any]:
        plain = {"lines": [line for _, line in self.lines()]}
        strength = self.cleaned_data.get("developer_other")
        if strength is None and self.cleaned_data.get("developer"):
            strength = float(self.cleaned_data["developer"])
        said: dict[str, Any] = {"developer_percent": strength}
        said |= {
            name: self.cleaned_data.get(name)
            for name in ("developer_parts", "developer_lot", "minutes", "zones", "along")
        }
        return plain | {name: value for name, value in said.items() if value not in (None, "", [])}

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        if not cleaned.get("planned_colour"):
            self.add_error("planned_colour", "Choose what it is.")
        on_piece = str(cleaned.get("colour_on", "")).startswith("piece")
        if self.target and on_piece != self.target.is_piece and cleaned.get("colour_on"):
            self.add_error("colour_on", "This does not go with what it is done to, above. Choose the two alike.")
        if not self.plans:
            self._check_formula(cleaned)
        return cleaned

    def _check_formula(self, cleaned: dict[str, Any]) -> None:
        lines = list(self.lines())
        for number, line in lines:
            if "product" not in line and not self.has_error(f"product_{number}"):
                self.add_error(f"product_{number}", "Write the product of this line, or empty the line.")
            elif product := self.product_named(line.get("product", "")):
                self._check_product(f"product_{number}", product, cleaned.get("planned_colour") or "")
        if not lines and not self.has_error("product_1"):
            self.add_error("product_1", "Write at least one product, by its label.")
        if cleaned.get("developer") and cleaned.get("developer_other"):
            self.add_error("developer_other", "The developer has one strength: press it above or write it here.")

    def _check_product(self, field: str, product: Product, planned: str) -> None:
        """What the list says of a product must not be less than what the rules were asked about."""
        if product.sort == Product.Sort.LIGHTENER and planned in ("deposit", "oxidative"):
            self.add_error(field, f"{product} is a lightener; choose “Lightener” above, so that its rules are asked.")
        elif product.oxidative and planned == "deposit":
            self.add_error(
                field, f"{product} works by oxidation; choose “Oxidative colour” above, so that its rules are asked."
            )

    @classmethod
    def filled_from(cls, service: Service, details: Details) -> dict[str, Any]:
        start = super().filled_from(service, details)
        if not isinstance(details, Colouring):
            return start
        for number, line in enumerate(details.lines, start=1):
            start |= {f"{part}_{number}": getattr(line, part) for part in LINE}
        if details.developer_percent in USUAL_PERCENT:
            start["developer"] = f"{details.developer_percent:g}"
        elif details.developer_percent is not None:
            start["developer_other"] = format_strength(details.developer_percent).split(" (")[0]
        return start


class ToneForm(ColourForm):
    kind = Service.Kind.TONE

    planned_colour = ChoiceField(
        label="What",
        choices=[("deposit", "Deposit-only toner"), ("oxidative", "Toner with developer")],
        unasked=NOT_KNOWN,
    )
