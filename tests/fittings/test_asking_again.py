"""The rules are asked again where something is kept: as worn, as of now, and for whoever would go past them."""

from datetime import date
from html import unescape

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse
from django.utils.timezone import localdate, now

from clients.consenting import withdraw_consent
from clients.models import Consent
from clients.registering import change_client
from fittings.models import Candidate, Override, Service
from fittings.planning import plan_service
from fittings.serving import log_service
from fittings.summary import consult_summary
from fittings.trying import decide, log_try_on, stops_now
from salon.models import Salon
from tests.factories import DeskFactory, OwnerFactory, StylistFactory
from tests.fittings.test_candidates import clipped_base
from tests.fittings.test_trying import WELL, chosen_to_try, stopped, tried
from tests.fittings.visits import signed_off_visit
from tests.pieces.factories import PieceFactory, VariantFactory

pytestmark = pytest.mark.django_db
TOO_FAR_BACK_MM = 150  # the front clip then sits in the thin crown


@pytest.fixture
def fitting():
    return signed_off_visit()


def with_nothing_to_tape_to(fitting):
    base = clipped_base(front_edge="plain")
    base.tape_areas.all().delete()
    return chosen_to_try(fitting, VariantFactory(piece=PieceFactory(base=base)))


def ids(findings):
    return {one["rule_id"] for one in findings}


def consent_taken_back(client):
    consent = Consent.objects.live().get(client=client, kind="record")
    withdraw_consent(consent=consent, by=StylistFactory(), at=now())


def test_a_try_on_keeps_what_the_rules_say_of_the_piece_as_worn(fitting):
    candidate = with_nothing_to_tape_to(fitting)
    as_placed = log_try_on(fitting=fitting, candidate=candidate, by=fitting.stylist, **WELL)
    assert as_placed.findings
    assert as_placed.said_as_worn == []
    worn = {"set_back_mm": TOO_FAR_BACK_MM, **WELL}
    further = log_try_on(fitting=fitting, candidate=candidate, by=fitting.stylist, **worn)
    assert {"front-none", "cover-short"} <= ids(further.said_as_worn)


def test_a_stop_that_arose_as_worn_holds_for_the_decision_and_is_printed_with_its_reason(fitting):
    candidate = with_nothing_to_tape_to(fitting)
    assert "front-none" not in ids(candidate.findings)
    worn = {"set_back_mm": TOO_FAR_BACK_MM, **WELL}
    look = log_try_on(fitting=fitting, candidate=candidate, by=fitting.stylist, **worn)
    with pytest.raises(ValidationError, match="nothing at the front to tape to"):
        decide(fitting=fitting, chosen=look, by=fitting.stylist)
    reasons = {stop["rule_id"]: "She holds it with a band" for stop in stops_now(look)}
    decide(fitting=fitting, chosen=look, by=fitting.stylist, owner=OwnerFactory(), reasons=reasons)
    printed = consult_summary(fitting, on=localdate())
    assert any("She holds it with a band" in told.let_pass for told in printed.findings)


def test_consent_taken_back_meanwhile_stops_what_would_be_kept_of_her(fitting):
    look = tried(fitting)
    consent_taken_back(fitting.client)
    with pytest.raises(ValidationError, match="has not agreed"):
        log_try_on(fitting=fitting, candidate=look.candidate, by=fitting.stylist, **WELL)
    with pytest.raises(ValidationError, match="no consent on file"):
        decide(fitting=fitting, chosen=look, by=fitting.stylist)
    assert fitting.try_ons.count() == 1


def test_a_client_found_to_be_under_age_needs_her_guardian(fitting):
    look = tried(fitting)
    change_client(client=fitting.client, by=fitting.stylist, born_on=date(localdate().year - 14, 1, 1))
    with pytest.raises(ValidationError, match="a parent or guardian must be present and sign"):
        decide(fitting=fitting, chosen=look, by=fitting.stylist)
    assert not fitting.try_ons.exclude(outcome="tried").exists()


def test_a_question_that_was_answered_since_is_asked_no_more(fitting):
    look = tried(fitting)
    asked = {"rule_id": "hairline", "severity": "stop", "says": "Which edge?", "asks": ["front_edge"]}
    Candidate.objects.filter(pk=look.candidate_id).update(findings=[asked | {"questions": ["Which edge?"]}])
    look.candidate.refresh_from_db()
    decide(fitting=fitting, chosen=look, by=fitting.stylist)


def test_a_question_that_stands_is_not_passed_by_an_owner():
    fitting = signed_off_visit(story={"traction_signs": "yes", "traction_zones": []})
    look = tried(fitting)
    (asking,) = [stop for stop in stops_now(look) if stop["asks"]]
    assert asking["asks"] == ["clips_on_traction"]
    with pytest.raises(ValidationError, match="First find out and record: How many clips would sit"):
        decide(fitting=fitting, chosen=look, by=fitting.stylist, owner=OwnerFactory(), reasons={"traction": "Later"})


# the three ways by which something that a rule stops would be kept


def by_a_decision(fitting):
    look = tried(fitting, stopped(fitting))
    return "hairline", lambda **passing: decide(fitting=fitting, chosen=look, by=fitting.stylist, **passing)


def _a_service(fitting, deed, **more):
    piece = chosen_to_try(fitting, VariantFactory(piece=PieceFactory(base=clipped_base(), fibre="standard")))
    facts = {"planned_heat": "iron", "tool_c": 60.0, "hair_is_wet": False, "flammable_remover_wet": False}
    said = {"kind": "heat", "facts": facts, "candidate": piece, "salon": Salon.objects.default(), "by": fitting.stylist}
    moment = {"at": now(), "on": localdate()}
    return "heat-standard", lambda **passing: deed(fitting=fitting, **said, **moment, **more, **passing)


def by_a_planned_service(fitting):
    return _a_service(fitting, plan_service)


def by_a_service_that_was_done(fitting):
    return _a_service(fitting, log_service, details={})


@pytest.mark.parametrize("way", [by_a_decision, by_a_planned_service, by_a_service_that_was_done])
def test_a_stop_is_passed_by_an_owner_with_a_written_reason_and_by_nobody_else(fitting, way):
    rule_id, keep = way(fitting)
    reason = {rule_id: "She knows and wants it"}
    refused = [
        {},
        {"reasons": reason},
        {"owner": StylistFactory(), "reasons": reason},
        {"owner": DeskFactory(), "reasons": reason},
        {"owner": OwnerFactory(is_active=False), "reasons": reason},
        {"owner": OwnerFactory()},
        {"owner": OwnerFactory(), "reasons": {rule_id: " \t"}},
        {"owner": OwnerFactory(), "reasons": {"another-rule": "Yes"}},
    ]
    for passing in refused:
        with pytest.raises(ValidationError):
            keep(**passing)
    assert not Override.objects.exists()
    assert not Service.objects.exists()
    assert not fitting.try_ons.exclude(outcome="tried").exists()
    keep(owner=OwnerFactory(), reasons=reason)
    assert Override.objects.get().reason == "She knows and wants it"


# forged posts: a stylist's browser sends whatever would let it pass


def forged(rule_id, stylist):
    return {
        f"reason_{rule_id}": "Because",
        "owner": OwnerFactory().pk,
        "owner_name": stylist.username,
        "owner_password": "copper-thimble-58",
        "acknowledged": [rule_id],
        "reasons": "Because",
    }


@pytest.fixture
def stylist(client):
    somebody = StylistFactory()
    somebody.set_password("copper-thimble-58")
    somebody.save()
    client.force_login(somebody)
    client.stylist = somebody
    return client


def test_a_forged_decision_by_a_stylist_is_refused(stylist, fitting):
    look = tried(fitting, stopped(fitting))
    sent = {"chosen": look.pk, "second": "", "why_chosen": "x", **forged("hairline", stylist.stylist)}
    page = stylist.post(reverse("decision", args=[fitting.reference]), sent)
    assert "not the name and password of an owner" in unescape(page.content.decode())
    sent["owner_name"] = sent["owner_password"] = ""
    page = stylist.post(reverse("decision", args=[fitting.reference]), sent)
    assert "ask an owner" in unescape(page.content.decode())
    assert not Override.objects.exists()
    assert not fitting.try_ons.exclude(outcome="tried").exists()


@pytest.mark.parametrize("name", ["service-plan", "service-log"])
def test_a_forged_service_by_a_stylist_is_refused(stylist, fitting, name):
    piece = chosen_to_try(fitting, VariantFactory(piece=PieceFactory(base=clipped_base(), fibre="standard")))
    sent = {
        "done_to": f"try-{piece.pk}",
        "planned_heat": "iron",
        "tool_c": "60 °C",
        "hair_is_wet": "no",
        "flammable_remover_wet": "no",
        "near_base": "no",
        "plan": "plan",
        "log": "log",
        **forged("heat-standard", stylist.stylist),
    }
    for owner in ({}, {"owner_name": "", "owner_password": ""}):
        page = stylist.post(reverse(name, args=[fitting.reference, "heat"]), sent | owner)
        assert page.status_code == 200
    assert not Override.objects.exists()
    assert not Service.objects.exists()
