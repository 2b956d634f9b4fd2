"""Who the client is and how the desk finds her."""

from __future__ import annotations

from datetime import date
from typing import ClassVar

from django.db import models
from django.db.models import F, Q
from django.urls import reverse
from simple_history.models import HistoricalRecords

from clients.models.search import (
    LONGEST_FOLDED,
    PHONE_TAIL,
    digits_backwards,
    folded,
    has_digit,
    phone_tail,
    reference_in,
    search_terms,
)
from salon.common.references import new_reference
from salon.models import User


def _client_reference() -> str:
    return new_reference("C")


class ClientQuerySet(models.QuerySet["Client"]):
    def active(self) -> ClientQuerySet:
        """Clients whose record has not been erased, nor gone into another one of the same person."""
        return self.filter(erased_at__isnull=True, merged_into__isnull=True)

    def found_by(self, typed: str) -> ClientQuerySet:
        """Those who meet every typed word, a word of a name beginning with it or the phone ending with the digits; or
        the one whose reference it is. Everybody when nothing was typed, nobody when it holds no letter or digit."""
        terms, reference = list(search_terms(typed)), reference_in(typed)
        if not terms:
            return self.none() if typed.strip() else self.active()
        if reference and has_digit(typed):
            return self.active().filter(reference=reference)
        found = self.active()
        for term in terms:
            if term.is_phone:
                found = found.filter(phone_backwards__begins=term.text)
            else:
                found = found.filter(pk__in=NameWord.objects.filter(word__begins=term.text).values("client"))
        if reference:  # without a digit it may be a long name, one in thirty-odd of which happens to look like one
            found |= self.active().filter(reference=reference)
        return found

    def alike(self, *, given_name: str, family_name: str, phone: str) -> ClientQuerySet:
        """Those who may be the same person: both names alike, or the same phone."""
        same = Q(family_folded=folded(family_name), given_folded=folded(given_name))
        if len(phone_tail(phone)) == PHONE_TAIL:
            same |= Q(phone_backwards__begins=phone_tail(phone))
        return self.active().filter(same)


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
    given_folded = models.CharField(max_length=LONGEST_FOLDED, editable=False)
    family_folded = models.CharField(max_length=LONGEST_FOLDED, editable=False)
    phone_backwards = models.CharField(max_length=40, editable=False, db_index=True)
    email_folded = models.CharField(max_length=254, editable=False, db_index=True, default="")
    created_at = models.DateTimeField(auto_now_add=True)
    created_by = models.ForeignKey(User, models.PROTECT, related_name="+")
    merged_into = models.ForeignKey(
        "self", models.PROTECT, related_name="merged_from", null=True, blank=True, editable=False
    )
    erased_at = models.DateTimeField(null=True, editable=False)

    _history_user: User
    history = HistoricalRecords(excluded_fields=["given_folded", "family_folded", "phone_backwards", "email_folded"])
    objects: ClassVar[ClientQuerySet] = ClientQuerySet.as_manager()  # type: ignore[assignment]  # as_manager's own type hides our methods

    class Meta:
        ordering = ["family_folded", "given_folded", "pk"]
        permissions = [
            ("view_health", "Can see assessments and health facts"),
            ("import_clients", "Can take clients in from a file"),
        ]
        indexes = [models.Index(F("family_folded"), F("given_folded"), F("id"), name="client_in_order_of_name")]
        constraints = [
            models.CheckConstraint(
                condition=~Q(given_folded="") & ~Q(family_folded=""),
                name="client_has_two_names",
                violation_error_message="A client needs a given name and a family name.",
            ),
            models.CheckConstraint(
                condition=Q(born_on__isnull=True) | Q(born_on__gte=date(1900, 1, 1)),
                name="client_born_since_1900",
                violation_error_message="A date of birth lies in 1900 or later; write the year with four digits.",
            ),
            models.CheckConstraint(
                condition=Q(merged_into__isnull=True) | ~Q(merged_into=F("id")),
                name="client_not_merged_into_herself",
                violation_error_message="A record can't go into itself.",
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
        self.phone_backwards = digits_backwards(self.phone)
        self.email_folded = self.email.strip().casefold()[:254]

    def age_on(self, day: date) -> int | None:
        """Full years on that day; None when her date of birth is not recorded."""
        if self.born_on is None:
            return None
        return day.year - self.born_on.year - ((day.month, day.day) < (self.born_on.month, self.born_on.day))


class NameWord(models.Model):
    """One word of a client's names as quick find compares it; kept in step by `clients.registering`."""

    client = models.ForeignKey(
        Client, models.CASCADE, related_name="name_words", db_index=False
    )  # the constraint has one
    word = models.CharField(max_length=LONGEST_FOLDED)

    class Meta:
        ordering = ["client", "word"]
        indexes = [  # with the client in it, no word's own row is read; the classes are PostgreSQL's for LIKE
            models.Index(
                fields=["word", "client"], name="name_word_begins", opclasses=["varchar_pattern_ops", "int8_ops"]
            )
        ]
        constraints = [models.UniqueConstraint(fields=["client", "word"], name="name_word_once_for_a_client")]

    def __str__(self) -> str:
        return self.word
