"""Puts a deed's refusal beside the field it is about: what forms over deeds share."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, ClassVar, TypeVar

from crispy_forms.helper import FormHelper
from django import forms
from django.core.exceptions import ValidationError
from django.db import models

from salon.common.form_fields import say_what_is_wanted

Row = TypeVar("Row", bound=models.Model)
DATE = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
TIME = forms.TimeInput(attrs={"type": "time", "step": 300}, format="%H:%M")


class TickedRows(forms.ModelMultipleChoiceField[Row]):
    """Any number of the rows that are shown; anything else, a key that no database holds included, is none of them."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(required=False, widget=forms.CheckboxSelectMultiple, **kwargs)

    def clean(self, value: Any) -> Any:
        shown = {str(pk) for pk in self.queryset.values_list("pk", flat=True)} if self.queryset is not None else set()
        if any(str(key) not in shown for key in value or ()):
            raise ValidationError("Tick only what is shown here.")
        return super().clean(value)


class RefusingForm(forms.Form):
    """A form over the deeds: `beside` says which field a constraint of `model` is about, by the constraint's name."""

    model: ClassVar[type[models.Model] | None] = None
    beside: ClassVar[dict[str, str]] = {}
    renamed: Mapping[str, str] = {}
    """The field that asks for what the deed calls otherwise."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = FormHelper()

    def full_clean(self) -> None:
        say_what_is_wanted(self.fields)
        super().full_clean()

    def refuse(self, refusal: ValidationError) -> None:
        about = self._sentences_of_constraints()
        for name, sentences in getattr(refusal, "message_dict", {"__all__": refusal.messages}).items():
            for sentence in sentences:
                field = about.get(sentence, self.renamed.get(name, name))
                self.add_error(field if field in self.fields else None, sentence)

    def _sentences_of_constraints(self) -> dict[str, str]:
        if self.model is None:
            return {}
        constraints = self.model._meta.constraints
        return {
            str(each.violation_error_message): self.beside[each.name]
            for each in constraints
            if each.name in self.beside
        }
