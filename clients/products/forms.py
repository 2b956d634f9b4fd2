"""Asks what is known of a product; what may be kept is for `clients.keeping_products` to say."""

from __future__ import annotations

from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Fieldset, Layout, Row, Submit
from django import forms
from django.core.exceptions import ValidationError
from django.forms.models import fields_for_model

from clients.forms import Refusable
from clients.keeping_products import ON_LABELS, add_product, change_product
from clients.models import Product
from salon.models import User

ASKED = [
    "name",
    "sort",
    "contains_read",
    "oxidative",
    "flammable",
    "read_after_hours",
    "test_valid_days",
    "is_in_use",
]
NAMED_ONCE = "A product of that name is listed already."


class ProductForm(Refusable, forms.Form):
    contains = forms.MultipleChoiceField(
        label="Its label names",
        choices=[(substance.value, substance.label) for substance in ON_LABELS],
        widget=forms.CheckboxSelectMultiple,
        required=False,
        help_text="What clients react to. Nothing ticked, and the label read: it names none of them.",
    )

    def __init__(self, data: Any = None, *, product: Product | None = None) -> None:
        super().__init__(data)
        self.product = product
        asked = fields_for_model(
            Product,
            fields=ASKED,
            labels={"oxidative": "Works by oxidation", "contains_read": "The label was read for them"},
            help_texts={
                "name": "As on its label, with the maker’s number or shade.",
                "oxidative": "Mixed with a developer before use.",
                "read_after_hours": "As its maker says; never sooner than 48.",
                "test_valid_days": "The maker’s figure. Empty: the house rule.",
                "is_in_use": "Without a tick it is offered no longer; what was recorded of it stays.",
            },
        )
        for name in ("oxidative", "flammable"):
            asked[name] = forms.TypedChoiceField(
                label=asked[name].label,
                choices=[("", "Not known"), ("yes", "Yes"), ("no", "No")],
                coerce=lambda answer: answer == "yes",
                empty_value=None,
                required=False,
                help_text=asked[name].help_text,
            )
        asked["sort"].choices = [("", "Choose one"), *Product.Sort.choices]
        self.fields.update(asked)
        if product is None:
            del self.fields["is_in_use"]
            self.initial = {"read_after_hours": Product._meta.get_field("read_after_hours").default}
        else:
            self.initial = {name: getattr(product, name) for name in ASKED} | {"contains": product.contains}
            for name in ("oxidative", "flammable"):
                self.initial[name] = {True: "yes", False: "no", None: ""}[self.initial[name]]
        self.helper = FormHelper()
        self.helper.layout = Layout(
            Row("name", "sort"),
            Fieldset("From its label", "contains", "contains_read", Row("oxidative", "flammable")),
            Fieldset("A skin test of it", Row("read_after_hours", "test_valid_days")),
            *(["is_in_use"] if product else []),
            Submit("save", "Save" if product else "Add"),
        )

    def refuse(self, refusal: ValidationError) -> None:
        """That a name is taken is said beside the name: the constraint itself names no field."""
        about = {"name" if NAMED_ONCE in said else field: said for field, said in refusal.message_dict.items()}
        super().refuse(ValidationError(about))

    def keep(self, *, by: User) -> Product | None:
        """Add or change it, or put the reason on the form and return None."""
        try:
            if self.product is None:
                return add_product(by=by, **self.cleaned_data)
            return change_product(product=self.product, by=by, **self.cleaned_data)
        except ValidationError as refusal:
            self.refuse(refusal)
            return None
