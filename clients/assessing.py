"""Writes an assessment step by step until it is signed off: the only writer of it, of its readings and sensitivities.

A step may be saved half filled: empty means not asked. A save is whole or not at all. What two tabs wrote differently
is never overwritten in silence: a save that does not know of the last one is refused by `StaleRevision`, unless it says
what is stored already. After signing off nothing changes any more; the next assessment starts from this one.
Lengths in millimetres, colours in L*a*b* (D65, 2° observer), doubt in ΔE00.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.formats import date_format
from django.utils.timezone import localtime

from clients.consenting import locked, require_record_consent
from clients.models import Assessment, Client, ColourReading, Photo, Sensitivity
from clients.models.assessment import Chemotherapy, ReferralSign, YesNo
from clients.models.health import Substance
from clients.scalp.head import Head, TapesError
from clients.scalp.loss_map import LossMap, LossMapError
from clients.scalp.regions import ZONES
from clients.scalp.scales import named
from salon.models import User

# asked again at every visit: skin and treatment change, and an old “sound” must not pass for today's
ASKED_ANEW = (
    "referral_signs",
    "referral_signs_asked",
    "chemotherapy",
    "chemotherapy_ended_on",
    "scalp_condition",
    "traction_signs",
    "traction_zones",
    "reactions_asked",
)
STORY = ("story", "losing_since", *ASKED_ANEW)
TAPES = ("circumference_mm", "front_to_nape_mm", "ear_to_ear_mm")
OWN_HAIR = (
    "own_hair_length_mm",
    "curl_pattern",
    "thickness",
    "hair_condition",
    "grey_percent",
    "hair_behind_ears",
)
WISHES = (
    "wants_heat",
    "wants_colour",
    "washes_per_month",
    "parting",
    "parting_offset_mm",
    "wants_fringe",
    "wished_length_mm",
    "days_per_week",
    "worn_to_bed",
    "budget_minor",
    "wishes",
)
NAMED = ("scale", "stage")  # the stylist's word for what she sees, so asked anew too
STARTS_FROM = (*STORY, *TAPES, "density_hex", "map_painted", *NAMED, *OWN_HAIR, *WISHES)

# a photo's routine is the one that read it, and its scale
ROUTINES = {ColourReading.Method.INSTRUMENT: "instrument-1", ColourReading.Method.BY_EYE: "by-eye-1"}


class StaleRevision(ValidationError):  # noqa: N818  # says what happened, as the screen does
    """The step was saved elsewhere since this save's writer last saw it; nothing has been stored."""


@dataclass(frozen=True)
class ReadingTaken:
    """The colour of one zone or strand of her own hair, how it was read, and on which scale; `photo` and `details` go
    with a reading from a photo."""

    method: ColourReading.Method
    lab: tuple[float, float, float]
    doubt: float
    light: str = ""
    shade_label: str = ""
    scale: str = "instrument"
    photo: Photo | None = None
    details: dict[str, Any] = field(default_factory=dict)


@transaction.atomic
def begin_assessment(*, client: Client, stylist: User, at: datetime) -> Assessment:
    """A draft for the client, starting from the newest one signed off, with what must be asked anew left empty.

    Within a day nothing need be asked twice. Refused without her consent to the record, and while a draft is open.
    """
    client = locked(client)
    require_record_consent(client)
    draft = Assessment(client=client, stylist=stylist, started_at=at)
    old = Assessment.objects.signed_off().filter(client=client).order_by("-signed_at").first()
    if old is not None:
        draft.supersedes = old
        today = old.signed_at is not None and localtime(old.signed_at).date() == localtime(at).date()
        for field in STARTS_FROM:
            if today or field not in (*ASKED_ANEW, *NAMED):
                setattr(draft, field, getattr(old, field))
    draft.full_clean()
    draft.save()
    if old is not None:
        for reading in old.readings.all():
            reading.pk, reading._state.adding, reading.assessment = None, True, draft
            reading.full_clean()
            reading.save()
    return draft


@transaction.atomic
def save_story(
    *,
    assessment: Assessment,
    revision: int,
    by: User,
    reactions: Collection[str] | None = None,
    on: date | None = None,
    **told: object,
) -> Assessment:
    """Store what she told; `reactions`, when given, are all the substances she reacts to, told `on` that day."""
    draft = _open_draft(assessment)
    changes = _changes(draft, STORY, told)
    signs = changes.get("referral_signs", [])
    if not isinstance(signs, list) or set(signs) - set(ReferralSign.values):
        raise ValidationError({"referral_signs": "One of the ticked signs is not on the list; tick it there."})
    ended_on = told.get("chemotherapy_ended_on", draft.chemotherapy_ended_on)
    if ended_on and told.get("chemotherapy", draft.chemotherapy) != Chemotherapy.FINISHED:
        raise ValidationError(
            {"chemotherapy_ended_on": "A last dose goes with “Finished”; choose that, or leave the date empty."}
        )
    zones = changes.get("traction_zones", draft.traction_zones)
    if not isinstance(zones, list) or set(zones) - {zone.key for zone in ZONES}:
        raise ValidationError({"traction_zones": "One of the ticked places is not on the list; tick it there."})
    if zones and told.get("traction_signs", draft.traction_signs) != YesNo.YES:
        raise ValidationError({"traction_zones": "A place goes with “Yes”: choose that, or untick the places."})
    on_file = set(draft.client.sensitivities.values_list("substance", flat=True))
    told_of_others = reactions is not None and set(reactions) != on_file
    if not changes and not told_of_others:
        return draft
    _refuse_stale(draft, revision)
    if reactions is not None and told_of_others:
        set_sensitivities(client=draft.client, substances=reactions, by=by, on=on or localtime().date())
    return _store(draft, changes, by)


@transaction.atomic
def save_tapes(*, assessment: Assessment, revision: int, by: User, **tapes: float | Decimal | None) -> Assessment:
    """Store the three tapes (mm, None where not taken); refused, naming the tape, when no head has them."""
    draft = _open_draft(assessment)
    to_the_tenth = {name: None if tape is None else _tenth(tape) for name, tape in tapes.items()}
    changes = _changes(draft, TAPES, to_the_tenth)
    taken = {name: None if tape is None else float(tape) for name, tape in to_the_tenth.items()}
    try:
        Head.from_tapes(**draft.tapes() | taken)
    except TapesError as refusal:
        raise ValidationError({refusal.tape: str(refusal)} if refusal.tape else str(refusal)) from refusal
    if not changes:
        return draft
    _refuse_stale(draft, revision)
    return _store(draft, changes, by)


@transaction.atomic
def save_map(
    *,
    assessment: Assessment,
    revision: int,
    by: User,
    density_hex: str | None = None,
    scale: str | None = None,
    stage: str | None = None,
) -> Assessment:
    """Store the painted map in its hexadecimal form (`clients.scalp.loss_map`), and what the stylist calls the pattern.

    None leaves as it is; an empty scale and stage take the name back. The map itself never names a stage.
    """
    draft = _open_draft(assessment)
    given: dict[str, object] = {}
    if density_hex is not None:
        try:
            given["density_hex"] = LossMap.from_hex(density_hex).to_hex()
        except LossMapError as refusal:
            raise ValidationError({"density_hex": f"This map can't be read. {refusal}"}) from refusal
    if scale is not None or stage is not None:
        given |= {"scale": scale or "", "stage": stage or ""}
        _refuse_unknown_stage(scale or "", stage or "")
    changes = _changes(draft, ("density_hex", *NAMED), given)
    if not changes:
        return draft
    _refuse_stale(draft, revision)
    if "density_hex" in changes:
        changes["map_painted"] = True
    return _store(draft, changes, by)


@transaction.atomic
def save_own_hair(
    *,
    assessment: Assessment,
    revision: int,
    by: User,
    readings: Mapping[str, ReadingTaken | None] | None = None,
    **seen: object,
) -> Assessment:
    """Store what her own hair is like; `readings` by zone, None to take one back, a zone left out stays as it is."""
    draft = _open_draft(assessment)
    changes = _changes(draft, OWN_HAIR, seen)
    stored = {reading.zone: _taken(reading) for reading in draft.readings.all()}
    read_anew = {zone: taken for zone, taken in (readings or {}).items() if stored.get(zone) != taken}
    if not changes and not read_anew:
        return draft
    _refuse_stale(draft, revision)
    for zone, taken in read_anew.items():
        _write_reading(draft, zone, taken)
    return _store(draft, changes, by)


@transaction.atomic
def save_wishes(*, assessment: Assessment, revision: int, by: User, **wished: object) -> Assessment:
    """Store what she wishes for; the budget in minor units of the salon's currency."""
    draft = _open_draft(assessment)
    changes = _changes(draft, WISHES, wished)
    if not changes:
        return draft
    _refuse_stale(draft, revision)
    return _store(draft, changes, by)


@transaction.atomic
def set_reading(
    *,
    assessment: Assessment,
    zone: str,
    method: ColourReading.Method,
    lab: tuple[float, float, float],
    doubt: float,
    by: User,
    light: str = "",
    shade_label: str = "",
) -> ColourReading:
    """Write one zone's reading on a draft, in place of the one there."""
    draft = _open_draft(assessment)
    taken = ReadingTaken(ColourReading.Method(method), lab, doubt, light, shade_label)
    _write_reading(draft, zone, taken)
    _store(draft, {}, by)
    return draft.readings.get(zone=zone)


@transaction.atomic
def set_sensitivities(*, client: Client, substances: Collection[str], by: User, on: date) -> None:
    """Make `substances` the ones on file. One told today can be taken back (a slip of the finger), an older one not."""
    unknown = set(substances) - set(Substance.values)
    if unknown:
        raise ValidationError({"reactions": "One of the ticked substances is not on the list; tick it there."})
    on_file = {sensitivity.substance: sensitivity for sensitivity in client.sensitivities.all()}
    for substance in sorted(on_file.keys() - set(substances)):
        told = on_file[substance]
        if told.told_on != on:
            raise ValidationError(
                {
                    "reactions": f"{told} has been on file since {date_format(told.told_on, 'j F Y')} and stays there. "
                    "Write in the story what she says of it now."
                }
            )
        told.delete()
    for substance in sorted(set(substances) - on_file.keys()):
        sensitivity = Sensitivity(client=client, substance=substance, told_on=on, recorded_by=by)
        sensitivity.full_clean()
        sensitivity.save()


@transaction.atomic
def sign_off(*, assessment: Assessment, by: User, at: datetime, revision: int | None = None) -> Assessment:
    """Freeze the assessment, and replace the one it started from.

    With `revision`, refused when anything was saved after that was read: she signs what she has seen.
    """
    draft = _open_draft(assessment)
    if revision is not None:
        _refuse_stale(draft, revision)
    old = draft.supersedes
    if old is not None:
        old = Assessment.objects.select_for_update().get(pk=old.pk)
        if old.state != Assessment.State.SIGNED_OFF:
            raise ValidationError(f"Assessment {old.reference} has already been replaced by a newer one.")
        old.state = Assessment.State.SUPERSEDED
        old.full_clean()
        old.save(update_fields=["state"])
    draft.state = Assessment.State.SIGNED_OFF
    draft.signed_by, draft.signed_at = by, at
    draft.full_clean()
    draft.save()
    return draft


def _open_draft(assessment: Assessment) -> Assessment:
    """The row as it is now, held until the transaction ends; refused when it may not be written in."""
    fresh = Assessment.objects.select_for_update().get(pk=assessment.pk)
    if not fresh.is_draft:
        raise ValidationError(
            f"This assessment was signed off on {_moment(fresh.signed_at)} by {fresh.signed_by} and can't be changed. "
            "Begin a new one that starts from it.",
            code="signed-off",
        )
    require_record_consent(fresh.client)
    return fresh


def _refuse_stale(draft: Assessment, revision: int) -> None:
    if draft.revision != revision:
        raise StaleRevision(
            f"This was saved meanwhile, at {localtime(draft.saved_at):%H:%M} by {draft.stylist}, in another tab or on "
            "another device. Nothing is lost: compare the two and choose.",
            code="stale",
        )


def _refuse_unknown_stage(scale: str, stage: str) -> None:
    """Both or neither, and of the scale's own stages."""
    if not scale and not stage:
        return
    try:
        named(scale, stage)
    except ValueError as refusal:
        raise ValidationError({"stage": f"Choose one of the stages shown, or none. {refusal}"}) from refusal


def _changes(draft: Assessment, fields: tuple[str, ...], given: Mapping[str, object]) -> dict[str, object]:
    """What of the given differs from what is stored."""
    strangers = given.keys() - set(fields)
    if strangers:
        raise TypeError(f"not part of this step: {', '.join(sorted(strangers))}")
    return {name: value for name, value in given.items() if getattr(draft, name) != value}


def _store(draft: Assessment, changes: Mapping[str, object], by: User) -> Assessment:
    for name, value in changes.items():
        setattr(draft, name, value)
    draft.revision += 1
    draft.stylist = by  # whoever writes it down has examined her
    draft.full_clean()
    draft.save()
    return draft


def _tenth(tape_mm: float | Decimal) -> Decimal:
    return Decimal(str(tape_mm)).quantize(Decimal("0.1"))  # as finely as a tape is kept


def _taken(reading: ColourReading) -> ReadingTaken:
    method = ColourReading.Method(reading.method)
    return ReadingTaken(
        method,
        reading.lab,
        reading.doubt,
        reading.light,
        reading.shade_label,
        reading.scale,
        reading.photo,
        reading.details,
    )


def _write_reading(draft: Assessment, zone: str, taken: ReadingTaken | None) -> None:
    draft.readings.filter(zone=zone).delete()
    if taken is None:
        return
    lightness, a_star, b_star = taken.lab
    reading = ColourReading(
        assessment=draft,
        zone=zone,
        method=taken.method,
        lightness=lightness,
        a_star=a_star,
        b_star=b_star,
        doubt=taken.doubt,
        light=taken.light,
        shade_label=taken.shade_label,
        routine_version=ROUTINES.get(taken.method, taken.scale),
        scale=taken.scale,
        photo=taken.photo,
        details=taken.details,
    )
    reading.full_clean()
    reading.save()


def _moment(at: datetime | None) -> str:
    return "" if at is None else date_format(localtime(at), "j F Y, H:i")
