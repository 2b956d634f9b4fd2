"""Who the client is and how the desk finds her."""

from __future__ import annotations

import unicodedata
from datetime import date
from typing import ClassVar

from django.db import models
from django.db.models import F, Q
from django.urls import reverse
from simple_history.models import HistoricalRecords

from salon.common.references import new_reference
from salon.models import User


def folded(text: str) -> str:
    """Small letters without accents, so that “Zoë” is found by “zoe” on every database."""
    decomposed = unicodedata.normalize("NFKD", text.casefold())
    return " ".join("".join(c for c in decomposed if not unicodedata.combining(c)).split())


def digits_backwards(phone: str) -> str:
    """The digits of a phone number, last one first: her last four are then a prefix, which an index finds."""
    return "".join(c for c in reversed(phone) if c.isdigit())


def _client_reference() -> str:
    return new_reference("C")


class ClientQuerySet(models.QuerySet["Client"]):
    def active(self) -> ClientQuerySet:
        """Clients whose record has not been erased."""
        return self.filter(erased_at__isnull=True)

    def found_by(self, typed: str) -> ClientQuerySet:
        """Those whose given, family or preferred name begins with a typed word, whose phone ends with the typed
        digits, or whose reference was typed; every typed word must be met. Ranges, so that an index is used."""
        found = self.active()
        for word in folded(typed).split():
            if word.isdigit():
                found = found.filter(_begins("phone_backwards", digits_backwards(word)))
            else:
                found = found.filter(
                    _begins("given_folded", word)
                    | _begins("family_folded", word)
                    | _begins("preferred_folded", word)
                    | Q(reference=word.upper())
                )
        return found


def _begins(field: str, start: str) -> Q:
    # a range instead of LIKE: SQLite scans the whole table for LIKE … ESCAPE, both databases use the index for this
    return Q(**{f"{field}__gte": start, f"{field}__lt": start + "\uffff"})


class Client(models.Model):
    """A person the salon looks after. What is known about her health is in her assessments, never here."""

    reference = models.CharField(max_length=16, unique=True, editable=False, default=_client_reference)
    given_name = models.CharField(max_length=80)
    family_name = models.CharField(max_length=80)
    preferred_name = models.CharField("what she likes to be called", max_length=80, blank=True)
    phone = models.CharField(max_length=40, blank=True)
    email = models.EmailField(blank=True)
    born_on = models.DateField("date of birth", null=True, blank=True)
    guardian_name = models.CharField("guardian (for a client under age)", max_length=120, blank=True)
    private_note = models.TextField(
        "private note", blank=True, help_text="Never shown while the screen is turned to the client, never printed."
    )
    given_folded = models.CharField(max_length=80, editable=False, db_index=True)
    family_folded = models.CharField(max_length=80, editable=False, db_index=True)
    preferred_folded = models.CharField(max_length=80, editable=False, db_index=True)
    phone_backwards = models.CharField(max_length=40, editable=False, db_index=True)
    created_at = models.DateTimeField(auto_now_add=True)
    created_by = models.ForeignKey(User, models.PROTECT, related_name="+")
    erased_at = models.DateTimeField(null=True, editable=False)

    history = HistoricalRecords(
        excluded_fields=["given_folded", "family_folded", "preferred_folded", "phone_backwards"]
    )
    objects: ClassVar[ClientQuerySet] = ClientQuerySet.as_manager()  # type: ignore[assignment]  # as_manager's own type hides our methods

    class Meta:
        ordering = ["family_folded", "given_folded", "pk"]
        permissions = [("view_health", "Can see assessments and health facts")]
        indexes = [models.Index(F("family_folded"), F("given_folded"), F("id"), name="client_in_order_of_name")]
        constraints = [
            models.CheckConstraint(
                condition=~Q(given_folded="") & ~Q(family_folded=""),
                name="client_has_two_names",
                violation_error_message="A client needs a given name and a family name.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.preferred_name or self.given_name} {self.family_name}"

    def save(self, *args: object, **kwargs: object) -> None:
        self.fold()
        super().save(*args, **kwargs)  # type: ignore[arg-type]  # passed on as they came

    def get_absolute_url(self) -> str:
        return reverse("client", args=[self.reference])

    def clean_fields(self, exclude: object = None) -> None:
        self.fold()
        super().clean_fields(exclude=exclude)  # type: ignore[arg-type]  # Django's own loose signature

    def fold(self) -> None:
        """Bring the search columns in step with the names and the phone."""
        self.given_folded = folded(self.given_name)
        self.family_folded = folded(self.family_name)
        self.preferred_folded = folded(self.preferred_name)
        self.phone_backwards = digits_backwards(self.phone)

    def age_on(self, day: date) -> int | None:
        """Full years on that day; None when her date of birth is not recorded."""
        if self.born_on is None:
            return None
        return day.year - self.born_on.year - ((day.month, day.day) < (self.born_on.month, self.born_on.day))
