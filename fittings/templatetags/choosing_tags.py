"""Shows a field or a colour pair of the choosing pages; decides nothing."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from django import forms, template

from fittings.candidates import Proposal
from fittings.comparing_colours import MixTold
from salon.colour.matching import Match, Reading
from salon.colour.mixing import Mix

register = template.Library()

ZONE_WORDS = {"root": "Roots", "mid": "Mid-length", "ends": "Ends"}


class SwatchPair(NamedTuple):
    """Own hair and shade at one zone, as L*a*b* on one scale, with the words a picture needs."""

    label: str
    own: tuple[float, float, float]
    shade: tuple[float, float, float]
    difference: float
    own_title: str
    shade_title: str


@register.filter
def swatch_pairs(proposal: Proposal) -> list[SwatchPair]:
    return _pairs(proposal.readings, proposal.match, str(proposal.variant.shade))


@register.filter
def mix_pairs(told: MixTold, readings: Mapping[str, Reading]) -> list[SwatchPair]:
    return _pairs(readings, told.mix, "The two together")


def _pairs(readings: Mapping[str, Reading], found: Match | Mix, name: str) -> list[SwatchPair]:
    return [
        SwatchPair(
            label=ZONE_WORDS[zone],
            own=readings[zone].lab,
            shade=found.colours[zone],
            difference=difference,
            own_title=f"Her own hair, {ZONE_WORDS[zone].lower()}",
            shade_title=f"{name}, {ZONE_WORDS[zone].lower()}",
        )
        for zone, difference in found.differences.items()
    ]


@register.filter
def words(text: str) -> list[str]:
    return text.split()


@register.filter
def field_named(form: forms.BaseForm, name: str) -> forms.BoundField:
    return form[name]


@register.filter
def is_pills(field: forms.BoundField) -> bool:
    """Whether the field is a choice shown as pills."""
    return isinstance(field.field.widget, forms.RadioSelect | forms.CheckboxSelectMultiple)


@register.filter
def is_tick(field: forms.BoundField) -> bool:
    return isinstance(field.field.widget, forms.CheckboxInput)
