"""Asks how a try-on went, which piece is taken, and when the client comes next; the deeds say whether it may be."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Layout
from django import forms
from django.core.exceptions import ValidationError

from fittings.choosing.owner_beside import OwnerBeside
from fittings.consult.fields import ChoiceField
from fittings.models import Candidate, Fitting, HouseRule, TryOn
from fittings.trying import decide, stops_now, units_to_put_on
from fittings.visiting import finish_visit
from pieces.models import Unit
from salon.common.form_fields import LengthField
from salon.models import Units, User


class RefusableForm(forms.Form):
    """A form that can show a deed's refusal beside the field it is about."""

    def refuse(self, refusal: ValidationError) -> None:
        for name, sentences in getattr(refusal, "message_dict", {"__all__": refusal.messages}).items():
            self.add_error(name if name in self.fields else None, ValidationError(sentences))


class TryOnForm(RefusableForm):
    """Three answers by three taps; set-back, unit and her words are there for whoever has a dry hand."""

    covers = forms.ChoiceField(label="Covers", choices=TryOn.Grade.choices, widget=forms.RadioSelect)
    sits = forms.ChoiceField(label="Sits", choices=TryOn.Grade.choices, widget=forms.RadioSelect)
    matches = forms.ChoiceField(label="Matches", choices=TryOn.Grade.choices, widget=forms.RadioSelect)
    set_back_mm = LengthField(low_mm=0, high_mm=300, noun="a set-back", whole_mm=True, label="Set-back as worn")
    unit = forms.ModelChoiceField(queryset=Unit.objects.none(), required=False, empty_label="Not noted")
    her_words = forms.CharField(
        label="What she said", required=False, max_length=2000, widget=forms.Textarea(attrs={"rows": 2})
    )

    def __init__(self, data: Any = None, *, candidate: Candidate, units: Units) -> None:
        # without the prefix a field called “matches” would hide the form element's own method of that name
        super().__init__(
            data, initial={"set_back_mm": float(candidate.set_back_mm)}, prefix="seen", auto_id=f"id_{candidate.pk}_%s"
        )
        self.fields["set_back_mm"].unit = "in" if units == Units.IMPERIAL else "cm"  # type: ignore[attr-defined]  # a LengthField
        self.fields["unit"].queryset = units_to_put_on(candidate.fitting, candidate)  # type: ignore[attr-defined]  # a ModelChoiceField
        for name in ("covers", "sits", "matches"):
            self.fields[name].error_messages["required"] = "Tap one of the three."


class DecisionForm(OwnerBeside, RefusableForm):
    """Which of the pieces tried is taken, whether a second goes with it, or why none is."""

    chosen = ChoiceField(label="She takes", choices=(), unasked="None of them")
    second = ChoiceField(label="And as the second of a pair", choices=(), unasked="No second one")
    why_chosen = forms.CharField(
        label="Why this one",
        required=False,
        max_length=1000,
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text="In her words or yours; it is printed on her summary.",
    )
    none_chosen_because = forms.CharField(label="If none: why", required=False, max_length=240)

    def __init__(self, data: Any = None, *, fitting: Fitting, request: Any) -> None:
        tried = list(fitting.try_ons.select_related("candidate__fitting"))
        # the newest look at a piece speaks for it
        self.looks = {str(look.pk): look for look in {look.candidate_id: look for look in tried}.values()}
        by_outcome = {look.outcome: look for look in tried}
        self.chosen_now = by_outcome.get(TryOn.Outcome.CHOSEN)
        second_now = by_outcome.get(TryOn.Outcome.SECOND)
        super().__init__(
            data,
            request=request,
            initial={
                "chosen": self._look_at(self.chosen_now),
                "second": self._look_at(second_now),
                "why_chosen": fitting.why_chosen,
                "none_chosen_because": fitting.none_chosen_because,
            },
        )
        self.fitting = fitting
        choices = [(key, look.candidate.name) for key, look in self.looks.items()]
        self.fields["chosen"].choices = [("", "None of them"), *choices]  # type: ignore[attr-defined]  # a ChoiceField
        self.fields["second"].choices = [("", "No second one"), *choices]  # type: ignore[attr-defined]  # a ChoiceField
        self.ask_owner_about(
            [
                finding
                for key in ("chosen", "second")
                for finding in self._stops(self.looks.get(str(self.data.get(key) or self.initial.get(key) or "")))
            ]
        )

    @property
    def asked(self) -> list[forms.BoundField]:
        """The decision's own questions, without what an owner is asked."""
        names = ["chosen", "second", "why_chosen", "none_chosen_because"]
        if len(self.looks) < 2 and "second" not in self.errors:
            names.remove("second")  # a pair takes two
        return [self[name] for name in names]

    def decide(self, *, by: User) -> Fitting | None:
        """Keep the decision, or put the reason on the form and return None."""
        try:
            owner, reasons = self.owner_and_reasons()
            return decide(
                fitting=self.fitting,
                chosen=self.looks.get(self.cleaned_data["chosen"]),
                second=self.looks.get(self.cleaned_data["second"]),
                why_chosen=self.cleaned_data["why_chosen"],
                none_chosen_because=self.cleaned_data["none_chosen_because"],
                by=by,
                owner=owner,
                reasons=reasons,
            )
        except ValidationError as refusal:
            self.refuse(refusal)
            return None

    def _look_at(self, look: TryOn | None) -> str:
        """The key of the look that stands for this one's piece."""
        if look is None:
            return ""
        return next(key for key, newest in self.looks.items() if newest.candidate_id == look.candidate_id)

    @staticmethod
    def _stops(look: TryOn | None) -> list[dict[str, Any]]:
        return [] if look is None else stops_now(look)


class FinishForm(RefusableForm):
    next_visit_on = forms.DateField(
        label="Next visit",
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        help_text="Printed on her summary; book it at the desk.",
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = FormHelper()
        self.helper.form_tag = False
        self.helper.layout = Layout("next_visit_on")

    @classmethod
    def blank(cls, *, on: date, for_care: bool) -> FinishForm:
        """Still to be filled in, with a check-up's weeks from `on`; after care no summary is printed."""
        form = cls(initial={"next_visit_on": on + timedelta(weeks=HouseRule.objects.current()["check_up_weeks"])})
        if for_care:
            form.fields["next_visit_on"].help_text = "Book it at the desk. Empty: none is agreed yet."
        return form

    def finish(self, fitting: Fitting, *, by: User, at: datetime) -> Fitting | None:
        try:
            return finish_visit(
                fitting=fitting,
                by=by,
                at=at,
                next_visit_on=self.cleaned_data["next_visit_on"],
                why_chosen=fitting.why_chosen,
                none_chosen_because=fitting.none_chosen_because,
            )
        except ValidationError as refusal:
            self.refuse(refusal)
            return None
