"""Asks for the story, the tapes, the wishes and the signature under all of it; `clients.assessing` may refuse."""

from __future__ import annotations

from datetime import date
from typing import Any

from crispy_forms.layout import HTML, Div, Layout
from django import forms
from django.core.exceptions import ValidationError
from django.utils.formats import date_format
from django.utils.timezone import localdate, localtime

from clients.assessing import ASKED_ANEW, STORY, TAPES, WISHES, save_story, save_tapes, save_wishes
from clients.models import Assessment
from clients.models.assessment import Chemotherapy, Parting, ReferralSign, ScalpCondition, YesNo
from clients.models.health import Substance
from clients.scalp.regions import ZONES
from fittings.consult.fields import ChoiceField, Pills, TickField
from fittings.consult.step_form import StepForm
from salon.common.form_fields import LengthField, MoneyField, WholeField
from salon.models import User

_LONGEST_TEXT = 10_000


def _text(label: str, rows: int, help_text: str = "") -> forms.CharField:
    return forms.CharField(
        label=label,
        required=False,
        max_length=_LONGEST_TEXT,
        help_text=help_text,
        widget=forms.Textarea(attrs={"rows": rows}),
    )


class StoryForm(StepForm):
    """What she tells: since when, the signs with which a doctor looks first, treatment, skin, pull, reactions."""

    fields_of_assessment = STORY

    story = _text("What she tells", 5, "In her own words.")
    losing_since = forms.CharField(label="Since when", required=False, max_length=80)
    referral_signs = TickField(label="Signs with which a doctor looks first", choices=ReferralSign.choices)
    referral_signs_asked = forms.BooleanField(label="Went through the signs with her", required=False)
    chemotherapy = ChoiceField(label="Chemotherapy", choices=Chemotherapy.choices)
    chemotherapy_ended_on = forms.DateField(
        label="Last dose on",
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={"invalid": "Write a date, such as 2026-03-14."},
    )
    scalp_condition = ChoiceField(label="Scalp", choices=ScalpCondition.choices, unasked="Not looked at")
    traction_signs = ChoiceField(
        label="Broken hair, soreness or thinning where something pulled", choices=YesNo.choices, unasked="Not looked at"
    )
    traction_zones = TickField(label="Where it pulls", choices=[(zone.key, zone.label) for zone in ZONES])
    reactions = TickField(label="She reacts to", choices=Substance.choices)
    reactions_asked = forms.BooleanField(label="Asked about reactions", required=False)

    def __init__(self, data: Any = None, *, assessment: Assessment, **kwargs: Any) -> None:
        super().__init__(data, assessment=assessment, **kwargs)
        self.on_file = list(assessment.client.sensitivities.all())
        self.initial["reactions"] = [told.substance for told in self.on_file]
        if self.on_file:
            told = ", ".join(f"{one} ({date_format(one.told_on, 'j F Y')})" for one in self.on_file)
            self.fields["reactions"].help_text = f"On file: {told}."
        self._say_what_was_said_last_time()
        self.helper.layout = Layout(
            Div("story", "losing_since", css_class="card"),
            Div(
                Pills("referral_signs"),
                HTML('{% include "fittings/consult/_see_a_doctor.html" %}'),
                "referral_signs_asked",
                css_class="card",
            ),
            Div(
                Pills("chemotherapy"),
                "chemotherapy_ended_on",
                Pills("scalp_condition"),
                Pills("traction_signs"),
                Pills("traction_zones"),
                css_class="card",
            ),
            Div(Pills("reactions"), "reactions_asked", css_class="card"),
        )

    def clean_chemotherapy_ended_on(self) -> date | None:
        ended_on: date | None = self.cleaned_data["chemotherapy_ended_on"]
        if ended_on and ended_on > localdate():
            raise ValidationError("That day is still to come; with a last dose ahead, choose “Under way” or “Planned”.")
        return ended_on

    def write(self, *, revision: int, by: User, on: date) -> Assessment:
        reactions = self.cleaned_data["reactions"]
        return save_story(
            assessment=self.assessment, revision=revision, by=by, reactions=reactions, on=on, **self.answers
        )

    def _say_what_was_said_last_time(self) -> None:
        """What must be asked anew starts empty, with the last answer beside it."""
        old = self.assessment.supersedes
        if old is None or old.signed_at is None:
            return
        signed_on = date_format(localtime(old.signed_at), "j F Y")
        for name in ASKED_ANEW:
            field, before = self.fields[name], getattr(old, name)
            if not isinstance(field, forms.ChoiceField) or not before or getattr(self.assessment, name):
                continue
            labels = dict(field.choices)  # type: ignore[arg-type]  # flat pairs, as declared above
            words = ", ".join(str(labels.get(one, one)) for one in (before if isinstance(before, list) else [before]))
            field.help_text = f"On {signed_on}: {words}."


class TapesForm(StepForm):
    """The three tapes; one that is left empty is assumed, and said to be."""

    fields_of_assessment = TAPES

    circumference_mm = LengthField(label="Circumference", low_mm=400, high_mm=750, noun="a circumference")
    front_to_nape_mm = LengthField(label="Front to nape", low_mm=200, high_mm=500, noun="a front-to-nape tape")
    ear_to_ear_mm = LengthField(label="Ear to ear over the top", low_mm=200, high_mm=500, noun="an ear-to-ear tape")

    def write(self, *, revision: int, by: User, on: date) -> Assessment:
        return save_tapes(assessment=self.assessment, revision=revision, by=by, **self.answers)


class WishesForm(StepForm):
    """What she would like, as far as she has said."""

    fields_of_assessment = WISHES

    wants_heat = ChoiceField(label="Wants to style it with heat", choices=YesNo.choices)
    wants_colour = ChoiceField(label="Wants to colour it", choices=YesNo.choices)
    washes_per_month = WholeField(label="Would wash it, times a month", low=0, high=60)
    parting = ChoiceField(label="Parting", choices=Parting.choices)
    parting_offset_mm = LengthField(
        label="Parting, off the middle by", low_mm=0, high_mm=120, noun="that far off the middle", whole_mm=True
    )
    wants_fringe = ChoiceField(label="Wants a fringe", choices=YesNo.choices)
    wished_length_mm = LengthField(
        label="Length she would like", low_mm=0, high_mm=1500, noun="the length of a piece", whole_mm=True
    )
    days_per_week = ChoiceField(
        label="Would wear it, days a week",
        choices=[(day, str(day)) for day in range(1, 8)],
        coerce=int,
        empty_value=None,
    )
    worn_to_bed = ChoiceField(label="Would sleep in it", choices=YesNo.choices)
    budget_minor = MoneyField(label="Would spend up to")
    wishes = _text("In her own words", 4)

    def __init__(self, data: Any = None, **kwargs: Any) -> None:
        super().__init__(data, **kwargs)
        self.helper.layout = Layout(
            Div(
                Div("wished_length_mm", "budget_minor", css_class="row"),
                Pills("parting"),
                "parting_offset_mm",
                Pills("wants_fringe"),
                css_class="card",
            ),
            Div(
                Pills("days_per_week"),
                Pills("worn_to_bed"),
                "washes_per_month",
                Pills("wants_heat"),
                Pills("wants_colour"),
                css_class="card",
            ),
            Div("wishes", css_class="card"),
        )

    def write(self, *, revision: int, by: User, on: date) -> Assessment:
        return save_wishes(assessment=self.assessment, revision=revision, by=by, **self.answers)


class SignOffForm(forms.Form):
    """Carries the revision she has read, so that she signs what she has seen."""

    revision = forms.IntegerField(min_value=0, max_value=2**31 - 1, widget=forms.HiddenInput)
