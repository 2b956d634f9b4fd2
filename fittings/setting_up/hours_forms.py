"""Asks for the salon's week, a person's week, closures and time off; `fittings.keeping_hours` says what may be."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Any, ClassVar
from zoneinfo import ZoneInfo

from crispy_forms.layout import Layout, Row, Submit
from django import forms
from django.core.exceptions import ValidationError
from django.db.models import Q
from django.forms import BoundField
from django.forms.models import fields_for_model
from django.utils.timezone import localtime

from fittings.free_times import stylists
from fittings.hours.wall_clock import NoSuchTime, day_begins, moment_at
from fittings.keeping_hours import keep_closure, keep_opening_hours, keep_time_off, keep_working_hours
from fittings.models import Closure, OpeningHours, TimeOff, Weekday, WorkingHours
from salon.common.refusing import DATE, TIME, RefusingForm
from salon.models import User

MONDAY = "monday"
LIKE_MONDAY = ("tuesday", "wednesday", "thursday", "friday")


@dataclass(frozen=True)
class DayRow:
    """The fields of one weekday, as its line of the form shows them."""

    label: str
    is_on: BoundField
    times: list[BoundField]


class WeekForm(RefusingForm):
    """Seven weekdays, each with a tick and its times; a day without a tick keeps its times on the page and no more."""

    on_label: ClassVar[str]
    times: ClassVar[dict[str, str]]
    """The model's columns in order, each with its label."""
    optional: ClassVar[frozenset[str]] = frozenset()
    last: ClassVar[str]
    """The column a refusal of the whole day is shown beside."""

    def __init__(self, data: Any = None, *, week: Iterable[OpeningHours | WorkingHours], **kwargs: Any) -> None:
        kept = {row.weekday: row for row in week}
        initial: dict[str, Any] = {}
        for weekday in Weekday:
            day = weekday.name.lower()
            initial[f"{day}_on"] = weekday in kept
            for column in self.times:
                initial[f"{day}_{column}"] = getattr(kept.get(weekday), column, None)
        super().__init__(data, initial=kwargs.pop("initial", None) or initial, **kwargs)
        for weekday in Weekday:
            day = weekday.name.lower()
            self.fields[f"{day}_on"] = forms.BooleanField(label=self.on_label, required=False)
            for column, label in self.times.items():
                self.fields[f"{day}_{column}"] = forms.TimeField(
                    label=label,
                    required=False,
                    widget=forms.TimeInput(
                        attrs={"type": "time", "step": 300, "class": "form-control"}, format="%H:%M"
                    ),
                    error_messages={"invalid": "Write a time of day, such as 09:30."},
                )

    @classmethod
    def like_monday(cls, data: Mapping[str, Any]) -> dict[str, Any]:
        """What was typed, with Tuesday to Friday as Monday is: for a form to show and not to keep."""
        typed = {name: data.get(name, "") for name in data}
        for part in ("on", *cls.times):
            for day in LIKE_MONDAY:
                typed[f"{day}_{part}"] = typed.get(f"{MONDAY}_{part}", "")
        return typed

    def rows(self) -> Iterator[DayRow]:
        for weekday in Weekday:
            day = weekday.name.lower()
            yield DayRow(str(weekday.label), self[f"{day}_on"], [self[f"{day}_{column}"] for column in self.times])

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        for weekday in Weekday:
            day = weekday.name.lower()
            for column in self.times.keys() - self.optional if cleaned.get(f"{day}_on") else ():
                name = f"{day}_{column}"
                if cleaned.get(name) is None and name not in self.errors:
                    self.add_error(name, f"Write a time, or take the tick from {weekday.label}.")
        if not self.errors and not self.days():
            self.add_error(None, "Tick one day at least.")
        return cleaned

    def days(self) -> dict[int, dict[str, Any]]:
        """The times of the days that are ticked, by weekday."""
        found = {}
        for weekday in Weekday:
            day = weekday.name.lower()
            if self.cleaned_data.get(f"{day}_on"):
                found[int(weekday)] = {column: self.cleaned_data[f"{day}_{column}"] for column in self.times}
        return found

    def refuse(self, refusal: ValidationError) -> None:
        """Beside the last time of the weekday that it is about."""
        self.renamed = {weekday.name.lower(): f"{weekday.name.lower()}_{self.last}" for weekday in Weekday}
        super().refuse(refusal)


class OpeningWeekForm(WeekForm):
    on_label = "Open"
    times = {"opens": "from", "closes": "to"}
    last = "closes"

    def keep(self, *, by: User) -> list[str] | None:
        """The weekdays that changed, or None with the reason on the form."""
        try:
            return keep_opening_hours(hours=self.days(), by=by)  # type: ignore[arg-type]  # the columns of OpeningDay
        except ValidationError as refusal:
            self.refuse(refusal)
            return None


class WorkingWeekForm(WeekForm):
    on_label = "Works"
    times = {"begins": "from", "ends": "to", "break_begins": "break from", "break_ends": "break to"}
    optional = frozenset({"break_begins", "break_ends"})
    last = "break_ends"

    def keep(self, stylist: User, *, by: User) -> list[str] | None:
        """The weekdays that changed, or None with the reason on the form."""
        try:
            return keep_working_hours(stylist=stylist, hours=self.days(), by=by)  # type: ignore[arg-type]  # the columns of WorkingDay
        except ValidationError as refusal:
            self.refuse(refusal)
            return None


class ClosureForm(RefusingForm):
    model = Closure
    beside = {"closure_ends_after_it_begins": "last_day", "closure_short_day_is_whole": "closes"}

    def __init__(self, *args: Any, closure: Closure | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.closure = closure
        asked = fields_for_model(
            Closure,
            fields=["first_day", "last_day", "because", "opens", "closes"],
            labels={
                "first_day": "First day",
                "last_day": "Last day",
                "opens": "Open from",
                "closes": "to",
            },
            help_texts={
                "last_day": "Empty: that one day.",
                "because": "Such as “New Year” or “Works on the pipes”; the desk reads it.",
                "opens": "Only for a short day. Empty: closed all day.",
                "closes": "What is usually closed stays closed.",
            },
            widgets={"first_day": DATE, "last_day": DATE, "opens": TIME, "closes": TIME},
        )
        self.fields.update(asked)
        self.fields["last_day"].required = False
        if closure is not None:
            self.initial = {name: getattr(closure, name) for name in asked}
        self.helper.layout = Layout(
            "because",
            Row("first_day", "last_day"),
            Row("opens", "closes"),
            Submit("save", "Save" if closure else "Add"),
        )

    def clean_last_day(self) -> date | None:
        return self.cleaned_data["last_day"] or self.cleaned_data.get("first_day")

    def keep(self, *, by: User, on: date) -> Closure | None:
        """Add or change it, or put the reason on the form and return None."""
        try:
            return keep_closure(closure=self.closure, fields=self.cleaned_data, by=by, on=on)  # type: ignore[arg-type]  # the fields of ClosureFields
        except ValidationError as refusal:
            self.refuse(refusal)
            return None


class TimeOffForm(RefusingForm):
    """Days or hours in which somebody is away, on the salon's wall clock: whole days where no times are written."""

    model = TimeOff
    beside = {"time_off_ends_after_it_begins": "until_time"}
    renamed = {"starts_at": "first_day", "ends_at": "last_day"}

    stylist = forms.ModelChoiceField(label="Who", queryset=User.objects.none(), empty_label="Choose who")
    first_day = forms.DateField(label="First day", widget=DATE)
    from_time = forms.TimeField(label="from", required=False, widget=TIME, help_text="Empty: all day.")
    last_day = forms.DateField(label="Last day", required=False, widget=DATE, help_text="Empty: that one day.")
    until_time = forms.TimeField(label="until", required=False, widget=TIME, help_text="Empty: to the end of that day.")
    because = forms.CharField(
        label="What for",
        max_length=120,
        required=False,
        help_text="For the salon alone, and may stay empty. Nothing about anybody's health belongs here.",
    )

    def __init__(self, *args: Any, zone: ZoneInfo, time_off: TimeOff | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.zone, self.time_off = zone, time_off
        may = Q(pk__in=stylists().values("pk"))
        if time_off is not None:
            may |= Q(pk=time_off.stylist_id)
            self.initial = _as_asked(time_off, zone)
        people = User.objects.filter(may).order_by("first_name", "username")
        self.fields["stylist"].queryset = people  # type: ignore[attr-defined]  # a ModelChoiceField
        self.helper.layout = Layout(
            "stylist",
            Row("first_day", "from_time"),
            Row("last_day", "until_time"),
            "because",
            Submit("save", "Save" if time_off else "Add"),
        )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        first, last = cleaned.get("first_day"), cleaned.get("last_day") or cleaned.get("first_day")
        if first and last and not self.errors:
            if not date(1900, 1, 1) < min(first, last) <= max(first, last) < date(2200, 1, 1):
                self.add_error("first_day", "That is too far from now; write the year again.")
                return cleaned
            cleaned["starts_at"] = self._moment("from_time", first, second=False) or day_begins(first, self.zone)
            whole = day_begins(last + timedelta(days=1), self.zone)
            cleaned["ends_at"] = self._moment("until_time", last, second=True) or whole
        return cleaned

    def _moment(self, field: str, day: date, *, second: bool) -> datetime | None:
        """Of a time that comes twice the widest span is meant; one that never comes is refused."""
        typed: time | None = self.cleaned_data.get(field)
        if typed is None:
            return None
        try:
            return moment_at(day, typed, self.zone, second=second)
        except NoSuchTime as refusal:
            self.add_error(field, refusal.says)
            return None

    def keep(self, *, by: User, at: datetime) -> TimeOff | None:
        """Add or change it, or put the reason on the form and return None."""
        wanted = {name: self.cleaned_data[name] for name in ("stylist", "starts_at", "ends_at", "because")}
        try:
            return keep_time_off(time_off=self.time_off, fields=wanted, by=by, at=at)  # type: ignore[arg-type]  # the fields of TimeOffFields
        except ValidationError as refusal:
            self.refuse(refusal)
            return None


def _as_asked(time_off: TimeOff, zone: ZoneInfo) -> dict[str, Any]:
    """The day and time of either end; no time where a whole day begins or ends there."""
    begins, ends = localtime(time_off.starts_at, zone), localtime(time_off.ends_at, zone)
    from_midnight = time_off.starts_at == day_begins(begins.date(), zone)
    to_midnight = time_off.ends_at == day_begins(ends.date(), zone)
    return {
        "stylist": time_off.stylist_id,
        "first_day": begins.date(),
        "from_time": None if from_midnight else begins.time(),
        "last_day": ends.date() - timedelta(days=1) if to_midnight else ends.date(),
        "until_time": None if to_midnight else ends.time(),
        "because": time_off.because,
    }
