"""What a client tells about herself before her visit, on the salon's tablet or at home, and the link that lets her.

The link works once and for a time. Only its digest is kept: who reads the table can't open it.
"""

from __future__ import annotations

from datetime import datetime
from typing import ClassVar

from django.db import models
from django.db.models import F, Q

from clients.models.assessment import Chemotherapy, YesNo
from clients.models.client import Client
from clients.models.consent import SignedWhere
from salon.models import User


class LinkState(models.TextChoices):
    WAITING = "waiting", "Waiting"
    USED = "used", "Used"
    OVER = "over", "Over"
    TAKEN_BACK = "taken back", "Taken back"


class IntakeLinkQuerySet(models.QuerySet["IntakeLink"]):
    def usable(self, at: datetime) -> IntakeLinkQuerySet:
        """Not used, not taken back, not over."""
        return self.filter(used_at__isnull=True, revoked_at__isnull=True, expires_at__gt=at)


class IntakeLink(models.Model):
    """Opens the intake of one client, once."""

    client = models.ForeignKey(Client, models.PROTECT, related_name="intake_links")
    digest = models.CharField(max_length=64, unique=True, editable=False)
    where = models.CharField(max_length=6, choices=[(w.value, w.label) for w in (SignedWhere.TABLET, SignedWhere.HOME)])
    made_by = models.ForeignKey(User, models.PROTECT, related_name="+")
    made_at = models.DateTimeField()
    expires_at = models.DateTimeField()
    used_at = models.DateTimeField(null=True, blank=True)
    revoked_at = models.DateTimeField(null=True, blank=True)
    revoked_by = models.ForeignKey(User, models.PROTECT, related_name="+", null=True, blank=True)

    objects: ClassVar[IntakeLinkQuerySet] = IntakeLinkQuerySet.as_manager()  # type: ignore[assignment]  # as_manager's own type hides our methods

    class Meta:
        ordering = ["-made_at", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(expires_at__gt=F("made_at")),
                name="intake_link_expires_after_it_was_made",
                violation_error_message="A link is over after it was made.",
            ),
            models.CheckConstraint(
                condition=Q(revoked_at__isnull=True, revoked_by__isnull=True)
                | Q(revoked_at__isnull=False, revoked_by__isnull=False, used_at__isnull=True),
                name="intake_link_revoked_by_somebody",
                violation_error_message="A link that was not used is taken back by somebody.",
            ),
        ]

    def __str__(self) -> str:
        return f"Intake link of {self.client.reference}"

    def state_at(self, at: datetime) -> LinkState:
        if self.used_at:
            return LinkState.USED
        if self.revoked_at:
            return LinkState.TAKEN_BACK
        return LinkState.WAITING if at < self.expires_at else LinkState.OVER


class Intake(models.Model):
    """Her answers, in her own words, as she sent them; a fact of the moment, never edited. Empty means not answered."""

    client = models.ForeignKey(Client, models.PROTECT, related_name="intakes")
    link = models.OneToOneField(IntakeLink, models.PROTECT, related_name="intake")
    sent_at = models.DateTimeField()
    story = models.TextField("what she tells", blank=True)
    losing_since = models.CharField("since when", max_length=80, blank=True)
    chemotherapy = models.CharField(max_length=10, choices=Chemotherapy.choices, blank=True)
    under_treatment = models.CharField(
        "a doctor treats her hair or scalp", max_length=3, choices=YesNo.choices, blank=True
    )
    reacts = models.CharField("has reacted to something", max_length=3, choices=YesNo.choices, blank=True)
    substances = models.JSONField("reacts to", default=list, blank=True)
    reaction = models.TextField("what happened", blank=True)
    medicines = models.TextField("what the stylist should know of her health", blank=True)
    wishes = models.TextField("what she wishes for", blank=True)
    taken_over_at = models.DateTimeField("taken into an examination", null=True, blank=True)
    taken_over_by = models.ForeignKey(User, models.PROTECT, related_name="+", null=True, blank=True)

    class Meta:
        ordering = ["-sent_at", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(taken_over_at__isnull=True, taken_over_by__isnull=True)
                | Q(taken_over_at__gte=F("sent_at"), taken_over_by__isnull=False),
                name="intake_taken_over_by_somebody",
                violation_error_message="Somebody takes the answers over, after they were sent.",
            )
        ]

    def __str__(self) -> str:
        return f"Intake of {self.client.reference}"
