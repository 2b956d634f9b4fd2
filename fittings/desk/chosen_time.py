"""A start with its stylist and place as one value: what a button that books at one press sends back.

It names the moment in UTC, so that of an hour that comes twice the right one is meant.
"""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any, NamedTuple

from django import forms
from django.core.exceptions import ValidationError

from fittings.desk.day_asked import YEARS
from fittings.free_times import stylists
from fittings.models import Place
from salon.models import User

SHAPE = "%Y-%m-%dT%H:%MZ"


class ChosenTime(NamedTuple):
    starts_at: datetime
    stylist: User
    place: Place

    @property
    def code(self) -> str:
        return code_of(self.starts_at, self.stylist, self.place)


def code_of(starts_at: datetime, stylist: User, place: Place) -> str:
    """Such as 2026-12-03T10:00Z~4~2."""
    return f"{starts_at.astimezone(UTC).strftime(SHAPE)}~{stylist.pk}~{place.pk}"


class ChosenTimeField(forms.CharField):
    """Reads such a value; an empty one is None, and one that names nobody or nowhere is refused."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(required=False, max_length=64, widget=forms.HiddenInput, **kwargs)

    def clean(self, value: Any) -> ChosenTime | None:
        code = super().clean(value)
        if not code:
            return None
        try:
            moment, stylist, place = code.split("~")
            starts_at = datetime.strptime(moment, SHAPE).replace(tzinfo=UTC)
            if starts_at.year not in YEARS:
                raise ValueError(f"{starts_at.year} is none of these years")
            return ChosenTime(starts_at, stylists().get(pk=int(stylist)), Place.objects.get(pk=int(place)))
        except (ValueError, OverflowError, User.DoesNotExist, Place.DoesNotExist) as trouble:
            raise ValidationError("This time can't be read any more; choose one from the list.") from trouble
