"""Asks whose calendar a new address is for: one's own, or for the owner anybody's and any place's."""

from __future__ import annotations

from typing import Any, TypedDict

from django import forms

from fittings.free_times import stylists
from fittings.models import Place
from salon.models import User


class Whose(TypedDict):
    stylist: User | None
    place: Place | None


class FeedForm(forms.Form):
    whose = forms.ChoiceField(label="Whose calendar?")

    def __init__(self, data: Any = None, *, by: User) -> None:
        super().__init__(data)
        people, places = {by.pk: by}, {}
        if by.has_perm("fittings.change_calendarfeed"):
            people = {person.pk: person for person in stylists()}
            places = {place.pk: place for place in Place.objects.all()}
        self.people, self.places = people, places
        self.fields["whose"].choices = [  # type: ignore[attr-defined]  # it is a ChoiceField
            *((f"stylist {pk}", str(person)) for pk, person in people.items()),
            *((f"place {pk}", str(place)) for pk, place in places.items()),
        ]

    def chosen(self) -> Whose:
        what, pk = self.cleaned_data["whose"].split()
        return {
            "stylist": self.people[int(pk)] if what == "stylist" else None,
            "place": self.places[int(pk)] if what == "place" else None,
        }
