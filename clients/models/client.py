"""Who the client is and how the desk finds her."""

from __future__ import annotations

from datetime import date
from typing import ClassVar

from django.db import models
from django.db.models import F, Q
from django.urls import reverse
from simple_history.models import HistoricalRecords

from clients.models.finding import Matches
from clients.models.search import LONGEST_FOLDED, LONGEST_KEY, digits_backwards, folded
from salon.common.references import new_reference
from salon.models import User


def _client_reference() -> str:
    return new_reference("C")


class ClientQuerySet(models.QuerySet["Client"]):
    def active(self) -> ClientQuerySet:
        """Clients whose record has not been erased, nor gone into another one of the same person."""
        return self.filter(erased_at__isnull=True, merged_into__isnull=True)

    def that_went_into(self, *clients: Client) -> list[Client]:
        """The records that went into these, and those that had gone into them before."""
        found: list[Client] = []
        into: list[Client] = list(clients)
        while into := list(self.filter(merged_into__in=into)):
            found += into
        return found

    def standing_for(self, reference: str) -> Client | None:
        """The record that the one with this reference went into, in the end; None when it went nowhere."""
        client = self.filter(reference=reference, merged_into__isnull=False).select_related("merged_into").first()
        while client and client.merged_into_id:
            client = self.select_related("merged_into").get(pk=client.merged_into_id)
        return client

    def found_by(self, typed: str) -> Matches[Client]:
        """Those who meet every typed word or number, to be cut: `found_by("ann")[:12]` reads no more than it gives.

        A word of hers begins with what was typed, or from three letters on holds it; her number ends with the digits,
        or from four on holds them; her e-mail address or its domain begins so; or her reference does. A record that
        went into hers finds her too. Beginnings first, in order of the word and then of her name. Everybody by name
        when nothing was typed, nobody when it holds no letter or digit.
        """
        return Matches(self.active(), SearchKey.objects.all(), typed)


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


class SearchKey(models.Model):
    """One beginning by which quick find finds a client; what it says is for `clients.models.search`, and
    `clients.indexing` keeps it in step. Records that were erased or went into another one have none."""

    client = models.ForeignKey(
        Client, models.CASCADE, related_name="search_keys", db_index=False
    )  # the constraint has one
    key = models.BinaryField(max_length=LONGEST_KEY)

    class Meta:
        ordering = ["client", "key"]
        indexes = [models.Index(fields=["key", "client"], name="search_key_in_order")]  # read without the rows
        constraints = [models.UniqueConstraint(fields=["client", "key"], name="search_key_once_for_a_client")]

    def __str__(self) -> str:
        return bytes(self.key).decode(errors="replace")
