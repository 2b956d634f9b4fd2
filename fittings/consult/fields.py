"""Form fields that read what a stylist taps beside the chair: one-tap choices and ticks."""

from __future__ import annotations

from typing import Any

from crispy_forms.layout import Field as LayoutField
from django import forms


class ChoiceField(forms.TypedChoiceField):
    """One of a few, by one tap; `unasked` is the tap that says nothing, so that an answer can be taken back."""

    def __init__(self, *, choices: Any, unasked: str = "Not asked", **kwargs: Any) -> None:
        super().__init__(
            required=False,
            choices=[("", unasked), *choices],
            widget=forms.RadioSelect,
            empty_value=kwargs.pop("empty_value", ""),
            error_messages={"invalid_choice": "Choose one of those shown."},
            **kwargs,
        )


class TickField(forms.TypedMultipleChoiceField):
    """Any number of a few."""

    def __init__(self, *, choices: Any, **kwargs: Any) -> None:
        super().__init__(
            required=False,
            choices=choices,
            widget=forms.CheckboxSelectMultiple,
            error_messages={"invalid_choice": "Tick only what is shown.", "invalid_list": "Tick only what is shown."},
            **kwargs,
        )


class Pills(LayoutField):  # type: ignore[misc]  # crispy has no types
    """Lays a choice or ticks out as large pills."""

    template = "fittings/consult/_pills.html"
