"""Who works here and how this salon measures, counts and signs: the records that every app may point at."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar, TypedDict
from zoneinfo import available_timezones

from django.contrib.auth.models import AbstractUser
from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

if TYPE_CHECKING:
    from salon.colour.charts import Edition
    from salon.colour.reading import PhotoMethod


class Units(models.TextChoices):
    """The two ways this house writes lengths and temperatures; millimetres and °C are what is stored."""

    METRIC = "metric", "Centimetres and °C"
    IMPERIAL = "imperial", "Inches and °F"


class User(AbstractUser):
    """Somebody who signs in. What she may do comes from her role's group (see the roles migration)."""

    units = models.CharField(
        "lengths and temperatures",
        max_length=8,
        choices=Units.choices,
        blank=True,
        help_text="Leave empty to use the salon's own choice.",
    )

    def __str__(self) -> str:
        return self.get_full_name() or self.get_username()


class AccessChange(models.Model):
    """One thing that was done to what somebody may do here, by whom and when; written by the deeds, never edited."""

    class What(models.TextChoices):
        LET_IN = "let in", "Let in"
        NAME = "name", "Name changed"
        ROLE = "role", "Role changed"
        PASSWORD = "password", "New password given"
        ENDED = "ended", "Access ended"
        GIVEN_BACK = "given back", "Access given back"

    user = models.ForeignKey(User, models.PROTECT, related_name="access_changes")
    what = models.CharField(max_length=10, choices=What.choices)
    told = models.CharField("what it became", max_length=320, blank=True)
    by = models.ForeignKey(
        User, models.PROTECT, related_name="+", null=True, blank=True, help_text="Nobody: a terminal."
    )
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["-at", "-pk"]

    def __str__(self) -> str:
        return f"{self.user}: {self.get_what_display()}"


def _real_time_zone(name: str) -> None:
    if name not in available_timezones():
        raise ValidationError(f"“{name}” is not a time zone; write one such as Europe/London.")


class SalonQuerySet(models.QuerySet["Salon"]):
    def default(self) -> Salon:
        """The salon this installation serves; made on first use so that no page has to ask whether it exists."""
        salon = self.order_by("pk").first()
        return salon or self.create()


class PhotoSettings(TypedDict):
    card_reflectance: float
    edition: Edition


class ChartEdition(models.TextChoices):
    """Which published values hold for the patches of the salon's chart."""

    BEFORE = "before", "Before November 2014"
    AFTER = "after", "Since November 2014"


class Salon(models.Model):
    """One salon: what stands on its papers, its zone, its currency, its units."""

    name = models.CharField(max_length=120, default="Our salon")
    address = models.TextField(blank=True)
    phone = models.CharField(max_length=40, blank=True)
    email = models.EmailField(blank=True)
    after_hours_advice = models.CharField(
        "whom to call when the salon is closed",
        max_length=240,
        blank=True,
        help_text="Printed on the consult summary under the salon's own number.",
    )
    time_zone = models.CharField(max_length=64, default="Europe/London", validators=[_real_time_zone])
    currency = models.CharField("currency (ISO 4217)", max_length=3, default="GBP")
    country = models.CharField(
        "country (ISO 3166)",
        max_length=2,
        default="GB",
        help_text="Two capital letters: telephone numbers written without a country are taken to be from here.",
    )
    units = models.CharField("lengths and temperatures", max_length=8, choices=Units.choices, default=Units.METRIC)
    age_of_consent = models.PositiveSmallIntegerField(
        "age from which a client signs for herself",
        default=18,
        help_text="Local law decides; until then a guardian signs.",
    )
    card_reflectance_percent = models.FloatField(
        "the grey card reflects (%)",
        default=18.0,
        validators=[MinValueValidator(5), MaxValueValidator(95)],
        help_text="Printed on the card or in its papers; 18 is the usual one.",
    )
    chart_edition = models.CharField(
        "the 24-patch chart was made",
        max_length=6,
        choices=ChartEdition.choices,
        default=ChartEdition.AFTER,
        help_text="Its patches were changed a little in November 2014; the date is printed on the back.",
    )

    prices_include_tax = models.BooleanField(
        "prices include tax", default=True, help_text="Whether the price list and the catalogue already hold the tax."
    )
    tax_number = models.CharField("tax number", max_length=40, blank=True, help_text="Printed on receipts.")
    return_days = models.PositiveSmallIntegerField(
        "a piece may be brought back within (days)",
        default=14,
        validators=[MaxValueValidator(365)],
        help_text="The salon's own terms. What the law gives a customer where you are comes first.",
    )
    dead_stock_days = models.PositiveSmallIntegerField(
        "a unit lies dead after (days)",
        default=180,
        validators=[MinValueValidator(14), MaxValueValidator(1500)],
        help_text="Days in the drawer from which the review calls it so; common practice.",
    )

    objects: ClassVar[SalonQuerySet] = SalonQuerySet.as_manager()  # type: ignore[assignment]  # as_manager's own type hides our methods

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(currency__regex=r"^[A-Z]{3}$"),
                name="salon_currency_is_a_code",
                violation_error_message="A currency is three capital letters, such as GBP.",
            ),
            models.CheckConstraint(
                condition=Q(country__regex=r"^[A-Z]{2}$"),
                name="salon_country_is_a_code",
                violation_error_message="A country is two capital letters, such as GB.",
            ),
            models.CheckConstraint(
                condition=Q(card_reflectance_percent__gte=5, card_reflectance_percent__lte=95),
                name="salon_card_is_grey",
                violation_error_message="A grey card reflects between 5 and 95 percent; the usual one reflects 18.",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def for_reading_photos(self) -> PhotoSettings:
        """What `salon.colour.reading.read_photo` is told of the salon's card and chart."""
        edition: Edition = "before" if self.chart_edition == ChartEdition.BEFORE else "after"
        return {"card_reflectance": self.card_reflectance_percent / 100, "edition": edition}

    def setting_behind(self, method: PhotoMethod) -> dict[str, float | str]:
        """The one of them that a reading by card or by chart stands on, to be kept with it."""
        if method == "card":
            return {"card_reflectance_percent": self.card_reflectance_percent}
        return {"chart_edition": self.for_reading_photos["edition"]}
