"""Visits for tests, made by the deeds the pages call: a client with loss at the crown, examined and signed off."""

from functools import cache

from django.utils.timezone import now

from clients.assessing import (
    ReadingTaken,
    save_map,
    save_own_hair,
    save_story,
    save_tapes,
    save_wishes,
    sign_off,
)
from clients.models import ColourReading
from clients.scalp.head import Head
from clients.scalp.loss_map import LossMap
from fittings.visiting import begin_visit
from tests.factories import ClientFactory, StylistFactory

BROWN = {"root": (25.4, 5.5, 9.1), "mid": (26.2, 5.8, 9.7), "ends": (27.6, 5.9, 10.3)}


def thin_crown(head, *, middle_mm=170.0, radius_mm=45.0, remaining=15.0):
    """A round thin place on the midline, so far back from the hairline."""

    def density_at(s_mm, t_mm):
        inside = (s_mm - middle_mm) ** 2 + t_mm**2 <= radius_mm**2
        return inside * remaining + ~inside * 100.0

    return LossMap.from_tape_coordinates(head, density_at)


@cache  # most visits are of the same head with the same loss
def density_of(loss, **tapes):
    return loss(Head.from_tapes(**tapes)).to_hex()


def signed_off_visit(
    *,
    stylist=None,
    story=None,
    own_hair=None,
    wishes=None,
    loss=thin_crown,
    pattern=("", ""),
    readings=None,
    **client,
):
    """A visit whose assessment is signed off; what a test is about it hands in. `pattern` is a scale and its stage."""
    stylist, at = stylist or StylistFactory(), now()
    her = ClientFactory(record_consent=True, **client)
    fitting = begin_visit(client=her, stylist=stylist, at=at)
    draft = fitting.assessment
    told = {
        "referral_signs_asked": True,
        "reactions_asked": True,
        "chemotherapy": "none",
        "scalp_condition": "sound",
        "traction_signs": "no",
    } | (story or {})
    reactions = told.pop("reactions", [])
    draft = save_story(assessment=draft, revision=draft.revision, by=stylist, reactions=reactions, on=at.date(), **told)
    draft = save_tapes(
        assessment=draft,
        revision=draft.revision,
        by=stylist,
        circumference_mm=559,
        front_to_nape_mm=356,
        ear_to_ear_mm=343,
    )
    painted = {"density_hex": density_of(loss, **draft.tapes()), "scale": pattern[0], "stage": pattern[1]}
    draft = save_map(assessment=draft, revision=draft.revision, by=stylist, **painted)
    hair = {"own_hair_length_mm": 250, "curl_pattern": "straight", "hair_behind_ears": "yes"} | (own_hair or {})
    read = {
        zone: ReadingTaken(ColourReading.Method.INSTRUMENT, lab, 0.6)
        for zone, lab in (BROWN if readings is None else readings).items()
    }
    draft = save_own_hair(assessment=draft, revision=draft.revision, by=stylist, readings=read, **hair)
    if wishes:
        draft = save_wishes(assessment=draft, revision=draft.revision, by=stylist, **wishes)
    sign_off(assessment=draft, by=stylist, at=at)
    fitting.refresh_from_db()
    return fitting
