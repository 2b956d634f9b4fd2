"""What is known of a client, a piece and its place on her head, under the names the rules ask for.

A fact that nobody recorded is left out, never written as “no”: the rules then ask for it. Pure translation of records
into words; what follows from them is the rules' to say.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db.models import Exists, OuterRef
from django.utils.timezone import localtime

from clients.models import Assessment, Client, Consent, SkinTest
from clients.models.assessment import Chemotherapy, Parting, YesNo
from clients.models.consent import ConsentKind
from clients.models.health import SkinTestKind
from fittings.models import Service
from fittings.placement.placing import Placement
from pieces.models import Base, Piece
from salon.colour.matching import Match
from salon.models import Salon

Facts = dict[str, object]

FRONT_MM = 25  # a clip or tape area that begins this near the front edge holds the front
DAYS_A_MONTH = 30.44
VALID_DAYS = {
    SkinTestKind.COLOUR: "allergy_test_valid_days",
    SkinTestKind.ADHESIVE: "adhesive_test_valid_days",
}


@dataclass(frozen=True)
class HealthFacts:
    """What the database knows about a client's health beside her assessment, fetched once for all pieces."""

    substances: frozenset[str]
    record_consent: bool
    guardian_signed: bool
    allergy_test_read: bool
    adhesive_test_read: bool


def health_facts(client: Client, *, at: datetime, numbers: Mapping[str, float]) -> HealthFacts:
    """Four queries, however many pieces are looked at afterwards. A test that is not on file has not been read.

    Any clear test of a kind counts here, for nothing says yet with which product; a service that names its products
    asks `has_clear_test` of each.
    """
    live = {consent.kind: consent for consent in Consent.objects.live().filter(client=client)}
    record = live.get(ConsentKind.RECORD)
    clear = {
        kind: has_clear_test(client, kind, at=at, numbers=numbers)
        for kind in (SkinTestKind.COLOUR, SkinTestKind.ADHESIVE)
    }
    return HealthFacts(
        substances=frozenset(client.sensitivities.values_list("substance", flat=True)),
        record_consent=record is not None,
        guardian_signed=bool(record and record.guardian_name),
        allergy_test_read=clear[SkinTestKind.COLOUR],
        adhesive_test_read=clear[SkinTestKind.ADHESIVE],
    )


def has_clear_test(
    client: Client, kind: SkinTestKind, *, at: datetime, numbers: Mapping[str, float], product: str | None = None
) -> bool:
    """Whether a test of that kind was read clear and still counts at that moment; one query.

    product: what is put on her skin, by its name; a test of another product then counts for nothing.
    An allergy alert test counts for one colouring: it has to have been read since she was last coloured on another day
    (label wording “before each use”, Regulation (EC) 1223/2009 Annex III: READ). Colour and tone of one day are one.
    """
    valid_for = timedelta(days=numbers[VALID_DAYS[kind]])
    clear = SkinTest.objects.clear_for(client, kind, at=at, valid_for=valid_for, product=product)
    if kind == SkinTestKind.COLOUR:
        today = localtime(at).replace(hour=0, minute=0, second=0, microsecond=0)
        clear = clear.filter(
            ~Exists(
                Service.objects.done().filter(
                    fitting__client=client,
                    kind__in=(Service.Kind.COLOUR, Service.Kind.TONE),
                    facts__colour_touches_skin=True,
                    done_at__gte=OuterRef("read_at"),
                    done_at__lt=today,
                )
            )
        )
    return clear.exists()


def client_facts(client: Client, assessment: Assessment, health: HealthFacts, salon: Salon, *, on: date) -> Facts:
    """What was told and seen of the client herself."""
    facts: Facts = {
        "age_years": client.age_on(on),
        "age_of_consent": salon.age_of_consent,
        "guardian_signed": health.guardian_signed,
        "record_consent": health.record_consent,
        "records_health_or_photo": True,  # an assessment is being kept
        "chemotherapy": assessment.chemotherapy or None,
        "scalp_condition": assessment.scalp_condition or None,
        "traction_signs": _yes_no(assessment.traction_signs),
        "allergy_test_read": health.allergy_test_read,
        "adhesive_test_read": health.adhesive_test_read,
        "days_per_week": assessment.days_per_week,
        "worn_to_bed": _yes_no(assessment.worn_to_bed),
        "own_hair_length_mm": assessment.own_hair_length_mm,
        "own_curl_pattern": assessment.curl_pattern or None,
        "hair_behind_ears": _yes_no(assessment.hair_behind_ears),
    }
    if assessment.referral_signs_asked or assessment.referral_signs:
        facts["referral_signs"] = assessment.referral_signs
    if assessment.reactions_asked or health.substances:
        facts["reactions"] = health.substances
    if assessment.chemotherapy == Chemotherapy.FINISHED and assessment.chemotherapy_ended_on:
        facts["months_since_chemotherapy"] = max((on - assessment.chemotherapy_ended_on).days, 0) / DAYS_A_MONTH
    return facts


def piece_facts(piece: Piece, *, length_mm: float) -> Facts:
    """What its maker says of the piece and its base. Call with the base's clips and tape areas fetched."""
    base = piece.base
    clips, tapes = base.clips.all(), base.tape_areas.all()
    return {
        "fibre": piece.fibre,
        "synthetic_part": piece.synthetic_part or None,
        "rated_c": piece.rated_c,
        "curl_set_c": piece.curl_set_c,
        "colourable": _yes_no(piece.colourable),
        "piece_texture": piece.texture,
        "piece_length_mm": length_mm,
        "piece_curl_is_set": _curl_is_set(piece),
        "has_metal_clips": bool(clips),  # sewn-in clips are spring steel (common practice)
        "clips_nickel_free": _yes_no(base.nickel_free) if clips else None,
        "base_outline": base.outline,
        "front_edge": base.front_edge,
        "has_front_clip": any(clip.u_mm <= FRONT_MM for clip in clips),
        "has_front_tape": any(tape.from_mm <= FRONT_MM for tape in tapes),
        "tape_area_count": len(tapes),
        "two_way": base.two_way,
        "planned_fixing": _usual_fixing(base),
    }


def placement_facts(
    placement: Placement,
    assessment: Assessment,
    base: Base,
    *,
    clip_zones: Collection[str],
    hairline_percent: float,
    clip_hold_percent: float,
    smaller_base_covers: bool,
) -> Facts:
    """Where the base sits, what it covers and what holds.

    clip_zones: the zone under each clip. hairline_percent: the hair that remains at the front hairline; under what a
    clip needs there is nothing left to blend with, so the piece would have to make the hairline itself.
    """
    return {
        "cover": placement.cover,
        "uncovered_cm2": placement.uncovered_cm2,
        "uncovered_side": placement.margin_side or None,
        "margin_mm": placement.margin_mm if abs(placement.margin_mm) < 500 else None,
        "smaller_base_covers": smaller_base_covers,
        "clips_total": placement.clips_total,
        "clips_holding": placement.clips_holding,
        "front_clip_holds": placement.front_clip_holds,
        "loss_reaches_hairline": placement.loss_reaches_hairline,
        "own_hair_at_hairline": hairline_percent >= clip_hold_percent,
        "offered_as": "blends" if hairline_percent >= clip_hold_percent else "covers",
        "way_round": "turned" if placement.turned else "as made",
        "own_hair_showing_cm2": placement.own_hair_showing_cm2,
        "parting_to_front_clip_mm": parting_to_front_clip(assessment, base),
        "clips_on_traction": _clips_where_it_pulls(assessment, clip_zones),
    }


def colour_facts(match: Match | None, *, full_cover: bool) -> Facts:
    """How far the shade is from her own hair; nothing when it was not compared."""
    facts: Facts = {"colour_full_cover": full_cover}
    if match and match.named:
        facts |= {
            "colour_difference": match.named.difference,
            "colour_band": match.named.band.value,
            "colour_passes": match.named.passes,
        }
    return facts


def parting_to_front_clip(assessment: Assessment, base: Base) -> float | None:
    """From her parting to the nearer end of the front clip, in mm; None without a parting, its place or such a clip."""
    if assessment.parting == Parting.CENTRE:
        parting = 0.0
    elif assessment.parting in (Parting.LEFT, Parting.RIGHT) and assessment.parting_offset_mm is not None:
        parting = assessment.parting_offset_mm * (1.0 if assessment.parting == Parting.LEFT else -1.0)
    else:
        return None
    front = [clip for clip in base.clips.all() if clip.u_mm <= FRONT_MM]
    if not front:
        return None
    return max(0.0, min(abs(clip.v_mm - parting) - clip.length_mm / 2 for clip in front))


def _clips_where_it_pulls(assessment: Assessment, clip_zones: Collection[str]) -> int | None:
    """How many clips would sit where something pulled; None while it is not known where that is."""
    if not clip_zones or assessment.traction_signs == YesNo.NO:
        return 0
    if not assessment.traction_zones:
        return None
    return sum(zone in assessment.traction_zones for zone in clip_zones)


def _yes_no(answer: str) -> bool | None:
    return None if not answer else answer == YesNo.YES


def _curl_is_set(piece: Piece) -> bool | None:
    if piece.curl_set_c is not None:
        return True
    if piece.fibre == Piece.Fibre.HUMAN:
        return None  # grown or permed: its maker would have to say
    return piece.texture != Piece.Texture.STRAIGHT


def _usual_fixing(base: Base) -> Iterable[str]:
    """How it is fixed unless a service plans otherwise: by its clips; a cap or taped base is asked about as planned."""
    return {"clips"} if base.clips.all() else set()
