"""Asks for which of a client's visits a unit is set aside; whether it may be is `pieces.stock`'s to say."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from crispy_forms.layout import Layout, Submit
from django import forms
from django.core.exceptions import ValidationError
from django.utils.timezone import localdate

from clients.models import Client
from fittings.desk.told import moment_told
from fittings.models import Appointment, Fitting
from pieces.models import Unit
from pieces.stock import reserve_unit
from salon.common.refusing import RefusingForm
from salon.models import User

VISITS_AT_MOST = 12
NO_VISIT = ("", "For her, and no visit in particular")


class SetAsideForm(RefusingForm):
    """Nothing is asked where nobody's name is given, or where she has no visit to come."""

    visit = forms.ChoiceField(
        label="For which visit",
        required=False,
        widget=forms.RadioSelect,
        error_messages={"invalid_choice": "This is no visit of hers that is still to come. Choose again."},
    )

    def __init__(self, data: Any = None, *, client: Client | None, reader: User, at: datetime) -> None:
        super().__init__(data, initial={"visit": ""})
        self.client = client
        visits = _visits_of(client, reader, at) if client else []
        self.fields["visit"].choices = [NO_VISIT, *visits]  # type: ignore[attr-defined]  # a ChoiceField
        if not visits:
            self.fields["visit"].widget = forms.HiddenInput()
        self.helper.layout = Layout("visit", Submit("aside", "Set it aside"))

    def set_aside(self, unit: Unit, *, by: User, at: datetime) -> Unit | None:
        """Set it aside, or put the reason why not on the form and return None."""
        try:
            return reserve_unit(unit=unit, client=self.client, visit=self.cleaned_data["visit"], by=by, at=at)
        except ValidationError as refusal:
            self.refuse(refusal)
            return None


def _visits_of(client: Client, reader: User, at: datetime) -> list[tuple[str, str]]:
    """Her visit that is open, where the reader may see it, and those she is booked for, by their references."""
    open_ones: list[tuple[str, str]] = []
    if reader.has_perm("fittings.view_fitting"):
        begun = Fitting.objects.open().filter(client=client)[:VISITS_AT_MOST]
        open_ones = [(visit.reference, f"Her visit that began {moment_told(visit.began_at)}") for visit in begun]
    booked = Appointment.objects.standing().filter(
        client=client, starts_at__date__gte=localdate(at), closed_at__isnull=True
    )
    booked = booked.select_related("kind").order_by("starts_at")
    return open_ones + [
        (visit.reference, f"{visit.kind}, {moment_told(visit.starts_at)}") for visit in booked[:VISITS_AT_MOST]
    ]
