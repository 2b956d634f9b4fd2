"""Asks for a time by hand, or takes one that was pressed: the fields that booking, moving and a series share.

A time that the clock jumps over is refused with the times on either side; one that comes twice asks which.
"""

from __future__ import annotations

from datetime import date, datetime, time
from typing import Any

from django import forms
from django.core.exceptions import NON_FIELD_ERRORS, ValidationError
from django.utils.timezone import localtime

from fittings.booking import BookingRefused
from fittings.desk.chosen_time import ChosenTime, ChosenTimeField
from fittings.desk.day_asked import YEARS
from fittings.free_times import stylists
from fittings.hours.wall_clock import NoSuchTime, TwiceThatTime, moment_at
from fittings.hours_kept import salon_zone
from fittings.models import Place
from salon.models import User

FIRST, LATER = "first", "later"
TIMES_TWICE = [(FIRST, "The first, before the clocks go back"), (LATER, "The second, after the clocks went back")]
ASKED = {
    "stylist": "Choose who.",
    "place": "Choose a room, chair or basin.",
    "starts_on": "Write the day.",
    "starts_time": "Write the time.",
}
FIELD_OF = {"starts_at": "starts_time"}  # what a deed calls it, and where it was asked


class OwnTimeForm(forms.Form):
    """`cleaned_data` holds starts_at, stylist and place, whether they were pressed or written."""

    stylist = forms.ModelChoiceField(
        label="With", queryset=User.objects.none(), required=False, empty_label="Choose who"
    )
    place = forms.ModelChoiceField(
        label="Where", queryset=Place.objects.none(), required=False, empty_label="Choose a room, chair or basin"
    )
    starts_on = forms.DateField(
        label="Day", required=False, widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    )
    starts_time = forms.TimeField(
        label="Begins at", required=False, widget=forms.TimeInput(attrs={"type": "time", "step": 300}, format="%H:%M")
    )
    which = forms.ChoiceField(
        label="This time comes twice that day; which is meant?",
        choices=TIMES_TWICE,
        required=False,
        widget=forms.RadioSelect,
    )
    chosen = ChosenTimeField()
    anyway = ChosenTimeField()
    anyway_because = forms.CharField(label="Book it anyway, because", max_length=240, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["stylist"].queryset = stylists()  # type: ignore[attr-defined]  # it is a ModelChoiceField
        self.fields["place"].queryset = Place.objects.in_use()  # type: ignore[attr-defined]  # as above
        for name in ("stylist", "place"):
            self.fields[name].widget.attrs["class"] = "form-select"
        for name in ("starts_on", "starts_time", "anyway_because"):
            self.fields[name].widget.attrs |= {"class": "form-control", "autocomplete": "off"}
        self.refused: BookingRefused | None = None
        self.asks_which = False

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        pressed: ChosenTime | None = cleaned.get("chosen") or cleaned.get("anyway")
        if pressed:
            for name in (*ASKED, "which"):  # what was half written by hand does not matter then
                self.errors.pop(name, None)
            cleaned |= {"starts_at": pressed.starts_at, "stylist": pressed.stylist, "place": pressed.place}
        elif not {"chosen", "anyway"} & self.errors.keys():
            self._read_by_hand(cleaned)
        return cleaned

    def not_shown(self) -> set[str]:
        """The fields that the page has no place for now."""
        hidden = {"chosen", "anyway"}
        if not self.asks_which:
            hidden.add("which")
        if not (self.refused and self.refused.may_pass):
            hidden.add("anyway_because")
        return hidden

    @property
    def errors_above(self) -> list[str]:
        """What is wrong with the form as a whole, or with a field that is not shown."""
        return [str(error) for name in ("__all__", *sorted(self.not_shown())) for error in self.errors.get(name, [])]

    @property
    def because(self) -> str:
        """The reason to go past what stands in the way; one that was typed and not pressed for counts for nothing."""
        return str(self.cleaned_data["anyway_because"]).strip() if self.cleaned_data.get("anyway") else ""

    def refuse(self, refusal: ValidationError) -> None:
        """Keep a refusal of the booking for the page to show with its nearest times; put others beside their field."""
        if isinstance(refusal, BookingRefused):
            self.refused = refusal
            if self.cleaned_data.get("anyway") and not self.because:
                self.add_error("anyway_because", "Write why it may stand all the same: “agreed with Imke” is enough.")
            return
        for field, errors in getattr(refusal, "message_dict", {NON_FIELD_ERRORS: refusal.messages}).items():
            where = FIELD_OF.get(field, field)
            self.add_error(where if where in self.fields else None, ValidationError(errors))

    @property
    def was_written(self) -> bool:
        """Whether the time was sent by hand, so that its fields are shown opened."""
        return self.is_bound and not (self.data.get("chosen") or self.data.get("anyway"))

    @property
    def wanted(self) -> ChosenTime:
        """What was refused or booked."""
        return ChosenTime(*(self.cleaned_data[name] for name in ("starts_at", "stylist", "place")))

    def _read_by_hand(self, cleaned: dict[str, Any]) -> None:
        for name, sentence in ASKED.items():
            if not cleaned.get(name) and name not in self.errors:
                self.add_error(name, sentence)
        day, clock = cleaned.get("starts_on"), cleaned.get("starts_time")
        if day and day.year not in YEARS:
            self.add_error("starts_on", "Write a day of these years.")
        elif day and clock is not None:
            self._read_the_clock(cleaned, day, clock)

    def _read_the_clock(self, cleaned: dict[str, Any], day: date, clock: time) -> None:
        which = cleaned.get("which")
        try:
            cleaned["starts_at"] = moment_at(day, clock, salon_zone(), second=None if not which else which == LATER)
        except NoSuchTime as jumped:
            self.add_error("starts_time", jumped.says)
        except TwiceThatTime as twice:
            self.asks_which = True
            self.add_error("which", twice.says)


def by_hand(moment: datetime, stylist: User | None = None, place: Place | None = None) -> dict[str, Any]:
    """What the fields begin with when a time is known."""
    begins = localtime(moment)
    return {
        "stylist": stylist.pk if stylist else None,
        "place": place.pk if place else None,
        "starts_on": begins.date(),
        "starts_time": begins.time(),
        "which": LATER if begins.fold else FIRST,
    }
