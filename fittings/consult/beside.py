"""What stands beside a step and follows every save: her head's size from the tapes, the share that the map shows, and
what was read of her hair from photos."""

from __future__ import annotations

from typing import Any

from clients.models import Assessment, Consent
from clients.scalp.surveys import tape_warnings
from clients.scalp.tapes import ASSUMED_TAPES
from fittings.comparing_colours import measured_grey
from fittings.consult.map_form import MapForm, head_of
from fittings.consult.naming_pattern import field_id
from fittings.consult.own_hair_form import OwnHairForm
from fittings.consult.photo_reading import told_of
from fittings.consult.reading_back import TAPE_LABELS, salt_in_words
from fittings.consult.step_form import StepForm
from salon.common.form_fields import in_reader_units
from salon.common.lengths import format_length


def nothing_beside(form: StepForm) -> dict[str, Any]:
    return {}


def beside_tapes(form: StepForm) -> dict[str, Any]:
    """Her head as the stored tapes make it, what is assumed in it and what is doubtful."""
    head = head_of(form.assessment)
    a, b, c = head.semi_axes_mm
    return {
        "size": [
            ("Long", format_length(2 * a, form.unit)),
            ("Wide", format_length(2 * b, form.unit)),
            ("High, over the hairline", format_length(c, form.unit)),
        ],
        "area_cm2": round(head.area_cm2),
        "assumed": [
            (TAPE_LABELS[name], format_length(getattr(ASSUMED_TAPES, name), form.unit)) for name in head.assumed
        ],
        "warnings": [
            in_reader_units(sentence, form.unit)
            for sentence in tape_warnings(**form.assessment.tapes(), units=form.unit)
        ],
    }


def beside_map(form: StepForm) -> dict[str, Any]:
    """The share of her hair that the stored map shows as lost, and which stages of scales it suggests."""
    assert isinstance(form, MapForm)  # noqa: S101  # the page of this step has no other form
    assumed = [TAPE_LABELS[name].lower() for name in form.head.assumed]
    words = salt_in_words(form.salt) if round(form.salt.total, 1) else "No hair loss is painted yet"
    suggestions = form.suggestions
    return {
        "salt": words,
        "assumed": assumed,
        "suggested": [one for one in suggestions if one.words],
        "beyond": [one for one in suggestions if not one.words],
        "named_id": field_id(form.initial["named"]),
        "compare_with": _painted_before(form.assessment),
        "assessment": form.assessment,
    }


def _painted_before(assessment: Assessment) -> Assessment | None:
    """The assessment this one started from, when both have a map to compare."""
    before = assessment.supersedes
    return before if before is not None and before.map_painted and assessment.map_painted else None


def beside_own_hair(form: StepForm) -> dict[str, Any]:
    """What photos read of her hair, and whether they may be looked at now."""
    assert isinstance(form, OwnHairForm)  # noqa: S101  # the page of this step has no other form
    by_photo = form.by_photo
    return {
        "readings": [(reading, region) for reading in by_photo for region in told_of(reading).regions],
        "grey": measured_grey(form.taken.values()) if by_photo else None,
        "client": form.assessment.client,
        "allows_photos": Consent.objects.allows_photos(form.assessment.client),
    }
