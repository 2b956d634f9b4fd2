"""Asks which head is painted twice, and takes one painting of it."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.formats import date_format
from django.utils.timezone import localtime

from clients.models import Assessment, Repainting
from clients.models.assessment import NO_LOSS_HEX
from clients.repainting import begin_repainting, keep_painting, painted_lately
from clients.scalp.patterns import PATTERNS
from fittings.consult.map_form import MapForm
from salon.common.lengths import LengthUnit
from salon.models import User


class WhoseHeadForm(forms.Form):
    """One choice of all heads there are: an example, or a client whose map the same hand has just painted."""

    whose = forms.ChoiceField(
        label="Whose head",
        error_messages=dict.fromkeys(
            ("required", "invalid_choice"), "Choose the head to paint: an example, or a client you have examined."
        ),
    )

    def __init__(self, data: Any = None, *, by: User, at: datetime) -> None:
        super().__init__(data)
        self.by, self.at = by, at
        self.clients = {assessment.reference: assessment for assessment in painted_lately(by=by, at=at)}
        examples = [(pattern.key, pattern.label) for pattern in PATTERNS]
        self.fields["whose"].choices = [  # type: ignore[attr-defined]  # a ChoiceField has them
            ("An example, shown as a picture", examples),
            *(
                [("In the chair now", [(key, _whose(one)) for key, one in self.clients.items()])]
                if self.clients
                else []
            ),
        ]

    def begin(self) -> Repainting | None:
        """Begin it, or put the reason on the form and return None."""
        whose = self.cleaned_data["whose"]
        assessment = self.clients.get(whose)
        try:
            return begin_repainting(
                by=self.by,
                at=self.at,
                pattern="" if assessment else whose,
                assessment=assessment and _whole(assessment),
            )
        except ValidationError as refusal:
            self.add_error("whose", refusal.messages)
            return None


class PaintingForm(MapForm):
    """A sheet to paint one head on, as the examination's map is painted; it belongs to no assessment and starts with a
    full head of hair, so that the second painting has seen nothing of the first."""

    def __init__(self, data: Any = None, *, repainting: Repainting, unit: LengthUnit, currency: str) -> None:
        self.repainting = repainting
        tapes = repainting.assessment.tapes() if repainting.assessment else {}
        sheet = Assessment(density_hex=NO_LOSS_HEX, **tapes)
        super().__init__(data, assessment=sheet, unit=unit, currency=currency)
        for name in ("revision", "base"):  # nobody else writes on this sheet
            del self.fields[name]

    def store(self, *, by: User, at: datetime) -> Repainting | None:
        """Store the painting, or put the reason on the form and return None."""
        try:
            return keep_painting(repainting=self.repainting, density_hex=self.cleaned_data["density_hex"], by=by, at=at)
        except ValidationError as refusal:
            for sentence in refusal.messages:
                self.add_error(None, sentence)
            return None

    @property
    def refusals(self) -> list[str]:
        """All that was wrong: a zone's also stands beside it, but on a phone far below where the page begins."""
        return [
            f"{self.fields[name].label}: {sentence}" if name.startswith("zone_") else str(sentence)
            for name, sentences in self.errors.items()
            for sentence in sentences
        ]


def _whose(assessment: Assessment) -> str:
    signed = "" if assessment.signed_at is None else date_format(localtime(assessment.signed_at), "j F")
    return f"{assessment.client}, examined on {signed}"


def _whole(assessment: Assessment) -> Assessment:
    """With its map, which the list of choices leaves in the database."""
    return Assessment.objects.select_related("client").get(pk=assessment.pk)
