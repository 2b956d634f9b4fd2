"""Bases: what a piece is built on, as the placement needs to know it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import ClassVar, cast

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from simple_history.models import HistoricalRecords

from pieces.bases.construction import BaseShape, Clip, FrontEdge, TapeArea
from pieces.bases.outline import BaseOutline

SIZE_MM = [MinValueValidator(20), MaxValueValidator(450)]


class Maker(models.Model):
    """Somebody who makes pieces."""

    name = models.CharField(max_length=80, unique=True)
    note = models.CharField(max_length=240, blank=True)

    history = HistoricalRecords()

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class BaseQuerySet(models.QuerySet["Base"]):
    def with_shape(self) -> BaseQuerySet:
        """Fetches clips and tape areas, which `Base.shape` reads."""
        return self.prefetch_related("clips", "tape_areas")


class Base(models.Model):
    """A foundation: length × width, outline, construction, front edge, clips and tape areas."""

    class Outline(models.TextChoices):
        OVAL = "oval", "Oval"
        ROUNDED_RECTANGLE = "rounded_rectangle", "Rounded rectangle"
        TAPERED_FRONT = "tapered_front", "Narrower at the front"
        TAPERED_BACK = "tapered_back", "Narrower at the back"
        FRONT_STRIP = "front_strip", "Front strip"
        FULL_CAP = "full_cap", "Full cap"

    class Construction(models.TextChoices):
        WEFT = "weft", "Open wefts"
        MONO = "mono", "Fine woven net"
        SILK = "silk", "Silk top"
        LACE = "lace", "Lace"
        POLYURETHANE = "polyurethane", "Polyurethane skin"
        MIXED = "mixed", "Net with polyurethane edge"

    class FrontEdge(models.TextChoices):
        PLAIN = "plain", "Plain"
        POLYURETHANE = "polyurethane", "Polyurethane strip"
        LACE = "lace", "Lace"

    class NickelFree(models.TextChoices):
        YES = "yes", "Yes"
        NO = "no", "No"

    maker = models.ForeignKey(Maker, models.PROTECT, related_name="bases")
    name = models.CharField(max_length=80)
    outline = models.CharField(max_length=20, choices=Outline.choices)
    length_mm = models.PositiveSmallIntegerField("length", validators=SIZE_MM)
    width_mm = models.PositiveSmallIntegerField("width", validators=SIZE_MM)
    construction = models.CharField(max_length=14, choices=Construction.choices)
    front_edge = models.CharField(max_length=14, choices=FrontEdge.choices, default=FrontEdge.PLAIN)
    two_way = models.BooleanField("can be worn either way round", default=False)
    stretches = models.BooleanField("stretches over the head", default=False)
    weight_g = models.PositiveSmallIntegerField("weight in grams", null=True, blank=True)
    nickel_free = models.CharField(
        "clips free of nickel",
        max_length=3,
        choices=NickelFree.choices,
        blank=True,
        help_text="Empty: the maker does not say.",
    )

    history = HistoricalRecords()
    objects: ClassVar[BaseQuerySet] = BaseQuerySet.as_manager()  # type: ignore[assignment]  # as_manager's own type hides our methods

    class Meta:
        ordering = ["maker__name", "name"]
        constraints = [
            models.UniqueConstraint(
                fields=["maker", "name"],
                name="base_name_once_for_a_maker",
                violation_error_message="This maker already has a base of that name.",
            ),
            models.CheckConstraint(
                condition=Q(length_mm__gte=20, length_mm__lte=450, width_mm__gte=20, width_mm__lte=450),
                name="base_size_20_to_450_mm",
                violation_error_message="A base is between 20 and 450 mm long and wide.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.maker} {self.name}"

    def shape(self) -> BaseShape:
        """The base as the placement reads it; fetch with `with_shape()` first, or each base costs two queries."""
        return self.shape_with(self.clips.all(), self.tape_areas.all())

    def shape_with(self, clips: Iterable[BaseClip | Clip], tape_areas: Iterable[BaseTapeArea | TapeArea]) -> BaseShape:
        """The same with clips and tape areas that are at hand already."""
        return BaseShape(
            key=str(self.pk),
            outline=BaseOutline.named(self.outline, length_mm=float(self.length_mm), width_mm=float(self.width_mm)),
            clips=tuple(Clip(float(c.u_mm), float(c.v_mm), float(c.length_mm)) for c in clips),
            tape_areas=tuple(TapeArea(float(t.from_mm), float(t.to_mm)) for t in tape_areas),
            front_edge=cast("FrontEdge", self.front_edge),
            two_way=self.two_way,
        )


class BaseClip(models.Model):
    """A clip sewn to a base, by its middle: u from the front edge along the midline, v to the client's left."""

    base = models.ForeignKey(Base, models.CASCADE, related_name="clips")
    u_mm = models.PositiveSmallIntegerField("from the front edge")
    v_mm = models.SmallIntegerField("to the left of the middle")
    length_mm = models.PositiveSmallIntegerField("length", default=32)
    base_length_mm = models.PositiveSmallIntegerField(editable=False)
    base_width_mm = models.PositiveSmallIntegerField(editable=False)

    class Meta:
        ordering = ["base", "u_mm", "v_mm"]
        constraints = [
            models.CheckConstraint(
                condition=Q(u_mm__lte=F("base_length_mm"))
                & Q(v_mm__gte=-F("base_width_mm") / 2.0, v_mm__lte=F("base_width_mm") / 2.0),
                name="base_clip_on_the_base",
                violation_error_message="A clip must lie on its base.",
            ),
            models.UniqueConstraint(fields=["base", "u_mm", "v_mm"], name="base_clip_once_at_a_place"),
        ]

    def __str__(self) -> str:
        return f"clip at {self.u_mm}, {self.v_mm} mm"


class BaseTapeArea(models.Model):
    """A strip across the base that takes tape, as a range measured from the front edge."""

    base = models.ForeignKey(Base, models.CASCADE, related_name="tape_areas")
    from_mm = models.PositiveSmallIntegerField()
    to_mm = models.PositiveSmallIntegerField()

    class Meta:
        ordering = ["base", "from_mm"]
        constraints = [
            models.CheckConstraint(
                condition=Q(to_mm__gt=F("from_mm")),
                name="base_tape_area_has_a_depth",
                violation_error_message="A tape area ends further back than it begins.",
            )
        ]

    def __str__(self) -> str:
        return f"tape {self.from_mm}–{self.to_mm} mm"
