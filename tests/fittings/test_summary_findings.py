"""What a consult summary says of findings: those that count for her, once each, and what an owner let pass."""

import pytest

from fittings.models import Candidate, Override
from fittings.trying import decide
from tests.factories import OwnerFactory
from tests.fittings.paper.papers import (
    a_salon,
    a_service,
    a_variant,
    decided_visit,
    put_on_trial,
    summed_up,
)
from tests.fittings.visits import signed_off_visit

pytestmark = pytest.mark.django_db


def with_findings(fitting, *findings):
    kept = [{"asks": [], "questions": [], "because": "", "instead": "", "printed": False} | one for one in findings]
    Candidate.objects.filter(fitting=fitting).update(findings=kept)


def test_stops_that_passed_come_first_then_cautions_then_notes_and_questions_stay_off():
    fitting = decided_visit()
    with_findings(
        fitting,
        {"rule_id": "two-way", "severity": "note", "says": "A note."},
        {"rule_id": "texture", "severity": "caution", "says": "A caution."},
        {"rule_id": "hairline", "severity": "stop", "says": "A stop.", "instead": "Lace."},
        {"rule_id": "nickel", "severity": "caution", "says": "Nickel?", "asks": ["reactions"]},
    )
    owner = OwnerFactory(first_name="Odile", last_name="Brand")
    Override.objects.create(
        fitting=fitting,
        candidate=fitting.candidates.get(),
        rule_id="hairline",
        finding="A stop.",
        reason="She saw it in daylight & likes it.",
        owner=owner,
    )
    findings = summed_up(fitting).findings
    assert [(one.word, one.says) for one in findings] == [
        ("Let pass by the owner", "A stop."),
        ("Caution", "A caution."),
        ("Note", "A note."),
    ]
    assert findings[0].let_pass == "Odile Brand let it pass: “She saw it in daylight & likes it.”"


def test_findings_of_planned_services_and_each_owners_reason_are_told():
    fitting = decided_visit(variant=a_variant(fibre="standard"))
    candidate = fitting.candidates.get()
    facts = {"planned_heat": "hot rollers", "tool_c": 70.0, "hair_is_wet": False, "flammable_remover_wet": False}
    for reason in ("Cool rollers, ten minutes.", "And once more at the end."):
        a_service(
            fitting,
            "heat",
            candidate,
            facts=facts,
            owner=OwnerFactory(),
            reasons={"heat-standard": reason},
            acknowledged=["heat-set"],
        )
    stop = next(one for one in summed_up(fitting).findings if one.severity == "stop")
    assert stop.about == "heat styling: hot rollers, 70 °C"
    assert "Cool rollers, ten minutes." in stop.let_pass
    assert "And once more at the end." in stop.let_pass


def test_services_and_passes_of_a_piece_that_was_left_are_not_hers():
    a_salon()
    fitting = signed_off_visit()
    taken, left = (put_on_trial(fitting, a_variant(name=name)) for name in ("Taken", "Left"))
    service = a_service(fitting, "cut-in", left.candidate, price_minor=9900)
    Override.objects.create(
        fitting=fitting, service=service, rule_id="x", finding="Left alone.", reason="Because.", owner=OwnerFactory()
    )
    decide(fitting=fitting, chosen=taken, by=fitting.stylist)
    told = summed_up(fitting)
    assert [line.what for line in told.quote.lines] == ["Taken"]
    assert "Left alone." not in {one.says for one in told.findings}


def test_signs_for_a_doctor_stand_by_themselves():
    told = summed_up(decided_visit(story={"referral_signs": ["sudden", "pain"]}))
    assert told.doctor.says.startswith("Please see a doctor")
    assert "came suddenly" in told.doctor.says
    assert told.doctor.says not in {one.says for one in told.findings}
    assert summed_up(decided_visit()).doctor is None


def test_which_doctor_and_how_soon_is_told_the_soonest_first():
    assert summed_up(decided_visit()).doctor_when == ()
    assert summed_up(decided_visit(story={"referral_signs": ["patchy"]})).doctor_when == (
        "Best in the next two weeks or so, with a family doctor, who can send on to a dermatologist.",
    )
    told = summed_up(decided_visit(story={"referral_signs": ["pulled", "patchy", "pain", "pustules"]})).doctor_when
    assert told == (
        "Best in the next few days, with a family doctor: pustules, lumps, bleeding or a sore that does not heal; "
        "pain or burning.",
        "Best in the next two weeks or so, with a family doctor, who can send on to a dermatologist: patches with "
        "clear edges.",
        "When it suits, with a family doctor or a counsellor: many people know it, and there is help for it: hair that "
        "a hand pulls out, often unnoticed.",
    )


def test_chemotherapy_under_way_is_a_caution_on_the_paper():
    told = summed_up(decided_visit(story={"chemotherapy": "under way"}))
    assert any(one.severity == "caution" and "Chemotherapy is under way" in one.says for one in told.findings)
