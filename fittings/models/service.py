"""What is planned and done to a piece or to the client's own hair, and who let it pass a stop.

A service is planned, and then done; once it is done it is never edited or removed, only corrected by another.
"""

from __future__ import annotations

from typing import ClassVar

from django.core.serializers.json import DjangoJSONEncoder
from django.db import models
from django.db.models import Q

from clients.models import PhotoSet
from fittings.models.entry import Entry, EntryQuerySet
from fittings.models.fitting import Candidate, Fitting, TryOn
from fittings.models.owned import OwnedPiece
from pieces.models import Unit
from salon.models import User


class ServiceQuerySet(EntryQuerySet):
    def done(self) -> ServiceQuerySet:
        """Done and not corrected since."""
        return self.standing().filter(done_at__isnull=False)  # type: ignore[no-any-return]  # abstract rows are untyped

    def planned(self) -> ServiceQuerySet:
        """Not done yet."""
        return self.filter(done_at__isnull=True)

    def of_unit(self, unit: Unit) -> ServiceQuerySet:
        """To this unit, whoever's it was: while she owned it, or as the piece she tried on."""
        tried = TryOn.objects.filter(unit=unit).values("candidate")
        return self.filter(Q(owned_piece__unit=unit) | Q(candidate__in=tried))


class Service(Entry):
    """One thing planned or done in a visit. `facts` carry the names the rules know, `details` what else is recorded."""

    class Kind(models.TextChoices):
        CUT_IN = "cut-in", "Cut-in"
        HEAT = "heat", "Heat styling"
        STEAM = "steam", "Steam"
        COLOUR = "colour", "Colour"
        TONE = "tone", "Tone"
        FIXING = "fixing", "Fixing to the head"
        TAPE = "tape set", "Tape set"
        CLIPS = "clips", "Clips moved"
        WASH = "wash", "Wash and care"
        REPAIR = "repair", "Repair"

    fitting = models.ForeignKey(Fitting, models.PROTECT, related_name="services")
    candidate = models.ForeignKey(Candidate, models.PROTECT, related_name="services", null=True, blank=True)
    owned_piece = models.ForeignKey(OwnedPiece, models.PROTECT, related_name="services", null=True, blank=True)
    kind = models.CharField(max_length=8, choices=Kind.choices)
    facts = models.JSONField(default=dict, blank=True)
    details = models.JSONField(
        encoder=DjangoJSONEncoder,
        default=dict,
        blank=True,
        help_text="What was used and where, by the kind of service.",
    )
    note = models.CharField(max_length=240, blank=True)
    price_minor = models.PositiveIntegerField("price", default=0)
    findings = models.JSONField(default=list, blank=True, help_text="What the rules said when it was planned.")
    planned_by = models.ForeignKey(User, models.PROTECT, related_name="+")
    planned_at = models.DateTimeField(auto_now_add=True)
    done_by = models.ForeignKey(User, models.PROTECT, related_name="+", null=True, blank=True)
    done_at = models.DateTimeField(null=True, blank=True)
    photos_before = models.ForeignKey(PhotoSet, models.PROTECT, related_name="+", null=True, blank=True)
    photos_after = models.ForeignKey(PhotoSet, models.PROTECT, related_name="+", null=True, blank=True)
    once = models.UUIDField(
        "key of the form that logged it", unique=True, null=True, blank=True, help_text="A form sent twice logs once."
    )

    objects: ClassVar[ServiceQuerySet] = ServiceQuerySet.as_manager()  # type: ignore[assignment]  # as_manager's own type hides our methods

    class Meta:
        ordering = ["pk"]
        constraints = [
            *Entry.Meta.constraints,
            models.CheckConstraint(
                condition=Q(done_at__isnull=True, done_by__isnull=True)
                | Q(done_at__isnull=False, done_by__isnull=False),
                name="service_done_by_somebody",
                violation_error_message="A service that was done says when and by whom.",
            ),
            models.CheckConstraint(
                condition=Q(corrects__isnull=True) | Q(done_at__isnull=False),
                name="service_only_what_was_done_is_corrected",
                violation_error_message="What is only planned is changed, not corrected.",
            ),
            models.CheckConstraint(
                condition=Q(candidate__isnull=True) | Q(owned_piece__isnull=True),
                name="service_on_one_piece",
                violation_error_message="A service is done to a piece chosen to try or to one she owns, not to both.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} in {self.fitting}"

    @property
    def is_done(self) -> bool:
        return self.done_at is not None


class Override(models.Model):
    """An owner let a plan pass a stop, and wrote why; kept and printed."""

    fitting = models.ForeignKey(Fitting, models.PROTECT, related_name="overrides")
    service = models.ForeignKey(Service, models.PROTECT, related_name="overrides", null=True, blank=True)
    candidate = models.ForeignKey(Candidate, models.PROTECT, related_name="overrides", null=True, blank=True)
    rule_id = models.CharField(max_length=60)
    finding = models.TextField()
    reason = models.TextField()
    owner = models.ForeignKey(User, models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["pk"]
        permissions = [("pass_stop", "May go past a stop with a written reason")]
        constraints = [
            models.CheckConstraint(
                condition=Q(reason__regex=r"\S"),
                name="override_has_a_reason",
                violation_error_message="Going past a stop needs a written reason.",
            )
        ]

    def __str__(self) -> str:
        return f"{self.rule_id} in {self.fitting}"
