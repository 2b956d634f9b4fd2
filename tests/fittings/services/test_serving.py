"""What was done is kept with what the rules said, once, with what follows from it; it is corrected, never edited."""

from datetime import timedelta
from uuid import uuid4

import pytest
from django.core.exceptions import ValidationError
from django.utils.timezone import localdate, now

from clients.consenting import withdraw_consent
from fittings.correcting import strike_out
from fittings.models import OwnedPiece, Service, Wash
from fittings.planning import plan_service, remove_service
from fittings.serving import record_strand_test
from tests.clients.factories import PhotoFactory
from tests.factories import OwnerFactory, StylistFactory
from tests.fittings.services.scene import CLIPS, do, log, owned_by, said, visit_and_piece
from tests.fittings.test_trying import chosen_to_try
from tests.fittings.visits import signed_off_visit
from tests.pieces.factories import UnitFactory, VariantFactory

pytestmark = pytest.mark.django_db
WARM = {"planned_heat": "tong", "tool_c": 150.0, "hair_is_wet": "no", "near_base": "no", "flammable_remover_wet": "no"}
DYED = {"planned_colour": "deposit", "colour_on": "piece detached", "colour_touches_base": "no"}
WALNUT = {"lines": [{"product": "Walnut stain", "parts": 1, "lot": "L-204"}], "minutes": 20}


def test_a_wash_of_a_piece_is_done_at_once_and_is_a_wash_of_it():
    fitting, owned = visit_and_piece()
    service = log(fitting, "wash", details={"deep_care": True}, owned_piece=owned)
    assert (service.done_by, service.is_done, service.details) == (fitting.stylist, True, {"deep_care": True})
    wash = Wash.objects.get()
    assert (wash.owned_piece, wash.service, wash.deep_care, wash.washed_on) == (owned, service, True, localdate())
    assert owned.care_dates.exists()


def test_heat_over_what_the_maker_rates_is_stopped_and_under_it_is_logged():
    fitting, owned = visit_and_piece(fibre="heat_friendly", rated_c=140)
    with pytest.raises(ValidationError, match="140 °C"):
        log(fitting, "heat", WARM, owned_piece=owned)
    assert not Service.objects.exists()
    assert log(fitting, "heat", WARM | {"tool_c": 130.0}, {"passes": 2}, owned_piece=owned).details == {"passes": 2}


def test_an_owner_lets_a_stop_pass_in_writing_and_it_is_kept_with_the_service():
    fitting, owned = visit_and_piece(fibre="standard")
    reasons = {"heat-standard": "A test piece for teaching"}
    with pytest.raises(ValidationError, match="ask an owner"):
        log(fitting, "heat", WARM, owned_piece=owned, owner=StylistFactory(), reasons=reasons)
    service = log(fitting, "heat", WARM, owned_piece=owned, owner=OwnerFactory(), reasons=reasons)
    assert service.overrides.get().reason == "A test piece for teaching"
    assert "heat-standard" in {one["rule_id"] for one in service.findings}


def test_what_is_not_known_is_asked_for_and_no_owner_passes_it():
    fitting, owned = visit_and_piece()
    with pytest.raises(ValidationError, match="First find out and record"):
        log(fitting, "heat", {"planned_heat": "iron"}, owned_piece=owned, owner=OwnerFactory(), reasons={})


def test_a_caution_is_read_before_it_is_logged():
    fitting, owned = visit_and_piece(fibre="standard")
    with pytest.raises(ValidationError, match="Read and tick first"):
        log(fitting, "steam", {"planned_steam": True}, owned_piece=owned)
    assert log(fitting, "steam", {"planned_steam": True}, owned_piece=owned, acknowledged={"steam-standard"}).findings


def test_heat_on_her_own_hair_is_held_to_what_human_hair_stands():
    fitting = signed_off_visit()
    with pytest.raises(ValidationError, match="too hot for human hair"):
        log(fitting, "heat", WARM | {"fibre": "human", "tool_c": 215.0, "unit_coloured": "no"})
    assert log(fitting, "heat", WARM | {"fibre": "human", "unit_coloured": "no"}).owned_piece is None


def test_a_form_sent_twice_logs_once():
    fitting, owned = visit_and_piece()
    key = uuid4()
    first = log(fitting, "wash", owned_piece=owned, once=key)
    assert log(fitting, "wash", owned_piece=owned, once=key) == first
    assert Service.objects.count() == Wash.objects.count() == 1
    assert log(fitting, "wash", owned_piece=owned, once=uuid4()) != first


def test_nothing_new_is_logged_in_a_finished_visit_nor_without_her_consent():
    fitting, owned = visit_and_piece()
    consent = fitting.client.consents.get(kind="record")
    withdraw_consent(consent=consent, by=fitting.stylist, at=now())
    with pytest.raises(ValidationError, match="agree"):
        log(fitting, "wash", owned_piece=owned)
    other, hers = visit_and_piece()
    finish(other)
    with pytest.raises(ValidationError, match="This visit is finished"):
        log(other, "wash", owned_piece=hers)


def finish(fitting):
    fitting.finished_at, fitting.finished_by = now(), fitting.stylist
    fitting.save()


def test_a_piece_of_somebody_else_one_of_another_visit_and_one_that_ended_are_refused():
    fitting, _ = visit_and_piece()
    with pytest.raises(ValidationError, match="somebody else"):
        log(fitting, "wash", owned_piece=visit_and_piece()[1])
    with pytest.raises(ValidationError, match="another visit"):
        log(fitting, "wash", candidate=chosen_to_try(signed_off_visit(), VariantFactory()))
    gone = owned_by(fitting)
    OwnedPiece.objects.filter(pk=gone.pk).update(
        until=localdate(), ended="lost", ended_by=fitting.stylist, ended_at=now()
    )
    gone.refresh_from_db()
    with pytest.raises(ValidationError, match="no longer has this piece"):
        log(fitting, "wash", owned_piece=gone)


def test_a_visit_that_examines_anew_goes_by_the_newest_signed_off_and_needs_one():
    fitting, owned = visit_and_piece()
    fitting.assessment = None
    fitting.save()
    assert log(fitting, "wash", owned_piece=owned)
    fitting.client.assessments.update(state="draft", signed_at=None, signed_by=None)
    with pytest.raises(ValidationError, match="Sign the assessment off first"):
        log(fitting, "wash", owned_piece=owned)


@pytest.mark.parametrize(
    ("kind", "details", "sentence"),
    [
        ("wash", {"minutes": 20}, "not recorded of such a service"),
        ("steam", {"minutes": "long"}, "A whole number from 0 to 300"),
        ("cut-in", {"zones": ["moon"]}, "Tick only what is shown"),
        ("colour", {"lines": [{}] * 9}, "No more than 4 lines"),
        ("tape set", {"product": "x" * 121}, "no more than 120 characters"),
    ],
)
def test_details_that_do_not_belong_to_the_kind_are_refused(kind, details, sentence):
    fitting, owned = visit_and_piece()
    with pytest.raises(ValidationError, match=sentence):
        log(fitting, kind, details=details, owned_piece=owned)


def test_photos_of_somebody_else_are_refused():
    fitting, owned = visit_and_piece()
    with pytest.raises(ValidationError, match="somebody else"):
        log(fitting, "cut-in", owned_piece=owned, photos_before=PhotoFactory().photo_set)


# Colour and strand tests


def test_colour_waits_for_a_strand_test_of_this_very_unit_that_held():
    fitting, owned = visit_and_piece(colourable="yes")
    facts = DYED | {"unit_coloured": "no", "unit_lightened_before": "no", "unit_strand_test": "yes"}
    with pytest.raises(ValidationError, match="No strand test of this unit is recorded"):
        log(fitting, "colour", facts, WALNUT, owned_piece=owned)  # whatever the post says: none is on record
    strand(owned, held=False)
    with pytest.raises(ValidationError, match="No strand test"):
        log(fitting, "colour", facts, WALNUT, owned_piece=owned)
    strand(owned)
    service = log(fitting, "colour", facts, WALNUT, owned_piece=owned)
    assert service.details["strand_test"]["product"] == "Walnut stain"
    assert service.details["strand_test"]["held"] is True


def strand(owned, **said):
    who = {"by": owned.begun_by, "at": now() - timedelta(minutes=5)}
    return record_strand_test(
        **{"unit": owned.unit, "product": "Walnut stain", "held": True, "seen": "As wished"} | who | said
    )


def test_a_strand_test_sent_twice_is_kept_once_and_one_struck_out_does_not_count():
    fitting, owned = visit_and_piece(colourable="yes")
    key = uuid4()
    test = strand(owned, once=key)
    assert strand(owned, once=key) == test
    strike_out(entry=test, because="Another unit", by=fitting.stylist, at=now())
    with pytest.raises(ValidationError, match="No strand test"):
        log(fitting, "colour", DYED | {"unit_coloured": "no"}, WALNUT, owned_piece=owned)


def test_what_was_lightened_is_known_from_then_on_and_not_from_a_service_struck_out():
    fitting, owned = visit_and_piece(colourable="yes")
    strand(owned)
    facts = DYED | {"planned_colour": "lightener", "unit_lightened_before": "no", "unit_coloured": "no"}
    lightened = log(fitting, "colour", facts, WALNUT, owned_piece=owned, acknowledged={"colour-lift"})
    with pytest.raises(ValidationError, match="lightened before"):
        log(fitting, "colour", facts, WALNUT, owned_piece=owned, acknowledged={"colour-lift"})
    strike_out(entry=lightened, because="Only looked at", by=fitting.stylist, at=now())
    assert log(fitting, "colour", facts, WALNUT, owned_piece=owned, acknowledged={"colour-lift"})


def test_a_colour_service_can_be_corrected_without_its_own_lightening_standing_in_the_way():
    fitting, owned = visit_and_piece(colourable="yes")
    strand(owned)
    facts = DYED | {"planned_colour": "lightener", "unit_lightened_before": "no", "unit_coloured": "no"}
    first = log(fitting, "colour", facts, WALNUT, owned_piece=owned, acknowledged={"colour-lift"})
    again = log(
        fitting, "colour", facts, WALNUT | {"minutes": 30}, owned_piece=owned, corrects=first, because="30, not 20"
    )
    assert again.details["minutes"] == 30


# Tape and clips


def test_tape_set_is_where_the_piece_is_taped_now():
    fitting, owned = visit_and_piece()
    taped(fitting, owned, ["front", "left"], "Clear strip")
    taped(fitting, owned, ["front"], "Soft strip")
    owned.refresh_from_db()
    assert {area["where"]: area["product"] for area in owned.tape} == {
        "Left side": "Clear strip",
        "Front edge": "Soft strip",
    }
    assert owned.tape[0]["since"] == localdate().isoformat()


def taped(fitting, owned, where, product, **more):
    facts = {"planned_fixing": ["tape"], "adhesive_contains": []}
    reasons = {"adhesive-test": "Tested elsewhere", "adhesive-test-product": "Tested elsewhere"}
    details = {"product": product, "where": where}
    return log(fitting, "tape set", facts, details, owned_piece=owned, owner=OwnerFactory(), reasons=reasons, **more)


def test_a_corrected_tape_set_takes_back_what_the_wrong_one_wrote():
    fitting, owned = visit_and_piece()
    wrong = taped(fitting, owned, ["front", "left"], "Clear strip")
    taped(fitting, owned, ["front"], "Clear strip", corrects=wrong, because="Only the front")
    owned.refresh_from_db()
    assert [area["where"] for area in owned.tape] == ["Front edge"]


def test_clips_moved_are_where_they_sit_now_and_the_service_says_from_where():
    fitting, owned = visit_and_piece()
    moves = [{"was": CLIPS[0], "now": {**CLIPS[0], "u_mm": 20}}, {"was": CLIPS[1], "now": None}]
    facts = {"planned_fixing": ["clips"]}
    everything = {"clip-hold", "clip-hold-few", "nickel", "sleep", "traction", "front-none"}
    log(
        fitting,
        "clips",
        facts,
        {"moves": moves},
        owned_piece=owned,
        acknowledged=everything,
        owner=OwnerFactory(),
        reasons=dict.fromkeys(everything, "She wears it with tape"),
    )
    owned.refresh_from_db()
    assert owned.clips == [{"u_mm": 20, "v_mm": 0, "length_mm": 30}]


def test_a_clip_moved_to_where_nothing_holds_it_is_said():
    fitting, owned = visit_and_piece(clips=[{"u_mm": 5, "v_mm": v, "length_mm": 30} for v in (-40, 0, 40)])
    moves = [{"was": clip, "now": clip} for clip in owned.clips[:2]]
    moves += [{"was": owned.clips[2], "now": {"u_mm": 90, "v_mm": 0, "length_mm": 30}}]
    with pytest.raises(ValidationError, match="Clips that land on hair"):
        log(fitting, "clips", {"planned_fixing": ["clips"]}, {"moves": moves}, owned_piece=owned)


# Planned, corrected, removed


def planned(fitting, owned, kind="wash", facts=None, **more):
    said_of_it = said(fitting, facts, **more)
    del said_of_it["details"]
    return plan_service(fitting=fitting, kind=kind, owned_piece=owned, **said_of_it)


def test_a_planned_service_is_done_once_with_its_details():
    fitting, owned = visit_and_piece()
    service = planned(fitting, owned)
    done = do(service, details={"product": "Mild wash"}, owned_piece=owned)
    assert (done.pk, done.is_done, done.details) == (service.pk, True, {"product": "Mild wash"})
    assert do(service, details={"product": "Another"}, owned_piece=owned).details == {"product": "Mild wash"}
    assert Wash.objects.count() == 1


def test_what_was_read_and_let_pass_when_it_was_planned_counts_when_the_rules_say_the_same():
    fitting, owned = visit_and_piece(fibre="standard")
    reasons = {"heat-standard": "A test piece for teaching"}
    service = planned(fitting, owned, "heat", WARM, owner=OwnerFactory(), reasons=reasons)
    assert do(service, WARM, owned_piece=owned).is_done
    assert service.overrides.count() == 1


def test_a_planned_service_is_taken_away_and_a_done_one_never():
    fitting, owned = visit_and_piece()
    remove_service(service=planned(fitting, owned))
    done = log(fitting, "wash", owned_piece=owned)
    with pytest.raises(ValidationError, match="stays on the record"):
        remove_service(service=done)
    assert Service.objects.get() == done


def test_a_correction_stands_in_place_of_the_first_keeps_its_day_and_says_who_wrote_it():
    fitting, owned = visit_and_piece()
    first = log(fitting, "wash", owned_piece=owned)
    finish(fitting)
    who = StylistFactory()
    again = log(
        fitting, "wash", details={"deep_care": True}, owned_piece=owned, corrects=first, because="With a mask", by=who
    )
    assert list(Service.objects.done()) == [again]
    assert (again.done_at, again.done_by, again.planned_by) == (first.done_at, fitting.stylist, who)
    first.refresh_from_db()
    assert first.details == {}
    assert [wash.deep_care for wash in Wash.objects.standing()] == [True]


def test_a_correction_needs_a_reason_and_stays_with_the_same_piece_visit_and_kind():
    fitting, owned = visit_and_piece()
    first = log(fitting, "wash", owned_piece=owned)
    with pytest.raises(ValidationError, match="why"):
        log(fitting, "wash", owned_piece=owned, corrects=first)
    for wrong in ({"owned_piece": None}, {"owned_piece": owned_by(fitting)}):
        with pytest.raises(ValidationError, match="same piece"):
            log(fitting, "wash", corrects=first, because="Another", **wrong)
    with pytest.raises(ValidationError, match="same piece"):
        log(fitting, "cut-in", owned_piece=owned, corrects=first, because="Another")
    log(fitting, "wash", owned_piece=owned, corrects=first, because="Once")
    with pytest.raises(ValidationError, match="corrected already"):
        log(fitting, "wash", owned_piece=owned, corrects=first, because="Twice")


def test_what_an_owner_let_pass_is_kept_with_the_correction_too():
    fitting, owned = visit_and_piece(fibre="standard")
    first = log(
        fitting, "heat", WARM, owned_piece=owned, owner=OwnerFactory(), reasons={"heat-standard": "For teaching"}
    )
    again = log(fitting, "heat", WARM, {"passes": 1}, owned_piece=owned, corrects=first, because="One pass")
    assert again.overrides.get().reason == "For teaching"


def test_the_unit_tried_in_an_earlier_visit_is_the_same_unit():
    fitting = signed_off_visit()
    unit = UnitFactory()
    candidate = chosen_to_try(fitting, unit.variant)
    assert not Service.objects.of_unit(unit).exists()
    candidate.try_ons.create(
        fitting=fitting, unit=unit, covers="well", sits="well", matches="well", logged_by=fitting.stylist
    )
    service = log(fitting, "wash", candidate=candidate)
    assert list(Service.objects.of_unit(unit)) == [service]
