"""What a move on the board asks for, and what is told when it is done or refused; whether it may be is `booking`'s."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from django import forms
from django.core.exceptions import ValidationError
from django.utils.formats import date_format
from django.utils.timezone import localtime

from fittings.booking import BookingRefused, move_appointment
from fittings.desk.day_asked import YEARS
from fittings.free_times import FreeTime, stylists
from fittings.models import Appointment, Place
from salon.models import User

A_DAY = 24 * 60  # minutes
LARGEST = 2**31 - 1
UNDONE = "Moved back to where it was"


@dataclass(frozen=True)
class Where:
    """A time, place and stylist as they are posted, and in words."""

    starts_at: str
    stylist: int
    place: int
    says: str


@dataclass(frozen=True)
class Said:
    """What was done, or why nothing was; `undo` is where the appointment was before."""

    reference: str
    says: str
    is_refusal: bool = False
    undo: Where | None = None
    seen: int = 0
    undo_because: str = UNDONE


@dataclass(frozen=True)
class Refused:
    """A move that something stands in the way of, with what can be done about it."""

    reference: str
    name: str
    wanted: Where
    seen: int
    reasons: tuple[str, ...]
    may_pass: bool
    nearest: tuple[Where, ...]


class MoveOnBoardForm(forms.Form):
    """A move by so many minutes or to a moment, to another place, to another stylist; what is left out stays as it is.

    `seen` is how often the appointment had been changed when the page showed it.
    """

    shift = forms.IntegerField(required=False, min_value=-A_DAY, max_value=A_DAY)
    starts_at = forms.DateTimeField(required=False)
    stylist = forms.ModelChoiceField(queryset=User.objects.none(), required=False)
    place = forms.ModelChoiceField(queryset=Place.objects.in_use(), required=False)
    seen = forms.IntegerField(required=False, min_value=0, max_value=LARGEST)
    anyway_because = forms.CharField(required=False, max_length=240)

    def __init__(self, *args: object, appointment: Appointment, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)  # type: ignore[arg-type]  # passed on as they came
        self.fields["stylist"].queryset = stylists()  # type: ignore[attr-defined]  # it is a ModelChoiceField
        self.appointment = appointment

    def clean_starts_at(self) -> datetime | None:
        starts_at: datetime | None = self.cleaned_data["starts_at"]
        if starts_at and starts_at.year not in YEARS:
            raise ValidationError("Choose a time to come.")
        return starts_at

    def move(self, *, by: User, at: datetime) -> Said | Refused:
        """Move it, or tell why not; nothing is stored then."""
        was = self.appointment
        if not self.is_valid():
            return Said(was.reference, "That move could not be read. Open the appointment and move it there.", True)
        asked = self.cleaned_data
        if asked["seen"] is not None and asked["seen"] != was.sequence:
            says = f"Somebody has changed the appointment of {was.client} meanwhile: look where it is now."
            return Said(was.reference, says, is_refusal=True)
        starts_at = asked["starts_at"] or was.starts_at + timedelta(minutes=asked["shift"] or 0)
        stylist, place = asked["stylist"] or was.stylist, asked["place"] or was.place
        before = _where(was.starts_at, was.stylist, was.place)
        if (starts_at, stylist, place) == (was.starts_at, was.stylist, was.place):
            return Said(was.reference, f"{was.client} stays where she is: {before.says}.")
        try:
            moved = move_appointment(
                appointment=was,
                starts_at=starts_at,
                stylist=stylist,
                place=place,
                by=by,
                at=at,
                anyway_because=asked["anyway_because"],
            )
        except BookingRefused as refusal:
            return Refused(
                reference=was.reference,
                name=str(was.client),
                wanted=_where(starts_at, stylist, place),
                seen=was.sequence,
                reasons=tuple(obstacle.says for obstacle in refusal.obstacles),
                may_pass=refusal.may_pass,
                nearest=tuple(_at(free) for free in refusal.nearest),
            )
        except ValidationError as refusal:
            return Said(was.reference, " ".join(refusal.messages), is_refusal=True)
        now_at = _where(moved.starts_at, stylist, place)
        return Said(was.reference, f"{was.client} is moved to {now_at.says}.", undo=before, seen=moved.sequence)


def _at(free: FreeTime) -> Where:
    return _where(free.starts_at, free.stylist, free.place)


def _where(starts_at: datetime, stylist: User, place: Place) -> Where:
    says = f"{date_format(localtime(starts_at), 'D j M, H:i')}, {place}, with {stylist}"
    return Where(starts_at.astimezone(UTC).isoformat(), stylist.pk, place.pk, says)
