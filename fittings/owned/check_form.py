"""Asks how each part of a piece is: one press a part, in four words."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db import transaction

from clients.models import PhotoSet
from fittings.checking import begin_check_photos, check_condition, parts_of
from fittings.choosing.forms import RefusableForm
from fittings.consult.fields import ChoiceField
from fittings.models import PARTS, ConditionCheck, Fitting, OwnedPiece, Wear
from salon.models import User


class CheckForm(RefusableForm):
    note = forms.CharField(
        label="What was seen", required=False, max_length=2000, widget=forms.Textarea(attrs={"rows": 2})
    )
    because = forms.CharField(
        label="Why it is corrected", max_length=240, error_messages={"required": "Write why it is corrected."}
    )

    def __init__(
        self, data: Any = None, *, owned: OwnedPiece, last: ConditionCheck | None, corrects: ConditionCheck | None
    ) -> None:
        self.owned, self.last, self.corrects = owned, last, corrects
        self.photos_refused = ""
        self.parts = parts_of(owned)
        if corrects:  # also what it says of a part that is gone since
            self.parts = {part: words for part, words in PARTS.items() if part in self.parts or part in corrects.grades}
        super().__init__(data, initial={**corrects.grades, "note": corrects.note} if corrects else None)
        for part, words in self.parts.items():
            self.fields[part] = ChoiceField(
                label=words,
                choices=[(str(grade.value), grade.label) for grade in Wear],
                coerce=int,
                empty_value=None,
                unasked="Not looked at",
            )
        if corrects is None:
            del self.fields["because"]
        self.order_fields([*self.parts, "note", "because"])

    @property
    def graded_with_last(self) -> list[tuple[forms.BoundField, str]]:
        """Each part with the word it got last time; none while that check itself is corrected."""
        last = {} if self.last is None or self.corrects else self.last.grades
        return [(self[part], Wear(last[part]).label if part in last else "") for part in self.parts]

    @property
    def said(self) -> list[forms.BoundField]:
        return [self[name] for name in self.fields if name not in self.parts]

    def keep(self, *, by: User, at: datetime, fitting: Fitting | None, with_photos: bool) -> ConditionCheck | None:
        """Keep it, with a set begun for photos if asked; or put the reason on the form and return None."""
        kept_with = self.corrects.photo_set if self.corrects else None
        try:
            with transaction.atomic():
                return check_condition(
                    owned=self.owned,
                    grades={part: grade for part in self.parts if (grade := self.cleaned_data[part]) is not None},
                    note=self.cleaned_data["note"],
                    by=by,
                    at=at,
                    fitting=fitting,
                    photo_set=self._photos(by=by, at=at) if with_photos else kept_with,
                    corrects=self.corrects,
                    because=self.cleaned_data.get("because", ""),
                )
        except ValidationError as refusal:
            self.refuse(refusal)
            return None

    def _photos(self, *, by: User, at: datetime) -> PhotoSet | None:
        """None without her consent to photos: the check is kept all the same."""
        try:
            return begin_check_photos(owned=self.owned, by=by, at=at)
        except ValidationError as refusal:
            self.photos_refused = " ".join(refusal.messages)
            return None
