"""What can be booked, and where: kinds of visit, and the rooms, chairs and basins they are held at."""

from __future__ import annotations

from collections.abc import Iterable
from typing import ClassVar

from django.db import models
from django.db.models import Q
from django.db.models.functions import Lower
from simple_history.models import HistoricalRecords

from salon.models import User


class Purpose(models.TextChoices):
    """What a kind of visit is for: what must be ready before it, and what it begins with, depend on this."""

    CONSULT = "consult", "Consult"
    FITTING = "fitting", "Fitting"
    CUT_IN = "cut-in", "Cut-in"
    COLOUR = "colour", "Colour"
    WASH = "wash", "Wash and care"
    CHECK_UP = "check-up", "Check-up"
    REPAIR = "repair", "Repair"
    SKIN_TEST = "skin test", "Skin test put on"
    TEST_READING = "test reading", "Skin test read"
    OTHER = "other", "Something else"


class ServiceKindQuerySet(models.QuerySet["ServiceKind"]):
    def offered(self) -> ServiceKindQuerySet:
        """Those that can be booked now; the others stay on what was booked before."""
        return self.filter(is_offered=True)


class ServiceKind(models.Model):
    """A kind of visit with its usual length, the clean-up after it, where it is held, who does it, and its price."""

    name = models.CharField(
        max_length=60, unique=True, error_messages={"unique": "There is a kind of visit of that name already."}
    )
    purpose = models.CharField(max_length=12, choices=Purpose.choices, default=Purpose.OTHER)
    minutes = models.PositiveSmallIntegerField()
    clean_up_minutes = models.PositiveSmallIntegerField("minutes before the place is free again", default=0)
    price_minor = models.PositiveIntegerField("price", default=0)
    deposit_minor = models.PositiveIntegerField("deposit", default=0)
    in_private_room = models.BooleanField("in a private room", default=True)
    at_chair = models.BooleanField("at a chair", default=True)
    at_basin = models.BooleanField("at a basin", default=True)
    done_by = models.ManyToManyField(
        User, blank=True, related_name="+", help_text="Nobody ticked: every stylist can do it."
    )
    needs_tape_test = models.BooleanField("tape or adhesive touches her skin", default=False)
    needs_colour_test = models.BooleanField("colour touches her skin", default=False)
    is_offered = models.BooleanField("can be booked", default=True)

    history = HistoricalRecords(m2m_fields=[done_by])
    objects: ClassVar[ServiceKindQuerySet] = ServiceKindQuerySet.as_manager()  # type: ignore[assignment]  # as_manager's own type hides our methods

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(
                condition=Q(minutes__gte=5, minutes__lte=600),
                name="service_kind_5_to_600_minutes",
                violation_error_message="A visit takes between 5 and 600 minutes.",
            ),
            models.CheckConstraint(
                condition=Q(clean_up_minutes__lte=240),
                name="service_kind_clean_up_within_4_hours",
                violation_error_message="Cleaning up takes 240 minutes at most.",
            ),
            models.CheckConstraint(
                condition=Q(in_private_room=True) | Q(at_chair=True) | Q(at_basin=True),
                name="service_kind_is_held_somewhere",
                violation_error_message="A visit is held in a private room, at a chair or at a basin: choose one.",
            ),
            models.UniqueConstraint(
                Lower("name"),
                name="service_kind_named_once",
                violation_error_message="There is a kind of visit of that name already.",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def is_consult(self) -> bool:
        """Whether it begins with an assessment."""
        return self.purpose == Purpose.CONSULT

    @property
    def place_sorts(self) -> tuple[str, ...]:
        """The sorts of place it can be held at."""
        held = {
            Place.Sort.ROOM: self.in_private_room,
            Place.Sort.CHAIR: self.at_chair,
            Place.Sort.BASIN: self.at_basin,
        }
        return tuple(sort for sort, may in held.items() if may)


class PlaceQuerySet(models.QuerySet["Place"]):
    def in_use(self) -> PlaceQuerySet:
        return self.filter(is_in_use=True)

    def of_sorts(self, sorts: Iterable[str]) -> PlaceQuerySet:
        return self.filter(sort__in=list(sorts))


class Place(models.Model):
    """A room, chair or basin that one client uses at a time."""

    class Sort(models.TextChoices):
        ROOM = "room", "Private room"
        CHAIR = "chair", "Chair"
        BASIN = "basin", "Basin"

    name = models.CharField(
        max_length=60, unique=True, error_messages={"unique": "There is a place of that name already."}
    )
    sort = models.CharField("what it is", max_length=5, choices=Sort.choices, default=Sort.CHAIR)
    is_in_use = models.BooleanField("can be booked", default=True)

    history = HistoricalRecords()
    objects: ClassVar[PlaceQuerySet] = PlaceQuerySet.as_manager()  # type: ignore[assignment]  # as_manager's own type hides our methods

    class Meta:
        # the private room first, then chairs and basins
        ordering = [models.Case(models.When(sort="room", then=0), models.When(sort="chair", then=1), default=2), "name"]
        constraints = [
            models.UniqueConstraint(
                Lower("name"),
                name="place_named_once",
                violation_error_message="There is a place of that name already.",
            )
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def is_private(self) -> bool:
        return self.sort == self.Sort.ROOM
