"""What the map's page shows of published scales: every stage to press, and what the painted map suggests.

The stylist names the pattern or leaves it; a suggestion only takes her to its stage. What the stages are and how a map
comes near one is said in `clients.scalp`.
"""

from __future__ import annotations

from dataclasses import dataclass

from django.http import Http404, HttpResponse
from django.utils.formats import date_format
from django.utils.timezone import localtime
from django.views.decorators.cache import cache_control
from django.views.decorators.http import require_safe

from clients.models import Assessment
from clients.scalp.head import Head
from clients.scalp.loss_map import LossMap
from clients.scalp.scales import SCALES, Scale, Stage, draw_stage, named, scale_named
from clients.scalp.suggesting import suggested_stages
from fittings.consult.fields import ChoiceField
from salon.common.access import needs
from salon.common.form_fields import in_reader_units
from salon.common.lengths import LengthUnit
from salon.current import SalonRequest

_NEARNESS = ((0.7, "near"), (0.4, "partly alike"), (0.0, "roughly"))


@dataclass(frozen=True)
class StageShown:
    """One stage to press."""

    value: str
    field_id: str
    stage: Stage
    scale: Scale
    is_chosen: bool


@dataclass(frozen=True)
class ScaleShown:
    """One scale with its stages; it stands open where one of them is chosen."""

    scale: Scale
    stages: tuple[StageShown, ...]

    @property
    def chosen(self) -> StageShown | None:
        return next((one for one in self.stages if one.is_chosen), None)


@dataclass(frozen=True)
class SuggestionShown:
    """What the map says of one scale; without `words` no stage of it is near."""

    scale: str
    words: str
    field_id: str
    how_near: str
    because: str


def value_of(scale: str, stage: str) -> str:
    """A stage as the form sends it, empty for none."""
    return f"{scale}:{stage}" if scale else ""


def parts_of(value: str) -> tuple[str, str]:
    """Scale and stage of what the form sent."""
    scale, _, stage = value.partition(":")
    return scale, stage


def field_id(value: str) -> str:
    """The id of the radio button with that value."""
    return f"id_named_{value.replace(':', '_').replace(' ', '_') or 'none'}"


def naming_field() -> ChoiceField:
    stages = [
        (scale.label, [(value_of(scale.key, stage.key), named(scale.key, stage.key)) for stage in scale.stages])
        for scale in SCALES
    ]
    return ChoiceField(label="Pattern by a published scale", choices=stages, unasked="No stage")


def scales_shown(chosen: str) -> tuple[ScaleShown, ...]:
    """Every scale with its stages; `chosen` is the value that is pressed."""
    return tuple(ScaleShown(scale, tuple(_shown(scale, stage, chosen) for stage in scale.stages)) for scale in SCALES)


def suggestions_shown(loss_map: LossMap, head: Head, unit: LengthUnit) -> list[SuggestionShown]:
    """The nearest first, those without a stage last; none where nothing is painted."""
    shown = []
    for one in suggested_stages(loss_map, head):
        scale = scale_named(one.scale)
        how_near = next(words for least, words in _NEARNESS if one.nearness >= least)
        because = in_reader_units(one.because, unit)
        if one.stage:
            pressed = field_id(value_of(one.scale, one.stage))
            shown.append(SuggestionShown(scale.label, named(one.scale, one.stage), pressed, how_near, because))
        else:
            shown.append(SuggestionShown(scale.label, "", "", "", because))
    return shown


def named_before(assessment: Assessment) -> str:
    """What the pattern was called in the assessment this one starts from, as a hint."""
    old = assessment.supersedes
    if old is None or old.signed_at is None or not old.scale:
        return ""
    return f"Last time, on {date_format(localtime(old.signed_at), 'j F Y')}: {named(old.scale, old.stage)}."


@needs("clients.view_health")
@require_safe
@cache_control(private=True, max_age=86_400)
def stage_drawing(request: SalonRequest, scale: str, stage: str) -> HttpResponse:
    """A stage as a small picture; it shows nobody, so a browser may keep it."""
    try:
        drawing = draw_stage(scale, stage)
    except ValueError as unknown:
        raise Http404(str(unknown)) from unknown
    return HttpResponse(drawing, content_type="image/svg+xml")


def _shown(scale: Scale, stage: Stage, chosen: str) -> StageShown:
    value = value_of(scale.key, stage.key)
    return StageShown(value, field_id(value), stage, scale, value == chosen)
