"""What was found when an owned piece was looked over, what a strand of it took, and repairs out of the house."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import F, Q
from django.utils.timezone import now

from clients.models import PhotoSet
from fittings.models.entry import Entry, EntryQuerySet
from fittings.models.fitting import Fitting
from fittings.models.owned import OwnedPiece
from pieces.models import Unit
from salon.models import User


class Wear(models.IntegerChoices):
    """How far a part has gone, in four words; empty means not looked at or not there."""

    AS_NEW = 0, "As new"
    LIGHT = 1, "Lightly worn"
    MARKED = 2, "Clearly worn"
    DONE = 3, "At its end"


PARTS = {
    "fibre": "Fibre: frizz or matting",
    "shedding": "Shedding",
    "colour": "Colour: fading",
    "base": "Base: tears",
    "lace": "Lace",
    "clips": "Clips",
    "elastic": "Elastic",
}


def _grade(part: str) -> models.PositiveSmallIntegerField[int | None, int | None]:
    return models.PositiveSmallIntegerField(PARTS[part], choices=Wear.choices, null=True, blank=True)


class ConditionCheck(Entry):
    owned_piece = models.ForeignKey(OwnedPiece, models.PROTECT, related_name="checks")
    fitting = models.ForeignKey(Fitting, models.PROTECT, related_name="checks", null=True, blank=True)
    checked_at = models.DateTimeField(help_text="A correction keeps the time of the check it corrects.")
    recorded_at = models.DateTimeField("written down", default=now)
    checked_by = models.ForeignKey(User, models.PROTECT, related_name="+")
    fibre = _grade("fibre")
    shedding = _grade("shedding")
    colour = _grade("colour")
    base = _grade("base")
    lace = _grade("lace")
    clips = _grade("clips")
    elastic = _grade("elastic")
    note = models.TextField("what was seen", blank=True)
    photo_set = models.ForeignKey(PhotoSet, models.PROTECT, related_name="checks", null=True, blank=True)

    objects: ClassVar[EntryQuerySet] = EntryQuerySet.as_manager()  # type: ignore[assignment]  # as_manager's own type hides our methods

    class Meta:
        ordering = ["-checked_at", "-pk"]
        constraints = [
            *Entry.Meta.constraints,
            models.CheckConstraint(
                condition=Q(struck_out=True)
                | Q(note__regex=r"\S")
                | Q(*(Q(**{f"{part}__isnull": False}) for part in PARTS), _connector=Q.OR),
                name="condition_check_says_something",
                violation_error_message="A check says how at least one part is, or what was seen.",
            ),
            *(
                models.CheckConstraint(
                    condition=Q(**{f"{part}__isnull": True}) | Q(**{f"{part}__lte": Wear.DONE}),
                    name=f"condition_check_{part}_0_to_3",
                    violation_error_message=f"{label}: one of the four words.",
                )
                for part, label in PARTS.items()
            ),
        ]

    def __str__(self) -> str:
        return f"{self.owned_piece.reference} looked over on {self.checked_at:%d %b %Y}"

    @property
    def grades(self) -> dict[str, int]:
        """The parts that were looked at."""
        return {part: getattr(self, part) for part in PARTS if getattr(self, part) is not None}

    @property
    def worst(self) -> int | None:
        return max(self.grades.values(), default=None)


class StrandTest(Entry):
    """One strand of one unit, tried with a product before the rest of it is."""

    unit = models.ForeignKey(Unit, models.PROTECT, related_name="strand_tests")
    fitting = models.ForeignKey(Fitting, models.PROTECT, related_name="strand_tests", null=True, blank=True)
    product = models.CharField(max_length=120)
    lot = models.CharField("lot number", max_length=40, blank=True)
    minutes = models.PositiveSmallIntegerField("left on for (minutes)", null=True, blank=True)
    held = models.BooleanField("the strand took it well")
    seen = models.CharField("what was seen", max_length=240)
    tested_at = models.DateTimeField()
    tested_by = models.ForeignKey(User, models.PROTECT, related_name="+")
    photo_set = models.ForeignKey(PhotoSet, models.PROTECT, related_name="strand_tests", null=True, blank=True)
    once = models.UUIDField(
        "key of the form that kept it", unique=True, null=True, blank=True, help_text="A form sent twice keeps one."
    )

    objects: ClassVar[EntryQuerySet] = EntryQuerySet.as_manager()  # type: ignore[assignment]  # as_manager's own type hides our methods

    class Meta:
        ordering = ["-tested_at", "-pk"]
        constraints = [
            *Entry.Meta.constraints,
            models.CheckConstraint(
                condition=Q(product__regex=r"\S", seen__regex=r"\S"),
                name="strand_test_says_what_was_seen",
                violation_error_message="A strand test says which product was tried and what was seen.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.product} on a strand of {self.unit}"


class Repair(models.Model):
    """A repair out of the house: to whom, and when it comes back. One done in the salon is a service alone."""

    owned_piece = models.ForeignKey(OwnedPiece, models.PROTECT, related_name="repairs")
    what = models.CharField("what is repaired", max_length=240)
    done_by = models.CharField("who repairs it", max_length=120)
    sent_on = models.DateField()
    expected_on = models.DateField("expected back on", null=True, blank=True)
    back_on = models.DateField("came back on", null=True, blank=True)
    found = models.CharField("how it came back", max_length=240, blank=True)
    cost_minor = models.PositiveIntegerField("cost", null=True, blank=True)
    sent_by = models.ForeignKey(User, models.PROTECT, related_name="+")
    sent_at = models.DateTimeField()
    back_by = models.ForeignKey(User, models.PROTECT, related_name="+", null=True, blank=True)
    back_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-sent_on", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["owned_piece"],
                condition=Q(back_on__isnull=True),
                name="repair_one_at_a_time",
                violation_error_message="This piece is away for a repair already.",
            ),
            models.CheckConstraint(
                condition=Q(back_on__isnull=True, back_by__isnull=True, back_at__isnull=True)
                | Q(back_on__gte=F("sent_on"), back_by__isnull=False, back_at__isnull=False),
                name="repair_back_after_it_was_sent",
                violation_error_message="A piece comes back on or after the day it was sent, and somebody takes it in.",
            ),
            models.CheckConstraint(
                condition=Q(what__regex=r"\S", done_by__regex=r"\S"),
                name="repair_says_what_and_by_whom",
                violation_error_message="A repair says what is repaired and who does it.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.owned_piece.reference} to {self.done_by}"
