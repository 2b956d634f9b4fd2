"""Asks for a kind of visit and for a place; what may be kept is for `fittings.furnishing` to say."""

from __future__ import annotations

from typing import Any

from crispy_forms.layout import Fieldset, Layout, Row, Submit
from django.core.exceptions import ValidationError
from django.db.models import Q
from django.forms.models import fields_for_model

from fittings.free_times import stylists
from fittings.furnishing import add_kind_of_visit, add_place, change_kind_of_visit, change_place, usual_places
from fittings.models import Place, Purpose, ServiceKind
from salon.common.form_fields import MoneyField
from salon.common.refusing import RefusingForm, TickedRows
from salon.models import Salon, User

# Common practice: minutes of the visit, and until the place is clean again. A start to change, not a rule.
USUALLY_TAKES = {
    Purpose.CONSULT: (90, 15),
    Purpose.FITTING: (60, 10),
    Purpose.CUT_IN: (75, 10),
    Purpose.COLOUR: (120, 15),
    Purpose.WASH: (45, 10),
    Purpose.CHECK_UP: (30, 5),
    Purpose.REPAIR: (45, 5),
    Purpose.SKIN_TEST: (15, 5),
    Purpose.TEST_READING: (15, 5),
    Purpose.OTHER: (30, 5),
}


class Workers(TickedRows[User]):
    """Who does it; somebody who left is told apart."""

    def label_from_instance(self, obj: Any) -> str:
        return str(obj) if obj.is_active else f"{obj} (can sign in no more)"


class KindForm(RefusingForm):
    model = ServiceKind
    beside = {
        "service_kind_5_to_600_minutes": "minutes",
        "service_kind_clean_up_within_4_hours": "clean_up_minutes",
        "service_kind_is_held_somewhere": "in_private_room",
        "service_kind_named_once": "name",
    }
    price_minor = MoneyField(label="Price")
    deposit_minor = MoneyField(label="Deposit", help_text="Asked for when it is booked. Empty: none.")
    done_by = Workers(
        label="Who does it",
        queryset=User.objects.none(),
        help_text="Nobody ticked, or everybody: every stylist does it, those who come later too.",
    )

    def __init__(self, *args: Any, kind: ServiceKind | None = None, salon: Salon, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.kind = kind
        asked = fields_for_model(
            ServiceKind,
            fields=[
                "name",
                "purpose",
                "minutes",
                "clean_up_minutes",
                "in_private_room",
                "at_chair",
                "at_basin",
                "needs_tape_test",
                "needs_colour_test",
                "is_offered",
            ],
            labels={"minutes": "Minutes it takes", "clean_up_minutes": "Minutes of clean-up after it"},
            help_texts={
                "purpose": "What must be ready before it, and what it begins with, depend on this.",
                "clean_up_minutes": "The place is free again after them, the stylist at once.",
                "needs_tape_test": "A skin test of the tape or adhesive is read before she comes.",
                "needs_colour_test": "A skin test of the colour is read before she comes.",
                "is_offered": "Without a tick it is offered no longer; what is booked stays booked.",
            },
        )
        self.fields.update(asked)
        self.fields["clean_up_minutes"].required = False
        for name in ("price_minor", "deposit_minor"):
            self.fields[name].currency = salon.currency  # type: ignore[attr-defined]  # a MoneyField
        may = Q(pk__in=stylists().values("pk"))
        if kind is None:
            del self.fields["is_offered"]
        else:
            may |= Q(pk__in=kind.done_by.values("pk"))
            self.initial = {name: getattr(kind, name) for name in asked} | {
                "price_minor": kind.price_minor,
                "deposit_minor": kind.deposit_minor,
                "done_by": list(kind.done_by.values_list("pk", flat=True)),
            }
        people = User.objects.filter(may).order_by("first_name", "username")
        self.fields["done_by"].queryset = people  # type: ignore[attr-defined]  # a ModelMultipleChoiceField
        self.helper.layout = Layout(
            Row("name", "purpose"),
            Row("minutes", "clean_up_minutes"),
            Row("price_minor", "deposit_minor"),
            Fieldset("Where it is held", Row("in_private_room", "at_chair", "at_basin")),
            "done_by",
            Fieldset("What is ready before it", "needs_tape_test", "needs_colour_test"),
            *(["is_offered"] if kind else []),
            Submit("save", "Save" if kind else "Add"),
        )

    def clean_clean_up_minutes(self) -> int:
        return self.cleaned_data["clean_up_minutes"] or 0

    def clean_price_minor(self) -> int:
        return self.cleaned_data["price_minor"] or 0

    def clean_deposit_minor(self) -> int:
        return self.cleaned_data["deposit_minor"] or 0

    def keep(self, *, by: User) -> ServiceKind | None:
        """Add or change it, or put the reason on the form and return None."""
        try:
            if self.kind is None:
                return add_kind_of_visit(by=by, **self.cleaned_data)
            return change_kind_of_visit(kind=self.kind, by=by, **self.cleaned_data)
        except ValidationError as refusal:
            self.refuse(refusal)
            return None


def start_of_a_kind(purpose: str | None) -> dict[str, Any]:
    """What a new kind for this begins with on its form; a consult where nothing else is asked for."""
    chosen = Purpose(purpose) if purpose in Purpose.values else Purpose.CONSULT
    minutes, clean_up_minutes = USUALLY_TAKES[chosen]
    held = usual_places(chosen)
    return {
        "name": "" if chosen == Purpose.OTHER else chosen.label,
        "purpose": chosen.value,
        "minutes": minutes,
        "clean_up_minutes": clean_up_minutes,
        "in_private_room": Place.Sort.ROOM in held,
        "at_chair": Place.Sort.CHAIR in held,
        "at_basin": Place.Sort.BASIN in held,
        "needs_tape_test": chosen in (Purpose.FITTING, Purpose.CUT_IN),
        "needs_colour_test": chosen == Purpose.COLOUR,
    }


class PlaceForm(RefusingForm):
    model = Place
    beside = {"place_named_once": "name"}

    def __init__(self, *args: Any, place: Place | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.place = place
        asked = fields_for_model(
            Place,
            fields=["name", "sort", "is_in_use"],
            help_texts={
                "name": "As the desk calls it, such as “Chair 1”.",
                "is_in_use": "Without a tick it is out of use; what is booked there stays booked.",
            },
        )
        self.fields.update(asked)
        if place is None:
            del self.fields["is_in_use"]
        else:
            self.initial = {name: getattr(place, name) for name in asked}
        self.helper.layout = Layout(
            Row("name", "sort"), *(["is_in_use"] if place else []), Submit("save", "Save" if place else "Add")
        )

    def keep(self, *, by: User) -> Place | None:
        """Add or change it, or put the reason on the form and return None."""
        try:
            if self.place is None:
                return add_place(by=by, **self.cleaned_data)
            return change_place(place=self.place, by=by, **self.cleaned_data)
        except ValidationError as refusal:
            self.refuse(refusal)
            return None
