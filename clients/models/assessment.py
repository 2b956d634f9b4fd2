"""One dated examination of a client's hair and scalp: what was told, measured, painted and wished.

A draft is edited step by step by `clients.assessing`; signing off freezes it, and a change after that is a new
assessment that starts from the old one.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, ClassVar

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.db.models.functions import Length
from django.db.models.lookups import Exact
from django.utils import timezone

from clients.models.client import Client
from clients.models.photo import Photo
from salon.common.references import new_reference
from salon.models import User

NO_LOSS_HEX = "64" * 4096  # 64 × 64 cells at 100 % remaining


class YesNo(models.TextChoices):
    """An answer that may be missing: empty means not asked, never “no”."""

    YES = "yes", "Yes"
    NO = "no", "No"


class ReferralSign(models.TextChoices):
    """Signs with which a doctor should look first; the salon names none of their causes.

    From NHS Lothian RefHelp, BNSSG Remedy and GPnotebook (READ); pain, itch, sores, brows, general illness and changes
    of the cycle are general teaching (MEMORY).
    """

    SUDDEN = "sudden", "Came suddenly, within weeks, or falls heavily after a birth, an illness or a new medicine"
    PATCHY = "patchy", "Round or clear-edged patches, or short broken hairs at an edge"
    EXTENSIVE = "extensive", "Most of the hair gone, or a loss that goes on and no doctor has seen"
    PAIN = "pain", "Pain or burning"
    ITCH = "itch", "Heavy itching"
    SCALING = "scaling", "Scaling or crusts"
    PUSTULES = "pustules", "Spots with pus, lumps, bleeding or a sore that does not heal"
    SHINY = "shiny", "Smooth, shiny or sunken skin without openings, or inflamed at the edge"
    BROWS = "brows", "Brows or lashes thinning too"
    CHILD = "child", "The client is a child"
    EXPECTING = "expecting", "Pregnant or breastfeeding"
    UNWELL = "unwell", "Feeling generally unwell: fever, weight change, aching joints"
    CYCLE = "cycle", "Periods have changed, or hair grows newly on the face"
    PULLED = "pulled", "Her hand goes to her hair and pulls it out, perhaps without her noticing"


class Chemotherapy(models.TextChoices):
    NONE = "none", "No"
    EXPECTED = "expected", "Planned"
    UNDER_WAY = "under way", "Under way"
    FINISHED = "finished", "Finished"


class ScalpCondition(models.TextChoices):
    SOUND = "sound", "Sound"
    BROKEN = "broken", "Broken skin"
    INFLAMED = "inflamed", "Red or sore"
    INFECTED = "infected", "Looks infected"
    IRRADIATED = "irradiated", "Radiotherapy to the head, now or before"
    TREATED = "under treatment", "Under a doctor's treatment"


class CurlPattern(models.TextChoices):
    STRAIGHT = "straight", "Straight"
    WAVY = "wavy", "Wavy"
    CURLY = "curly", "Curly"
    COILY = "coily", "Coily"


class Thickness(models.TextChoices):
    FINE = "fine", "Fine"
    MEDIUM = "medium", "Medium"
    COARSE = "coarse", "Coarse"


class HairCondition(models.TextChoices):
    NATURAL = "natural", "Natural"
    COLOURED = "coloured", "Coloured"
    LIGHTENED = "lightened", "Lightened"
    RELAXED = "relaxed", "Relaxed or permed"


class Scale(models.TextChoices):
    """A published way to name a pattern of loss; its stages and their words are in `clients.scalp.scales`."""

    LUDWIG = "ludwig", "Ludwig 1977"
    SINCLAIR = "sinclair", "Sinclair 2004"
    NORWOOD = "norwood", "Norwood–Hamilton 1975"
    OLSEN = "olsen", "Olsen 1999"


class Parting(models.TextChoices):
    LEFT = "left", "Left"
    CENTRE = "centre", "Centre"
    RIGHT = "right", "Right"
    NONE = "none", "None"


class AssessmentQuerySet(models.QuerySet["Assessment"]):
    def drafts(self) -> AssessmentQuerySet:
        return self.filter(state=Assessment.State.DRAFT)

    def signed_off(self) -> AssessmentQuerySet:
        """Signed and still the newest word, not superseded."""
        return self.filter(state=Assessment.State.SIGNED_OFF)

    def over_time(self) -> AssessmentQuerySet:
        """Every one that was signed with a painted map, replaced since or not, newest first."""
        signed = self.exclude(state=Assessment.State.DRAFT).filter(map_painted=True)
        return signed.order_by("-signed_at", "-pk")

    def without_maps(self) -> AssessmentQuerySet:
        """For lists: leaves the 8 kB map in the database."""
        return self.defer("density_hex")


def _assessment_reference() -> str:
    return new_reference("A")


def _between(low: int, high: int) -> list[Callable[[Any], None]]:
    return [MinValueValidator(low), MaxValueValidator(high)]


class Assessment(models.Model):
    class State(models.TextChoices):
        DRAFT = "draft", "Being written"
        SIGNED_OFF = "signed off", "Signed off"
        SUPERSEDED = "superseded", "Replaced by a newer one"

    reference = models.CharField(max_length=16, unique=True, editable=False, default=_assessment_reference)
    client = models.ForeignKey(Client, models.PROTECT, related_name="assessments")
    stylist = models.ForeignKey(User, models.PROTECT, related_name="+")
    supersedes = models.ForeignKey("self", models.PROTECT, related_name="successors", null=True, blank=True)
    state = models.CharField(max_length=10, choices=State.choices, default=State.DRAFT)
    revision = models.PositiveIntegerField(
        default=0, help_text="Counts the saves, so that two open tabs can't overwrite each other."
    )
    started_at = models.DateTimeField(default=timezone.now)
    saved_at = models.DateTimeField(auto_now=True)
    signed_at = models.DateTimeField(null=True, blank=True)
    signed_by = models.ForeignKey(User, models.PROTECT, related_name="+", null=True, blank=True)

    # story
    story = models.TextField("what she tells", blank=True)
    losing_since = models.CharField("since when", max_length=80, blank=True)
    referral_signs = models.JSONField(default=list, blank=True)
    referral_signs_asked = models.BooleanField("went through the signs with her", default=False)
    chemotherapy = models.CharField(max_length=10, choices=Chemotherapy.choices, blank=True)
    chemotherapy_ended_on = models.DateField("last dose on", null=True, blank=True)
    scalp_condition = models.CharField(max_length=16, choices=ScalpCondition.choices, blank=True)
    traction_signs = models.CharField(
        "broken hair, soreness or thinning where something pulled", max_length=3, choices=YesNo.choices, blank=True
    )
    traction_zones = models.JSONField("where it pulls", default=list, blank=True)
    reactions_asked = models.BooleanField("asked about reactions", default=False)

    # tapes, in millimetres; empty means assumed
    circumference_mm = models.DecimalField(max_digits=5, decimal_places=1, null=True, blank=True)
    front_to_nape_mm = models.DecimalField("front to nape", max_digits=5, decimal_places=1, null=True, blank=True)
    ear_to_ear_mm = models.DecimalField(
        "ear to ear over the top", max_digits=5, decimal_places=1, null=True, blank=True
    )

    # loss map: percent remaining, two hex digits a cell, 64 × 64 cells row by row (clients.scalp.grid)
    density_hex = models.TextField(default=NO_LOSS_HEX)
    map_painted = models.BooleanField(default=False)
    scale = models.CharField("named by the scale of", max_length=8, choices=Scale.choices, blank=True)
    stage = models.CharField("stage", max_length=12, blank=True, help_text="Set by the stylist, never by the map.")

    # own hair
    own_hair_length_mm = models.PositiveSmallIntegerField("length", null=True, blank=True, validators=_between(0, 1500))
    curl_pattern = models.CharField(max_length=8, choices=CurlPattern.choices, blank=True)
    thickness = models.CharField(max_length=8, choices=Thickness.choices, blank=True)
    hair_condition = models.CharField("condition", max_length=10, choices=HairCondition.choices, blank=True)
    grey_percent = models.PositiveSmallIntegerField("grey, by eye", null=True, blank=True, validators=_between(0, 100))
    hair_behind_ears = models.CharField("own hair behind the ears", max_length=3, choices=YesNo.choices, blank=True)

    # wishes
    wants_heat = models.CharField("wants to style with heat", max_length=3, choices=YesNo.choices, blank=True)
    wants_colour = models.CharField("wants to colour it", max_length=3, choices=YesNo.choices, blank=True)
    washes_per_month = models.PositiveSmallIntegerField(null=True, blank=True, validators=_between(0, 60))
    parting = models.CharField(max_length=6, choices=Parting.choices, blank=True)
    parting_offset_mm = models.PositiveSmallIntegerField(
        "parting, off the middle by", null=True, blank=True, validators=_between(0, 120)
    )
    wants_fringe = models.CharField("wants a fringe", max_length=3, choices=YesNo.choices, blank=True)
    wished_length_mm = models.PositiveSmallIntegerField(
        "length she would like", null=True, blank=True, validators=_between(0, 1500)
    )
    days_per_week = models.PositiveSmallIntegerField(
        "days a week she would wear it", null=True, blank=True, validators=_between(1, 7)
    )
    worn_to_bed = models.CharField("would sleep in it", max_length=3, choices=YesNo.choices, blank=True)
    budget_minor = models.PositiveIntegerField("up to", null=True, blank=True)
    wishes = models.TextField("in her own words", blank=True)

    objects: ClassVar[AssessmentQuerySet] = AssessmentQuerySet.as_manager()  # type: ignore[assignment]  # as_manager's own type hides our methods

    class Meta:
        ordering = ["-started_at", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(state="draft", signed_at__isnull=True, signed_by__isnull=True)
                | (~Q(state="draft") & Q(signed_at__isnull=False, signed_by__isnull=False)),
                name="assessment_signed_by_somebody_at_a_time",
                violation_error_message="A signed-off assessment says who signed it and when.",
            ),
            models.UniqueConstraint(
                fields=["supersedes"],
                condition=~Q(state="draft"),
                name="assessment_superseded_once",
                violation_error_message="This assessment has already been replaced by a newer one.",
            ),
            models.UniqueConstraint(
                fields=["client"],
                condition=Q(state="draft"),
                name="assessment_one_draft_of_a_client",
                violation_error_message="An assessment of this client is already being written; go on with that one.",
            ),
            models.CheckConstraint(
                condition=Q(scale="", stage="") | (~Q(scale="") & ~Q(stage="")),
                name="assessment_stage_of_a_scale",
                violation_error_message="A stage belongs to a scale: choose both or neither.",
            ),
            models.CheckConstraint(
                condition=Q(Exact(Length("density_hex"), 8192)) & Q(density_hex__regex=r"^([0-5][0-9a-f]|6[0-4])*$"),
                name="assessment_density_0_to_100",
                violation_error_message="A loss map holds 4,096 cells of 0 to 100 percent.",
            ),
            *(
                models.CheckConstraint(
                    condition=Q(**{f"{field}__isnull": True}) | Q(**{f"{field}__gte": low, f"{field}__lte": high}),
                    name=f"assessment_{field}_of_a_head",
                    violation_error_message=f"A {words} tape lies between {low} and {high} mm.",
                )
                for field, words, low, high in (
                    ("circumference_mm", "circumference", 400, 750),
                    ("front_to_nape_mm", "front-to-nape", 200, 500),
                    ("ear_to_ear_mm", "ear-to-ear", 200, 500),
                )
            ),
            *(
                models.CheckConstraint(
                    condition=Q(**{f"{field}__isnull": True}) | Q(**{f"{field}__gte": low, f"{field}__lte": high}),
                    name=f"assessment_{field}_in_range",
                    violation_error_message=f"{words} lies between {low} and {high}.",
                )
                for field, words, low, high in (
                    ("grey_percent", "The share of grey", 0, 100),
                    ("days_per_week", "Days a week", 1, 7),
                )
            ),
        ]

    def __str__(self) -> str:
        return f"{self.reference} of {self.started_at:%d %b %Y}"

    @property
    def is_draft(self) -> bool:
        return self.state == self.State.DRAFT

    def tapes(self) -> dict[str, float | None]:
        """The three tapes in millimetres under the names that Head.from_tapes takes; None where not taken."""
        names = ("circumference_mm", "front_to_nape_mm", "ear_to_ear_mm")
        return {name: None if getattr(self, name) is None else float(getattr(self, name)) for name in names}


class ColourReading(models.Model):
    """One measured colour of a client's own hair, with how it was taken and how sure it is."""

    class Zone(models.TextChoices):
        ROOT = "root", "Roots"
        MID = "mid", "Mid-length"
        ENDS = "ends", "Ends"

    class Strand(models.TextChoices):
        """Two single strands, picked out to tell the share of grey."""

        PIGMENT = "pigment", "A strand with its own colour"
        GREY = "grey", "A grey strand"

    class Method(models.TextChoices):
        INSTRUMENT = "instrument", "Instrument"
        BY_EYE = "by eye", "By eye, against the shade ring"
        CARD = "card", "Photo with the grey card"
        CHART = "chart", "Photo with the chart"

    BY_PHOTO = (Method.CARD, Method.CHART)

    assessment = models.ForeignKey(Assessment, models.CASCADE, related_name="readings")
    zone = models.CharField(max_length=7, choices=[*Zone.choices, *Strand.choices])
    method = models.CharField(max_length=10, choices=Method.choices)
    lightness = models.FloatField("L*")
    a_star = models.FloatField("a*")
    b_star = models.FloatField("b*")
    doubt = models.FloatField("doubt (ΔE00)", help_text="Nine readings in ten lie within it.")
    light = models.CharField("under which light", max_length=60, blank=True)
    shade_label = models.CharField("read as", max_length=80, blank=True)
    routine_version = models.CharField(max_length=20)
    scale = models.CharField(
        "read on the scale of",
        max_length=20,
        default="instrument",
        help_text="Only colours on one scale are compared: the instrument's, or that of one photo routine.",
    )
    photo = models.ForeignKey(Photo, models.PROTECT, related_name="readings", null=True, blank=True)
    details = models.JSONField(default=dict, blank=True, help_text="Marks, correction, spread and count of samples.")

    class Meta:
        ordering = ["assessment", "zone"]
        constraints = [
            models.UniqueConstraint(fields=["assessment", "zone"], name="reading_one_of_a_zone"),
            models.CheckConstraint(
                condition=Q(lightness__gte=0, lightness__lte=100),
                name="reading_lightness_0_to_100",
                violation_error_message="L* lies between 0 and 100.",
            ),
            models.CheckConstraint(
                condition=Q(a_star__gte=-128, a_star__lte=128, b_star__gte=-128, b_star__lte=128),
                name="reading_a_b_in_range",
                violation_error_message="a* and b* lie between −128 and 128.",
            ),
            models.CheckConstraint(
                condition=Q(doubt__gte=0),
                name="reading_doubt_not_negative",
                violation_error_message="The doubt of a reading is zero or more.",
            ),
            models.CheckConstraint(
                condition=Q(method__in=["card", "chart"], photo__isnull=False)
                | (~Q(method__in=["card", "chart"]) & Q(photo__isnull=True)),
                name="reading_from_a_photo_names_it",
                violation_error_message="A colour read from a photo says from which, and no other reading does.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_zone_display()}: {self.lightness:.1f} {self.a_star:.1f} {self.b_star:.1f}"

    @property
    def lab(self) -> tuple[float, float, float]:
        return (self.lightness, self.a_star, self.b_star)
