"""What a client has agreed to, in which words, and since when."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import Q

from clients.models.client import Client
from salon.models import User


class ConsentKind(models.TextChoices):
    RECORD = "record", "Keeping a record of my hair, scalp and health"
    PHOTOS = "photos", "Photos kept in my record"
    PUBLICITY = "publicity", "Photos shown outside the salon"
    REMINDERS = "reminders", "Reminders by message"


class SignedHow(models.TextChoices):
    TYPED = "typed", "By her name, typed"
    DRAWN = "drawn", "By hand, drawn"


class SignedWhere(models.TextChoices):
    DESK = "desk", "At the desk"
    TABLET = "tablet", "On the salon's tablet"
    HOME = "home", "At home, by a link"


class ConsentQuerySet(models.QuerySet["Consent"]):
    def live(self) -> ConsentQuerySet:
        """Given and not withdrawn."""
        return self.filter(withdrawn_at__isnull=True)

    def allows_record(self, client: Client) -> bool:
        """Whether anything about this client's health may be written down."""
        return self.live().filter(client=client, kind=ConsentKind.RECORD).exists()

    def allows_photos(self, client: Client) -> bool:
        """Whether photos of this client may be taken, and those kept be looked at."""
        return self.live().filter(client=client, kind=ConsentKind.PHOTOS).exists()


class Consent(models.Model):
    """One agreement, in the exact words that were shown; withdrawn by a date, never deleted."""

    client = models.ForeignKey(Client, models.PROTECT, related_name="consents")
    kind = models.CharField(max_length=10, choices=ConsentKind.choices)
    text_version = models.CharField(max_length=20)
    text = models.TextField()
    signed_name = models.CharField("signed by", max_length=120)
    guardian_name = models.CharField("guardian", max_length=120, blank=True)
    signed_how = models.CharField(max_length=5, choices=SignedHow.choices, default=SignedHow.TYPED)
    signed_where = models.CharField(max_length=6, choices=SignedWhere.choices, default=SignedWhere.DESK)
    signature = models.JSONField(
        "the strokes drawn",
        default=list,
        blank=True,
        help_text="Strokes of [x, y] points, shares of the width of the pad (0 to 1), y downwards.",
    )
    given_at = models.DateTimeField()
    recorded_by = models.ForeignKey(User, models.PROTECT, related_name="+")
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    withdrawn_by = models.ForeignKey(User, models.PROTECT, related_name="+", null=True, blank=True)
    withdrawn_by_link = models.BooleanField("she withdrew it herself, by a link", default=False)

    objects: ClassVar[ConsentQuerySet] = ConsentQuerySet.as_manager()  # type: ignore[assignment]  # as_manager's own type hides our methods

    class Meta:
        ordering = ["-given_at", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["client", "kind"],
                condition=Q(withdrawn_at__isnull=True),
                name="consent_one_live_of_a_kind",
                violation_error_message="This consent is already on file; withdraw it before a new one is signed.",
            ),
            models.CheckConstraint(
                condition=~Q(signed_name=""),
                name="consent_is_signed",
                violation_error_message="A consent needs the name of the person who signs it.",
            ),
            models.CheckConstraint(
                condition=Q(signed_how="typed", signature=[]) | (Q(signed_how="drawn") & ~Q(signature=[])),
                name="consent_drawn_or_typed",
                violation_error_message="A signature is either drawn or typed.",
            ),
            models.CheckConstraint(
                condition=Q(withdrawn_at__isnull=True, withdrawn_by__isnull=True, withdrawn_by_link=False)
                | Q(withdrawn_at__gte=models.F("given_at"), withdrawn_by__isnull=False, withdrawn_by_link=False)
                | Q(withdrawn_at__gte=models.F("given_at"), withdrawn_by__isnull=True, withdrawn_by_link=True),
                name="consent_withdrawn_after_it_was_given",
                violation_error_message="A consent is withdrawn by somebody, after it was given.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} ({self.given_at:%d %b %Y})"
