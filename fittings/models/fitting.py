"""One visit, the pieces proposed in it and the pieces tried on."""

from __future__ import annotations

from typing import Any, ClassVar

from django.core.serializers.json import DjangoJSONEncoder
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.urls import reverse
from django.utils.functional import cached_property

from clients.models import Assessment, Client
from fittings.keeping_pieces import KeptPiece, piece_as_kept
from fittings.models.desk import Appointment
from pieces.models import Unit, Variant
from salon.common.references import new_reference
from salon.models import User


def _fitting_reference() -> str:
    return new_reference("F")


class FittingQuerySet(models.QuerySet["Fitting"]):
    def open(self) -> FittingQuerySet:
        """Visits that have begun and are not finished."""
        return self.filter(finished_at__isnull=True)

    def finished(self) -> FittingQuerySet:
        return self.filter(finished_at__isnull=False)


class Fitting(models.Model):
    """One visit: from the story, or a short fitting, to the paper in the client's hand."""

    reference = models.CharField(max_length=16, unique=True, editable=False, default=_fitting_reference)
    client = models.ForeignKey(Client, models.PROTECT, related_name="fittings")
    stylist = models.ForeignKey(User, models.PROTECT, related_name="fittings")
    appointment = models.OneToOneField(Appointment, models.PROTECT, related_name="fitting", null=True, blank=True)
    assessment = models.ForeignKey(Assessment, models.PROTECT, related_name="fittings", null=True, blank=True)
    began_at = models.DateTimeField()
    finished_at = models.DateTimeField(null=True, blank=True)
    finished_by = models.ForeignKey(User, models.PROTECT, related_name="+", null=True, blank=True)
    why_chosen = models.TextField("why this one", blank=True)
    next_visit_on = models.DateField("next visit", null=True, blank=True)
    none_chosen_because = models.CharField("nothing chosen, because", max_length=240, blank=True)

    objects: ClassVar[FittingQuerySet] = FittingQuerySet.as_manager()  # type: ignore[assignment]  # as_manager's own type hides our methods

    class Meta:
        ordering = ["-began_at", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(finished_at__isnull=True, finished_by__isnull=True)
                | Q(finished_at__gte=models.F("began_at"), finished_by__isnull=False),
                name="fitting_finished_after_it_began",
                violation_error_message="A visit is finished by somebody, after it began.",
            ),
            models.UniqueConstraint(
                fields=["client"],
                condition=Q(finished_at__isnull=True),
                name="fitting_one_open_of_a_client",
                violation_error_message="A visit of this client is already open; go on with that one.",
            ),
        ]

    def __str__(self) -> str:
        return self.reference

    def get_absolute_url(self) -> str:
        return reverse("fitting", args=[self.reference])

    @property
    def is_finished(self) -> bool:
        return self.finished_at is not None


class Candidate(models.Model):
    """A piece proposed for a client, frozen as computed: the piece itself, placement, colour, findings, rules."""

    class Verdict(models.TextChoices):
        FITS = "fits", "Fits"
        WITH_CHANGE = "with a change", "Fits with a change"
        NOT = "does not fit", "Does not fit"

    fitting = models.ForeignKey(Fitting, models.PROTECT, related_name="candidates")
    assessment = models.ForeignKey(Assessment, models.PROTECT, related_name="candidates")
    variant = models.ForeignKey(Variant, models.PROTECT, related_name="candidates")
    piece_as_chosen = models.JSONField(
        encoder=DjangoJSONEncoder, help_text="Variant, piece, base and shade as they were; see `keeping_pieces`."
    )
    verdict = models.CharField(max_length=14, choices=Verdict.choices)
    set_back_mm = models.FloatField()
    side_shift_mm = models.FloatField()
    turned = models.BooleanField()
    cover = models.FloatField()
    uncovered_cm2 = models.FloatField()
    margin_mm = models.FloatField(null=True, blank=True)
    clips_holding = models.PositiveSmallIntegerField()
    clips_total = models.PositiveSmallIntegerField()
    colour = models.JSONField(default=dict, blank=True, help_text="Difference per zone and weighted, doubt and band.")
    findings = models.JSONField(default=list, blank=True, help_text="Each finding with its rule's id and date.")
    house_rules = models.JSONField(default=dict, blank=True, help_text="The house rules it was computed with.")
    price_minor = models.PositiveIntegerField()
    currency = models.CharField(max_length=3)
    chosen_by = models.ForeignKey(User, models.PROTECT, related_name="+")
    chosen_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["pk"]
        indexes = [models.Index(fields=["variant", "chosen_at"], name="candidate_of_variant")]
        constraints = [
            models.UniqueConstraint(
                fields=["fitting", "assessment", "variant"],
                name="candidate_once_for_an_assessment",
                violation_error_message="This piece is already among those to try.",
            ),
            models.CheckConstraint(
                condition=Q(cover__gte=0, cover__lte=1),
                name="candidate_cover_0_to_1",
                violation_error_message="Cover is a share between 0 and 1.",
            ),
            models.CheckConstraint(
                condition=Q(clips_holding__lte=models.F("clips_total")),
                name="candidate_no_more_clips_hold_than_there_are",
                violation_error_message="No more clips can hold than the base has.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.variant} for {self.fitting}"

    @cached_property
    def kept(self) -> KeptPiece:
        """The piece as it was when it was chosen to try, whatever the catalogue says of it today."""
        return piece_as_kept(self.piece_as_chosen)

    @property
    def is_earlier(self) -> bool:
        """It was placed by an examination that a newer one in the same visit has replaced."""
        return self.assessment_id != self.fitting.assessment_id

    @property
    def name(self) -> str:
        """Piece and shade, told apart from the same piece placed anew."""
        return f"{self.kept.name} (by the earlier examination)" if self.is_earlier else self.kept.name


class TryOn(models.Model):
    """One piece put on the client, with what was seen and said."""

    class Grade(models.TextChoices):
        """How well, in three words that need no scale."""

        WELL = "well", "Well"
        NEARLY = "nearly", "Nearly"
        NOT = "not", "Not"

    class Outcome(models.TextChoices):
        TRIED = "tried", "Tried"
        CHOSEN = "chosen", "Chosen"
        SECOND = "second", "Chosen as the second of a pair"

    fitting = models.ForeignKey(Fitting, models.PROTECT, related_name="try_ons")
    candidate = models.ForeignKey(Candidate, models.PROTECT, related_name="try_ons")
    unit = models.ForeignKey(Unit, models.PROTECT, related_name="try_ons", null=True, blank=True)
    covers = models.CharField("how it covers", max_length=6, choices=Grade.choices)
    sits = models.CharField("how it sits", max_length=6, choices=Grade.choices)
    matches = models.CharField("how it matches", max_length=6, choices=Grade.choices)
    set_back_mm = models.PositiveSmallIntegerField(
        "set-back as worn", null=True, blank=True, validators=[MinValueValidator(0), MaxValueValidator(300)]
    )
    her_words = models.TextField("what she said", blank=True)
    findings = models.JSONField(default=list, blank=True, help_text="What the rules said of it as worn.")
    outcome = models.CharField(max_length=6, choices=Outcome.choices, default=Outcome.TRIED)
    logged_by = models.ForeignKey(User, models.PROTECT, related_name="+")
    logged_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["fitting"],
                condition=Q(outcome="chosen"),
                name="try_on_one_chosen_in_a_fitting",
                violation_error_message="One piece is already chosen; choose this one as the second of a pair.",
            ),
            models.UniqueConstraint(
                fields=["fitting"],
                condition=Q(outcome="second"),
                name="try_on_one_second_in_a_fitting",
                violation_error_message="The second piece of the pair is already chosen.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.candidate.variant} tried in {self.fitting}"

    @property
    def said_as_worn(self) -> list[dict[str, Any]]:
        """Stops and cautions about the piece as worn that were not said when it was chosen."""
        chosen_with = {(one["rule_id"], one["says"]) for one in self.candidate.findings}
        return [
            one
            for one in self.findings
            if one["severity"] != "note"
            and one["about"] != "client"
            and (one["rule_id"], one["says"]) not in chosen_with
        ]
