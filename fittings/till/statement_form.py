"""Asks which sales a statement is of, and for the prescriber's own words; nothing typed here is kept."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django import forms
from django.utils.timezone import localtime

from clients.models import Client
from pieces.models import Sale
from salon.common.money import format_minor
from salon.common.refusing import RefusingForm, TickedRows

MOST_SALES = 20


class TickedSales(TickedRows[Sale]):
    def label_from_instance(self, obj: Any) -> str:
        return f"{localtime(obj.agreed_at):%-d %B %Y}, {format_minor(obj.total_minor, obj.currency)}, {obj.reference}"


class StatementForm(RefusingForm):
    sales = TickedSales(label="Which sales", queryset=Sale.objects.none())
    her_number = forms.CharField(
        label="Her policy or member number",
        required=False,
        max_length=60,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    prescriber = forms.CharField(
        label="Who prescribed it",
        required=False,
        max_length=160,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
        help_text="Name and practice, as on the prescription.",
    )
    wording = forms.CharField(
        label="The prescriber’s words",
        required=False,
        max_length=1200,
        widget=forms.Textarea(attrs={"rows": 3, "autocomplete": "off"}),
        help_text="Copied from the prescription, never written by the salon.",
    )
    codes = forms.CharField(
        label="The prescriber’s codes",
        required=False,
        max_length=160,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
        help_text="As on the prescription. Left empty, the paper has room to write them by hand.",
    )

    def __init__(self, data: Mapping[str, Any] | None = None, *, client: Client, sale: str = "") -> None:
        super().__init__(data)
        newest = client.sales.standing().order_by("-agreed_at", "-pk").values_list("pk", flat=True)[:MOST_SALES]
        ticked = self.fields["sales"]
        ticked.queryset = Sale.objects.filter(pk__in=list(newest)).with_money()  # type: ignore[attr-defined]  # a TickedSales
        ticked.initial = list(Sale.objects.filter(pk__in=list(newest), reference=sale).values_list("pk", flat=True))
        ticked.required = True
        ticked.error_messages["required"] = "Tick the sales that the statement is of."
