"""When the salon is open and when its people work: standing facts, told in the salon's own clock.

Weekdays are those of ISO 8601: 1 is Monday, 7 is Sunday. A salon of which no opening hours are written down is not
limited by any, and neither is a stylist of whom no working hours are.
"""

from __future__ import annotations

from datetime import date, datetime
from typing import ClassVar

from django.db import models
from django.db.models import F, Q
from simple_history.models import HistoricalRecords

from salon.models import User


class Weekday(models.IntegerChoices):
    MONDAY = 1, "Monday"
    TUESDAY = 2, "Tuesday"
    WEDNESDAY = 3, "Wednesday"
    THURSDAY = 4, "Thursday"
    FRIDAY = 5, "Friday"
    SATURDAY = 6, "Saturday"
    SUNDAY = 7, "Sunday"


def _is_a_weekday(name: str) -> models.CheckConstraint:
    return models.CheckConstraint(
        condition=Q(weekday__gte=1, weekday__lte=7),
        name=name,
        violation_error_message="A weekday is 1 (Monday) to 7 (Sunday).",
    )


class OpeningHours(models.Model):
    """One weekday on which the salon opens; a weekday without a row is closed once any row is there."""

    weekday = models.PositiveSmallIntegerField(choices=Weekday.choices, unique=True)
    opens = models.TimeField()
    closes = models.TimeField()

    history = HistoricalRecords()

    class Meta:
        ordering = ["weekday"]
        verbose_name_plural = "opening hours"
        constraints = [
            _is_a_weekday("opening_hours_on_a_weekday"),
            models.CheckConstraint(
                condition=Q(closes__gt=F("opens")),
                name="opening_hours_close_after_they_open",
                violation_error_message="The salon closes after it opens, on the same day.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_weekday_display()} {self.opens:%H:%M} to {self.closes:%H:%M}"


class ClosureQuerySet(models.QuerySet["Closure"]):
    def touching(self, first: date, last: date) -> ClosureQuerySet:
        """Those that take in any day from the first to the last, both included."""
        return self.filter(first_day__lte=last, last_day__gte=first)


class Closure(models.Model):
    """Days on which the salon is closed, or open for a shorter time than usual: a holiday, works, a funeral."""

    first_day = models.DateField("from")
    last_day = models.DateField("to and with")
    because = models.CharField("what for", max_length=120)
    opens = models.TimeField("opens nevertheless", null=True, blank=True)
    closes = models.TimeField("and closes", null=True, blank=True)

    history = HistoricalRecords()
    objects: ClassVar[ClosureQuerySet] = ClosureQuerySet.as_manager()  # type: ignore[assignment]  # as_manager's own type hides our methods

    class Meta:
        ordering = ["first_day", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(last_day__gte=F("first_day")),
                name="closure_ends_after_it_begins",
                violation_error_message="The last closed day is not before the first.",
            ),
            models.CheckConstraint(
                # said twice that both are there: a comparison with nothing is neither true nor false, and lets pass
                condition=Q(opens__isnull=True, closes__isnull=True)
                | Q(opens__isnull=False, closes__isnull=False, closes__gt=F("opens")),
                name="closure_short_day_is_whole",
                violation_error_message="A short day opens and then closes; leave both empty for a closed one.",
            ),
        ]

    def __str__(self) -> str:
        return self.because


class WorkingHours(models.Model):
    """One weekday on which a stylist works, with one break; a weekday without a row is free once any row is there."""

    stylist = models.ForeignKey(User, models.PROTECT, related_name="working_hours")
    weekday = models.PositiveSmallIntegerField(choices=Weekday.choices)
    begins = models.TimeField()
    ends = models.TimeField()
    break_begins = models.TimeField(null=True, blank=True)
    break_ends = models.TimeField(null=True, blank=True)

    history = HistoricalRecords()

    class Meta:
        ordering = ["stylist", "weekday"]
        verbose_name_plural = "working hours"
        constraints = [
            _is_a_weekday("working_hours_on_a_weekday"),
            models.UniqueConstraint(
                fields=["stylist", "weekday"],
                name="working_hours_once_a_weekday",
                violation_error_message="The hours of this weekday are written down already.",
            ),
            models.CheckConstraint(
                condition=Q(ends__gt=F("begins")),
                name="working_hours_end_after_they_begin",
                violation_error_message="Work ends after it begins, on the same day.",
            ),
            models.CheckConstraint(
                condition=Q(break_begins__isnull=True, break_ends__isnull=True)
                | Q(
                    break_begins__isnull=False,
                    break_ends__isnull=False,
                    break_begins__gte=F("begins"),
                    break_ends__gt=F("break_begins"),
                    break_ends__lte=F("ends"),
                ),
                name="working_hours_break_lies_within",
                violation_error_message="A break begins and ends within the working hours; leave both empty for none.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.stylist}, {self.get_weekday_display()} {self.begins:%H:%M} to {self.ends:%H:%M}"


class TimeOffQuerySet(models.QuerySet["TimeOff"]):
    def overlapping(self, starts_at: datetime, ends_at: datetime) -> TimeOffQuerySet:
        """Those that share time with [starts_at, ends_at); touching is not sharing."""
        return self.filter(starts_at__lt=ends_at, ends_at__gt=starts_at)


class TimeOff(models.Model):
    """A stylist is away: days off, a morning at the dentist. The reason is for the salon alone and may be empty."""

    stylist = models.ForeignKey(User, models.PROTECT, related_name="time_off")
    starts_at = models.DateTimeField("from")
    ends_at = models.DateTimeField("until")
    because = models.CharField("what for", max_length=120, blank=True)

    history = HistoricalRecords()
    objects: ClassVar[TimeOffQuerySet] = TimeOffQuerySet.as_manager()  # type: ignore[assignment]  # as_manager's own type hides our methods

    class Meta:
        ordering = ["starts_at", "pk"]
        verbose_name_plural = "time off"
        indexes = [models.Index(fields=["stylist", "ends_at"], name="time_off_by_stylist")]
        constraints = [
            models.CheckConstraint(
                condition=Q(ends_at__gt=F("starts_at")),
                name="time_off_ends_after_it_begins",
                violation_error_message="Time off ends after it begins.",
            )
        ]

    def __str__(self) -> str:
        return f"{self.stylist} is away"
