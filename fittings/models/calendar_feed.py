"""A secret address at which a stylist's or a room's appointments can be read by a calendar program."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import F, Q

from fittings.models.kinds_and_places import Place
from salon.models import User


class CalendarFeedQuerySet(models.QuerySet["CalendarFeed"]):
    def live(self) -> CalendarFeedQuerySet:
        """Not taken back."""
        return self.filter(revoked_at__isnull=True)


class CalendarFeed(models.Model):
    """The address itself is shown once and kept only as its digest: who reads the table can't read the feeds."""

    digest = models.CharField(max_length=64, unique=True, editable=False)
    stylist = models.ForeignKey(User, models.PROTECT, related_name="calendar_feeds", null=True, blank=True)
    place = models.ForeignKey(Place, models.PROTECT, related_name="calendar_feeds", null=True, blank=True)
    made_by = models.ForeignKey(User, models.PROTECT, related_name="+")
    made_at = models.DateTimeField()
    last_read_at = models.DateTimeField(null=True, blank=True)
    revoked_at = models.DateTimeField(null=True, blank=True)
    revoked_by = models.ForeignKey(User, models.PROTECT, related_name="+", null=True, blank=True)

    objects: ClassVar[CalendarFeedQuerySet] = CalendarFeedQuerySet.as_manager()  # type: ignore[assignment]  # as_manager's own type hides our methods

    class Meta:
        ordering = ["-made_at", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(stylist__isnull=False, place__isnull=True) | Q(stylist__isnull=True, place__isnull=False),
                name="calendar_feed_of_a_stylist_or_a_place",
                violation_error_message="A calendar address is for one stylist or for one room.",
            ),
            models.CheckConstraint(
                condition=Q(revoked_at__isnull=True, revoked_by__isnull=True)
                | Q(revoked_at__gte=F("made_at"), revoked_by__isnull=False),
                name="calendar_feed_revoked_by_somebody",
                violation_error_message="An address is taken back by somebody, after it was made.",
            ),
        ]

    def __str__(self) -> str:
        return f"Calendar of {self.stylist or self.place}"
