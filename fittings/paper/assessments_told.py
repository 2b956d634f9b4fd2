"""Every assessment of a client in full: what was told, measured, painted, read and wished, with the map drawn.

Numbers and drawings are those of the record; what was left empty was not asked or not taken, and is left out.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from clients.models import Assessment, Client, ColourReading
from clients.models.assessment import ReferralSign
from clients.scalp.head import Head
from clients.scalp.loss_map import LossMap
from clients.scalp.regions import ZONES, zone_means
from fittings.paper.measured import Fact, from_above, loss_told, pattern_told, tapes_told
from fittings.paper.salon_words import SalonWords
from fittings.paper.sheet import Entry, Section, Table, facts, unbroken
from salon.common.money import format_minor
from salon.models import Salon

ASKED: Final = (
    "losing_since",
    "chemotherapy",
    "chemotherapy_ended_on",
    "scalp_condition",
    "traction_signs",
    "own_hair_length_mm",
    "curl_pattern",
    "thickness",
    "hair_condition",
    "grey_percent",
    "hair_behind_ears",
    "wants_heat",
    "wants_colour",
    "washes_per_month",
    "parting",
    "parting_offset_mm",
    "wants_fringe",
    "wished_length_mm",
    "days_per_week",
    "worn_to_bed",
)
"""Columns that are told by their own name and value; the others have words of their own below."""
ZONE_NAMES: Final = {zone.key: zone.label for zone in ZONES}


def assessments_section(client: Client, words: SalonWords) -> Section:
    """Newest first, drafts and those that were replaced too; two queries."""
    rows = client.assessments.select_related("stylist", "signed_by", "supersedes").prefetch_related("readings")
    currency = Salon.objects.default().currency
    return Section(
        "Assessments",
        says=("In the drawings, the darker and the more strokes, the more hair remains.",) if rows else (),
        entries=tuple(_assessment(row, words, currency) for row in rows),
        empty="None was made.",
    )


def _assessment(assessment: Assessment, words: SalonWords, currency: str) -> Entry:
    head, loss_map = Head.from_tapes(**assessment.tapes()), LossMap.from_hex(assessment.density_hex)
    painted = assessment.map_painted
    picture = replace(from_above(head, loss_map), caption=f"From above, {assessment.reference}")
    return Entry(
        f"{assessment.reference}, {words.moment(assessment.started_at)}",
        facts=(
            Fact("Made by", str(assessment.stylist)),
            Fact("State", _state(assessment, words)),
            *_told(assessment, words, currency),
            *tapes_told(head, words),
            Fact("Hair gone", loss_told(assessment, head, loss_map).says),
            *facts(("Pattern", pattern_told(assessment))),
        ),
        tables=(*_zones(head, loss_map, painted=painted), *_readings(assessment)),
        pictures=(picture,) if painted else (),
    )


def _state(assessment: Assessment, words: SalonWords) -> str:
    said = str(assessment.get_state_display())
    if assessment.signed_at:
        said += f"; signed off on {words.moment(assessment.signed_at)} by {assessment.signed_by}"
    if assessment.supersedes:
        said += f"; takes the place of {assessment.supersedes.reference}"
    return said


def _told(assessment: Assessment, words: SalonWords, currency: str) -> tuple[Fact, ...]:
    signs = [ReferralSign(sign).label for sign in assessment.referral_signs if sign in ReferralSign.values]
    asked = "none of them" if assessment.referral_signs_asked else ""
    return (
        *facts(
            ("What was told", assessment.story),
            ("Signs with which a doctor should look first", "; ".join(signs) or asked),
            ("Where it pulls", ", ".join(ZONE_NAMES.get(zone, zone).lower() for zone in assessment.traction_zones)),
            ("Asked about reactions", "yes" if assessment.reactions_asked else ""),
        ),
        *facts(*((_name(column), _value(assessment, column, words)) for column in ASKED)),
        *facts(
            ("Up to", "" if assessment.budget_minor is None else format_minor(assessment.budget_minor, currency)),
            ("In your own words", assessment.wishes),
        ),
    )


def _name(column: str) -> str:
    name = str(Assessment._meta.get_field(column).verbose_name)  # type: ignore[union-attr]  # a column
    return name[:1].upper() + name[1:]


def _value(assessment: Assessment, column: str, words: SalonWords) -> str:
    value = getattr(assessment, column)
    if value in (None, ""):
        return ""
    if column.endswith("_mm"):
        return words.length(value)
    if column.endswith("_on"):
        return words.day(value)
    if column.endswith("_percent"):
        return f"{value} %"
    display = getattr(assessment, f"get_{column}_display", None)
    return str(display() if display else value)


def _zones(head: Head, loss_map: LossMap, *, painted: bool) -> tuple[Table, ...]:
    if not painted:
        return ()
    means = zone_means(loss_map, head)
    rows = tuple((zone.label, f"{means[zone.key]:.0f} %") for zone in ZONES)
    return (Table("Hair that remains, by zone", ("Zone", "Remains"), rows),)


def _readings(assessment: Assessment) -> tuple[Table, ...]:
    zones = ColourReading.Zone.values  # from the roots to the ends, as on every other paper
    read = sorted(assessment.readings.all(), key=lambda one: zones.index(one.zone) if one.zone in zones else len(zones))
    rows = tuple(
        (
            str(one.get_zone_display()),
            unbroken(f"{one.lightness:.1f}, {one.a_star:.1f}, {one.b_star:.1f}"),
            f"{one.doubt:.1f}",
            f"{one.get_method_display()}{f', {one.shade_label}' if one.shade_label else ''}",
        )
        for one in read
    )
    return (Table("Colour of your own hair", ("Where", "L*, a*, b*", "Doubt (ΔE00)", "Read"), rows),) if rows else ()
