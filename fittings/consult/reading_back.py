"""Reads an assessment back in words: what was found, what nobody asked, what is assumed, what is doubtful.

One list of sections for the page that is signed and for the page that shows what was signed.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any, NamedTuple

from django.db.models import Model
from django.utils.formats import date_format
from django.utils.timezone import localtime

from clients.assessing import NAMED, OWN_HAIR, STORY, TAPES, WISHES
from clients.models import Assessment, ColourReading
from clients.models.assessment import ReferralSign, YesNo
from clients.scalp.loss_map import LossMap
from clients.scalp.regions import ZONES
from clients.scalp.salt import SaltScore, salt_score
from clients.scalp.scales import named, scale_named
from clients.scalp.surveys import tape_warnings
from clients.scalp.tapes import ASSUMED_TAPES
from fittings.comparing_colours import measured_grey
from fittings.consult.map_form import head_of
from salon.colour.lab import css_hex
from salon.common.lengths import LengthUnit, format_length
from salon.common.money import format_minor


class Fact(NamedTuple):
    """One line: what, and what was found; a colour reading has its swatch."""

    label: str
    words: str
    swatch: str = ""


@dataclass
class Section:
    """What one step found."""

    key: str
    title: str
    facts: list[Fact] = field(default_factory=list)
    questions: list[str] = field(default_factory=list)
    assumed: list[str] = field(default_factory=list)
    warnings: list[str] = field(default_factory=list)
    as_before: str = ""


class _Asked(NamedTuple):
    column: str
    label: str
    question: str


_STORY = (
    _Asked("losing_since", "Since", "Since when has she been losing hair?"),
    _Asked("chemotherapy", "Chemotherapy", "Has she had chemotherapy, or is it planned?"),
    _Asked("chemotherapy_ended_on", "Last dose", ""),
    _Asked("scalp_condition", "Scalp", "Is the scalp sound?"),
    _Asked("traction_signs", "Signs of pull", "Is hair broken, or the skin sore or thinner, where something pulled?"),
)
_HOW_GREY = "How much of it is grey?"
_OWN_HAIR = (
    _Asked("own_hair_length_mm", "Length", "How long is her own hair?"),
    _Asked("curl_pattern", "Curl pattern", "Is it straight, wavy, curly or coily?"),
    _Asked("thickness", "Thickness", "Is it fine, medium or coarse?"),
    _Asked("hair_condition", "Condition", "Is it natural, coloured, lightened or relaxed?"),
    _Asked("grey_percent", "Grey, by eye", _HOW_GREY),
    _Asked("hair_behind_ears", "Own hair behind the ears", "Is there own hair behind the ears?"),
)
_WISHES = (
    _Asked("wished_length_mm", "Length", "How long would she like it?"),
    _Asked("parting", "Parting", "Where does she part it?"),
    _Asked("parting_offset_mm", "Parting, off the middle by", ""),
    _Asked("wants_fringe", "Fringe", "Does she want a fringe?"),
    _Asked("days_per_week", "Days a week", "How many days a week would she wear it?"),
    _Asked("worn_to_bed", "Worn to bed", "Would she sleep in it?"),
    _Asked("washes_per_month", "Washes a month", "How often would she wash it?"),
    _Asked("wants_heat", "Styling with heat", "Does she want to style it with heat?"),
    _Asked("wants_colour", "Colouring it", "Does she want to colour it?"),
    _Asked("budget_minor", "Up to", "How much would she spend?"),
)
_HOW = {
    ColourReading.Method.INSTRUMENT: "instrument",
    ColourReading.Method.BY_EYE: "by eye",
    ColourReading.Method.CARD: "photo with the grey card",
    ColourReading.Method.CHART: "photo with the chart",
}
_AT = {"root": "the roots", "mid": "mid-length", "ends": "the ends"}
TAPE_LABELS = dict(zip(TAPES, ("Circumference", "Front to nape", "Ear to ear over the top"), strict=True))


def read_back(assessment: Assessment, *, unit: LengthUnit, currency: str) -> list[Section]:
    """The five sections in the order of the steps."""
    words = _Words(assessment, unit, currency)
    sections = [words.story(), words.tapes(), words.map(), words.own_hair(), words.wishes()]
    for section, columns in zip(sections, (STORY, TAPES, ("density_hex", *NAMED), OWN_HAIR, WISHES), strict=True):
        section.as_before = words.as_before(section, columns)
    return sections


class _Words:
    def __init__(self, assessment: Assessment, unit: LengthUnit, currency: str) -> None:
        self.assessment, self.unit, self.currency = assessment, unit, currency
        self.readings = {reading.zone: reading for reading in assessment.readings.all()}

    def story(self) -> Section:
        section = Section("story", "Story")
        if self.assessment.story:
            section.facts.append(Fact("What she tells", self.assessment.story))
        self._ask(section, _STORY)
        if self.assessment.traction_zones:
            pulled = [zone.label for zone in ZONES if zone.key in self.assessment.traction_zones]
            section.facts.append(Fact("Where it pulls", ", ".join(pulled)))
        elif self.assessment.traction_signs == YesNo.YES:
            section.questions.append("Where does it pull?")
        signs = [ReferralSign(sign).label for sign in self.assessment.referral_signs]
        if signs or self.assessment.referral_signs_asked:
            section.facts.append(Fact("Signs for a doctor", "; ".join(signs) or "none of them"))
        if not self.assessment.referral_signs_asked:
            section.questions.append("Have you gone through the signs for a doctor with her?")
        reactions = [str(told) for told in self.assessment.client.sensitivities.all()]
        if reactions or self.assessment.reactions_asked:
            section.facts.append(Fact("Reacts to", "; ".join(reactions) or "nothing she knows of"))
        if not self.assessment.reactions_asked:
            section.questions.append("Does she react to dye, tape, latex, rosin or nickel?")
        return section

    def tapes(self) -> Section:
        section = Section("tapes", "Tapes")
        for name, tape_mm in self.assessment.tapes().items():
            if tape_mm is None:
                usual = format_length(getattr(ASSUMED_TAPES, name), self.unit)
                section.assumed.append(f"{TAPE_LABELS[name]} was not taken: {usual} is assumed, an average head's.")
            else:
                section.facts.append(Fact(TAPE_LABELS[name], format_length(tape_mm, self.unit)))
        section.warnings = tape_warnings(**self.assessment.tapes(), units=self.unit)
        return section

    def map(self) -> Section:
        section = Section("map", "Map")
        salt = salt_score(LossMap.from_hex(self.assessment.density_hex), head_of(self.assessment))
        section.facts.append(Fact("Hair lost", salt_in_words(salt)))
        if self.assessment.scale:
            section.facts.append(Fact("Pattern seen", stage_in_words(self.assessment)))
        if not self.assessment.map_painted:
            section.questions.append("Where is her hair thinner? The map still shows a full head of hair.")
        return section

    def own_hair(self) -> Section:
        section = Section("own-hair", "Own hair")
        self._ask(section, _OWN_HAIR)
        for zone in ColourReading.Zone:
            reading = self.readings.get(zone.value)
            if reading is None:
                section.questions.append(f"What colour is her hair at {_AT[zone.value]}?")
            else:
                section.facts.append(Fact(zone.label, reading_in_words(reading), css_hex(reading.lab)))
        for strand in ColourReading.Strand:
            if strand.value in self.readings:
                reading = self.readings[strand.value]
                section.facts.append(Fact(strand.label, reading_in_words(reading), css_hex(reading.lab)))
        grey = measured_grey(self.readings.values())
        if grey is not None:
            section.facts.append(Fact("Grey, measured at the roots", grey.words))
            if grey.share is not None:
                section.questions = [question for question in section.questions if question != _HOW_GREY]
        if any(one.method == ColourReading.Method.BY_EYE and not one.light for one in self.readings.values()):
            section.questions.append("Under which light was the ring read?")
        return section

    def wishes(self) -> Section:
        section = Section("wishes", "Wishes")
        self._ask(section, _WISHES)
        if self.assessment.wishes:
            section.facts.append(Fact("In her own words", self.assessment.wishes))
        return section

    def as_before(self, section: Section, columns: tuple[str, ...]) -> str:
        """Says so where nothing differs from the assessment this one started from."""
        old = self.assessment.supersedes
        if old is None or old.signed_at is None or not section.facts:
            return ""
        if any(getattr(old, column) != getattr(self.assessment, column) for column in columns):
            return ""
        return f"As on {date_format(localtime(old.signed_at), 'j F Y')}; nothing was changed."

    def _ask(self, section: Section, asked: tuple[_Asked, ...]) -> None:
        for column, label, question in asked:
            value = getattr(self.assessment, column)
            if value not in (None, ""):
                section.facts.append(Fact(label, self._say(column, value)))
            elif question:
                section.questions.append(question)

    def _say(self, column: str, value: Any) -> str:
        if column.endswith("_mm"):
            return format_length(float(value), self.unit)
        if column.endswith("_minor"):
            return format_minor(value, self.currency)
        if column.endswith("_percent"):
            return f"{value} %"
        if column.endswith("_on"):
            return date_format(value, "j F Y")
        return _display(self.assessment, column) or str(value)


def salt_in_words(salt: SaltScore) -> str:
    """The share of her hair that is gone, and where."""
    if round(salt.total, 1) == 0:
        return "none is painted"
    parts = ", ".join(f"{part} {round(getattr(salt, part))} %" for part in ("top", "left", "right", "back"))
    total = f"{salt.total:.0f}" if salt.total >= 1 else f"{salt.total:.1f}"
    return f"{total} % of her scalp hair is gone: {parts}"


def stage_in_words(assessment: Assessment) -> str:
    """What the stylist called the pattern, and what that stage looks like."""
    seen = scale_named(assessment.scale).stage(assessment.stage).seen
    return f"{named(assessment.scale, assessment.stage)}. {seen} Named by the stylist; no diagnosis."


def reading_in_words(reading: ColourReading) -> str:
    lightness, a_star, b_star = (f"{value:.1f}".replace("-", "−") for value in reading.lab)
    how = _HOW[ColourReading.Method(reading.method)]
    as_shade = f" as {reading.shade_label}" if reading.shade_label else ""
    under = f", {reading.light.lower()}" if reading.light else ""
    doubt = f"give or take ΔE00 {round(reading.doubt, 1):g}"
    return f"L* {lightness}, a* {a_star}, b* {b_star}; {how}{as_shade}{under}; {doubt}"


def _display(record: Model, column: str) -> str:
    shown = getattr(record, f"get_{column}_display", None)
    return str(shown()) if shown else ""
