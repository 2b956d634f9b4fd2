"""Writing an assessment: what is stored, what is refused and in which words, and that signing freezes it."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils.timezone import now

from clients.assessing import (
    ReadingTaken,
    StaleRevision,
    begin_assessment,
    save_map,
    save_own_hair,
    save_story,
    save_tapes,
    save_wishes,
    set_reading,
    set_sensitivities,
    sign_off,
)
from clients.consenting import withdraw_consent
from clients.models import Assessment, ColourReading
from clients.models.assessment import NO_LOSS_HEX
from tests.factories import ClientFactory, StylistFactory

pytestmark = pytest.mark.django_db

INSTRUMENT = ReadingTaken(ColourReading.Method.INSTRUMENT, (25.4, 5.5, 9.1), 0.6)
BY_EYE = ReadingTaken(ColourReading.Method.BY_EYE, (26.0, 5.8, 9.6), 3.0, "Daylight lamp", "walnut-1 Deep warm brown")
HALF_LEFT = "32" * 4096


@pytest.fixture
def stylist():
    return StylistFactory(first_name="Imke", last_name="Valcourt")


@pytest.fixture
def her():
    return ClientFactory(given_name="Ada", family_name="Fenwick", record_consent=True)


@pytest.fixture
def draft(her, stylist):
    return begin_assessment(client=her, stylist=stylist, at=now())


def words_of(refusal):
    return " ".join(refusal.value.messages)


# Beginning


def test_nothing_begins_without_her_consent_to_the_record(stylist):
    with pytest.raises(ValidationError) as refusal:
        begin_assessment(client=ClientFactory(given_name="Carys"), stylist=stylist, at=now())
    assert "Carys" in words_of(refusal)
    assert "Ask for that consent first" in words_of(refusal)
    assert not Assessment.objects.exists()


def test_a_second_draft_is_refused_while_one_is_open(draft, her, stylist):
    with pytest.raises(ValidationError, match="go on with that one"):
        begin_assessment(client=her, stylist=stylist, at=now())


def test_a_new_one_starts_from_the_last_and_asks_anew_what_changes(draft, her, stylist):
    long_ago = now() - timedelta(days=200)
    draft = save_story(
        assessment=draft,
        revision=0,
        by=stylist,
        story="Since the winter",
        scalp_condition="sound",
        reactions_asked=True,
    )
    draft = save_tapes(assessment=draft, revision=1, by=stylist, circumference_mm=559)
    draft = save_map(assessment=draft, revision=2, by=stylist, density_hex=HALF_LEFT)
    draft = save_own_hair(assessment=draft, revision=3, by=stylist, grey_percent=0, readings={"root": INSTRUMENT})
    old = sign_off(assessment=draft, by=stylist, at=long_ago)
    new = begin_assessment(client=her, stylist=stylist, at=now())
    assert (new.supersedes, new.state, new.revision) == (old, "draft", 0)
    assert (new.story, new.circumference_mm, new.grey_percent) == ("Since the winter", Decimal("559.0"), 0)
    assert (new.density_hex, new.map_painted) == (old.density_hex, True)
    assert [(reading.zone, reading.lab) for reading in new.readings.all()] == [("root", INSTRUMENT.lab)]
    assert (new.scalp_condition, new.reactions_asked) == ("", False)


def test_on_the_same_day_nothing_is_asked_twice(draft, her, stylist):
    draft = save_story(assessment=draft, revision=0, by=stylist, scalp_condition="sound", reactions_asked=True)
    sign_off(assessment=draft, by=stylist, at=now())
    new = begin_assessment(client=her, stylist=stylist, at=now())
    assert (new.scalp_condition, new.reactions_asked) == ("sound", True)


# Saving


def test_a_step_may_be_half_filled_and_empty_stays_unknown(draft, stylist):
    saved = save_story(assessment=draft, revision=0, by=stylist, losing_since="last spring")
    assert saved.revision == 1
    assert (saved.chemotherapy, saved.scalp_condition, saved.traction_signs) == ("", "", "")


def test_saving_what_is_stored_already_changes_nothing(draft, stylist):
    saved = save_tapes(assessment=draft, revision=0, by=stylist, circumference_mm=559, front_to_nape_mm=None)
    again = save_tapes(assessment=draft, revision=0, by=stylist, circumference_mm=559.0, front_to_nape_mm=None)
    assert again.revision == saved.revision == 1


def test_a_save_that_missed_the_last_one_is_refused_and_says_who_and_when(draft, stylist):
    other = StylistFactory(first_name="Noor", last_name="Selwicke")
    save_tapes(assessment=draft, revision=0, by=other, circumference_mm=559)
    with pytest.raises(StaleRevision) as refusal:
        save_tapes(assessment=draft, revision=0, by=stylist, circumference_mm=555)
    assert "saved meanwhile" in words_of(refusal)
    assert "Noor Selwicke" in words_of(refusal)
    draft.refresh_from_db()
    assert draft.circumference_mm == 559


def test_a_step_takes_only_its_own_fields(draft, stylist):
    with pytest.raises(TypeError, match="state"):
        save_wishes(assessment=draft, revision=0, by=stylist, state="signed off")


def test_nothing_is_written_after_she_took_her_consent_back(draft, her, stylist):
    withdraw_consent(consent=her.consents.get(), by=stylist, at=now())
    with pytest.raises(ValidationError, match="Ask for that consent first"):
        save_story(assessment=draft, revision=0, by=stylist, story="Something")


def test_a_sign_that_is_not_on_the_list_is_refused(draft, stylist):
    with pytest.raises(ValidationError, match="not on the list"):
        save_story(assessment=draft, revision=0, by=stylist, referral_signs=["sudden", "a curse"])
    draft.refresh_from_db()
    assert draft.referral_signs == []


def test_a_last_dose_goes_with_finished_chemotherapy_only(draft, stylist):
    with pytest.raises(ValidationError, match="goes with “Finished”"):
        save_story(
            assessment=draft, revision=0, by=stylist, chemotherapy="under way", chemotherapy_ended_on=date(2026, 1, 9)
        )
    saved = save_story(
        assessment=draft, revision=0, by=stylist, chemotherapy="finished", chemotherapy_ended_on=date(2026, 1, 9)
    )
    assert saved.chemotherapy_ended_on == date(2026, 1, 9)


def test_tapes_are_kept_to_the_tenth_of_a_millimetre(draft, stylist):
    saved = save_tapes(assessment=draft, revision=0, by=stylist, ear_to_ear_mm=342.94)
    assert saved.ear_to_ear_mm == Decimal("342.9")


@pytest.mark.parametrize(
    ("tapes", "field"),
    [
        ({"circumference_mm": 700, "front_to_nape_mm": 220, "ear_to_ear_mm": 340}, "front_to_nape_mm"),
        ({"circumference_mm": 560, "front_to_nape_mm": 360, "ear_to_ear_mm": 210}, "ear_to_ear_mm"),
    ],
)
def test_tapes_of_no_head_are_refused_and_the_tape_to_take_again_is_named(draft, stylist, tapes, field):
    with pytest.raises(ValidationError) as refusal:
        save_tapes(assessment=draft, revision=0, by=stylist, **tapes)
    assert list(refusal.value.message_dict) == [field]
    assert "take it again" in words_of(refusal)
    draft.refresh_from_db()
    assert (draft.circumference_mm, draft.revision) == (None, 0)


def test_a_tape_beyond_every_head_is_refused_in_words(draft, stylist):
    with pytest.raises(ValidationError, match="circumference tape lies between 400 and 750 mm"):
        save_tapes(
            assessment=draft, revision=0, by=stylist, circumference_mm=380, front_to_nape_mm=250, ear_to_ear_mm=240
        )


def test_a_map_is_stored_and_known_to_be_painted(draft, stylist):
    saved = save_map(assessment=draft, revision=0, by=stylist, density_hex=HALF_LEFT.upper())
    assert saved.map_painted
    assert saved.density_hex[2 * 64 * 32 + 64 : 2 * 64 * 32 + 66] == "32"
    assert saved.density_hex[:2] == "64"  # outside the disk nothing is lost


@pytest.mark.parametrize("hex_text", ["", "64", "zz" * 4096, "ff" * 4096, NO_LOSS_HEX + "64"])
def test_a_map_that_is_none_is_refused(draft, stylist, hex_text):
    with pytest.raises(ValidationError, match="can't be read"):
        save_map(assessment=draft, revision=0, by=stylist, density_hex=hex_text)


def test_a_pattern_is_named_by_the_stylist_and_the_name_taken_back(draft, stylist):
    saved = save_map(assessment=draft, revision=0, by=stylist, scale="norwood", stage="III vertex")
    assert (saved.scale, saved.stage, saved.revision) == ("norwood", "III vertex", 1)
    assert (saved.density_hex, saved.map_painted) == (NO_LOSS_HEX, False)  # a name paints nothing
    saved = save_map(assessment=draft, revision=1, by=stylist, density_hex=HALF_LEFT)
    assert (saved.scale, saved.stage, saved.map_painted) == ("norwood", "III vertex", True)  # and a map names nothing
    saved = save_map(assessment=draft, revision=2, by=stylist, scale="", stage="")
    assert (saved.scale, saved.stage, saved.map_painted) == ("", "", True)


@pytest.mark.parametrize(("scale", "stage"), [("ludwig", "IV"), ("ludwig", ""), ("", "I"), ("shells", "1")])
def test_a_stage_that_is_none_of_its_scale_is_refused(draft, stylist, scale, stage):
    with pytest.raises(ValidationError, match="Choose one of the stages shown, or none"):
        save_map(assessment=draft, revision=0, by=stylist, scale=scale, stage=stage)
    draft.refresh_from_db()
    assert (draft.scale, draft.stage, draft.revision) == ("", "", 0)


def test_the_database_too_holds_a_stage_to_a_scale(draft):
    with pytest.raises(IntegrityError), transaction.atomic():
        Assessment.objects.filter(pk=draft.pk).update(scale="ludwig")


@pytest.mark.parametrize(("days", "named"), [(200, ("", "")), (0, ("ludwig", "II"))])
def test_another_day_the_pattern_is_named_anew_on_the_same_day_it_stays(draft, her, stylist, days, named):
    save_map(assessment=draft, revision=0, by=stylist, density_hex=HALF_LEFT, scale="ludwig", stage="II")
    sign_off(assessment=draft, by=stylist, at=now() - timedelta(days=days))
    new = begin_assessment(client=her, stylist=stylist, at=now())
    assert (new.scale, new.stage) == named
    assert new.density_hex == Assessment.objects.get(pk=draft.pk).density_hex


# Colour readings


def test_readings_are_written_replaced_taken_back_and_left_alone(draft, stylist):
    draft = save_own_hair(assessment=draft, revision=0, by=stylist, readings={"root": INSTRUMENT, "ends": BY_EYE})
    assert {reading.zone: reading.routine_version for reading in draft.readings.all()} == {
        "root": "instrument-1",
        "ends": "by-eye-1",
    }
    draft = save_own_hair(assessment=draft, revision=1, by=stylist, readings={"root": BY_EYE, "mid": None})
    assert draft.readings.get(zone="root").shade_label == "walnut-1 Deep warm brown"
    draft = save_own_hair(assessment=draft, revision=2, by=stylist, readings={"root": None})
    assert [reading.zone for reading in draft.readings.all()] == ["ends"]


def test_a_reading_out_of_range_stores_nothing_of_the_step(draft, stylist):
    wrong = ReadingTaken(ColourReading.Method.INSTRUMENT, (140.0, 0.0, 0.0), 0.6)
    with pytest.raises(ValidationError, match=r"L\* lies between 0 and 100"):
        save_own_hair(assessment=draft, revision=0, by=stylist, thickness="fine", readings={"root": wrong})
    draft.refresh_from_db()
    assert (draft.thickness, draft.readings.count()) == ("", 0)


def test_one_reading_can_be_set_by_itself(draft, stylist):
    reading = set_reading(
        assessment=draft,
        zone="mid",
        method=ColourReading.Method.INSTRUMENT,
        lab=(30.0, 6.0, 12.0),
        doubt=0.6,
        by=stylist,
    )
    assert reading.lab == (30.0, 6.0, 12.0)


# Reactions


def test_a_reaction_told_today_can_be_taken_back(draft, her, stylist):
    today = date(2026, 3, 2)
    draft = save_story(assessment=draft, revision=0, by=stylist, reactions=["latex", "nickel"], on=today)
    draft = save_story(assessment=draft, revision=1, by=stylist, reactions=["nickel"], on=today)
    assert [told.substance for told in her.sensitivities.all()] == ["nickel"]


def test_an_older_reaction_stays_on_file(her, stylist):
    set_sensitivities(client=her, substances=["latex"], by=stylist, on=date(2025, 5, 3))
    with pytest.raises(ValidationError, match="Latex has been on file since 3 May 2025 and stays"):
        set_sensitivities(client=her, substances=[], by=stylist, on=date(2026, 3, 2))
    assert her.sensitivities.count() == 1


def test_a_substance_that_is_not_on_the_list_is_refused(her, stylist):
    with pytest.raises(ValidationError, match="not on the list"):
        set_sensitivities(client=her, substances=["moonlight"], by=stylist, on=date(2026, 3, 2))


# Signing


def test_signing_says_who_and_when(draft, stylist):
    at = now()
    signed = sign_off(assessment=draft, by=stylist, at=at)
    assert (signed.state, signed.signed_by, signed.signed_at) == ("signed off", stylist, at)


@pytest.mark.parametrize(
    "deed",
    [
        lambda draft, by: save_story(assessment=draft, revision=0, by=by, story="More"),
        lambda draft, by: save_story(assessment=draft, revision=0, by=by, reactions=["latex"], on=date(2026, 3, 2)),
        lambda draft, by: save_tapes(assessment=draft, revision=0, by=by, circumference_mm=560),
        lambda draft, by: save_map(assessment=draft, revision=0, by=by, density_hex=HALF_LEFT),
        lambda draft, by: save_map(assessment=draft, revision=0, by=by, scale="ludwig", stage="I"),
        lambda draft, by: save_own_hair(assessment=draft, revision=0, by=by, readings={"root": INSTRUMENT}),
        lambda draft, by: save_wishes(assessment=draft, revision=0, by=by, wishes="A fringe"),
        lambda draft, by: set_reading(
            assessment=draft, zone="root", method=ColourReading.Method.INSTRUMENT, lab=(1, 1, 1), doubt=1, by=by
        ),
        lambda draft, by: sign_off(assessment=draft, by=by, at=now()),
    ],
)
def test_after_signing_every_deed_refuses(draft, her, stylist, deed):
    sign_off(assessment=draft, by=stylist, at=now())
    before = Assessment.objects.filter(pk=draft.pk).values().get()
    with pytest.raises(ValidationError, match=r"was signed off on .* by Imke Valcourt and can't be changed"):
        deed(draft, stylist)
    assert Assessment.objects.filter(pk=draft.pk).values().get() == before
    assert not her.sensitivities.exists()


def test_she_signs_what_she_has_read(draft, stylist):
    save_wishes(assessment=draft, revision=0, by=stylist, wishes="Short")
    with pytest.raises(StaleRevision):
        sign_off(assessment=draft, by=stylist, at=now(), revision=0)


def test_a_newer_one_takes_the_place_of_the_old(draft, her, stylist):
    old = sign_off(assessment=draft, by=stylist, at=now())
    new = sign_off(assessment=begin_assessment(client=her, stylist=stylist, at=now()), by=stylist, at=now())
    old.refresh_from_db()
    assert (old.state, new.state, new.supersedes) == ("superseded", "signed off", old)
    assert list(Assessment.objects.signed_off().filter(client=her)) == [new]


def test_one_assessment_is_replaced_by_one_only(draft, her, stylist):
    old = sign_off(assessment=draft, by=stylist, at=now())
    sign_off(assessment=begin_assessment(client=her, stylist=stylist, at=now()), by=stylist, at=now())
    rival = Assessment(client=her, stylist=stylist, supersedes=old)
    rival.save()
    with pytest.raises(ValidationError, match="already been replaced"):
        sign_off(assessment=rival, by=stylist, at=now())
    with pytest.raises(IntegrityError), transaction.atomic():
        Assessment.objects.filter(pk=rival.pk).update(state="signed off", signed_by=stylist, signed_at=now())
