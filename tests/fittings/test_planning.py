"""Planned services: the rules are asked before anything is kept."""

import pytest
from django.core.exceptions import ValidationError
from django.utils.timezone import localdate, now

from fittings.models import Override, Service
from fittings.planning import plan_service, remove_service
from salon.models import Salon
from tests.factories import OwnerFactory
from tests.fittings.test_candidates import clipped_base
from tests.fittings.test_trying import chosen_to_try
from tests.fittings.visits import signed_off_visit
from tests.pieces.factories import PieceFactory, VariantFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def fitting():
    return signed_off_visit()


def piece(fitting, **made):
    return chosen_to_try(fitting, VariantFactory(piece=PieceFactory(base=clipped_base(), **made)))


def plan(fitting, kind, facts, **more):
    return plan_service(
        fitting=fitting,
        kind=kind,
        facts=facts,
        salon=Salon.objects.default(),
        by=fitting.stylist,
        at=now(),
        on=localdate(),
        **more,
    )


def test_heat_on_standard_synthetic_is_stopped_and_nothing_is_kept(fitting):
    candidate = piece(fitting, fibre="standard")
    with pytest.raises(ValidationError, match="Stopped:") as refusal:
        plan(fitting, "heat", {"planned_heat": "iron", "tool_c": 120.0, "hair_is_wet": False}, candidate=candidate)
    assert "ask an owner" in " ".join(refusal.value.messages)
    assert not Service.objects.exists()


def test_a_missing_fact_is_asked_for_and_no_owner_passes_it(fitting):
    candidate = piece(fitting, fibre="human")
    with pytest.raises(ValidationError, match="First find out and record"):
        plan(fitting, "heat", {"planned_heat": "iron"}, candidate=candidate, owner=OwnerFactory(), reasons={})
    assert not Service.objects.exists()


def test_an_owner_lets_a_stop_pass_in_writing(fitting):
    candidate, owner = piece(fitting, fibre="standard"), OwnerFactory()
    facts = {"planned_heat": "hot rollers", "tool_c": 70.0, "hair_is_wet": False, "flammable_remover_wet": False}
    with pytest.raises(ValidationError, match="Write why") as refusal:
        plan(fitting, "heat", facts, candidate=candidate, owner=owner)
    assert len(refusal.value.messages) == 1
    service = plan(
        fitting, "heat", facts, candidate=candidate, owner=owner, reasons={"heat-standard": "Test piece for teaching"}
    )
    assert service.overrides.get().reason == "Test piece for teaching"
    remove_service(service=service)
    assert not Override.objects.exists()


def test_a_caution_is_read_before_it_is_planned(fitting):
    candidate = piece(fitting, fibre="standard")
    with pytest.raises(ValidationError, match="Read and tick first"):
        plan(fitting, "steam", {"planned_steam": True}, candidate=candidate)
    service = plan(fitting, "steam", {"planned_steam": True}, candidate=candidate, acknowledged={"steam-standard"})
    assert [finding["rule_id"] for finding in service.findings if finding["severity"] == "caution"] == [
        "steam-standard"
    ]


def test_a_cut_in_and_a_wash_need_no_facts(fitting):
    candidate = piece(fitting)
    assert plan(fitting, "cut-in", {}, candidate=candidate, price_minor=4500).price_minor == 4500
    assert plan(fitting, "wash", {}, candidate=candidate).kind == "wash"


def test_tape_waits_for_a_skin_test_that_was_read(fitting):
    candidate = piece(fitting)
    with pytest.raises(ValidationError, match="skin test"):
        plan(fitting, "fixing", {"planned_fixing": ["tape"], "adhesive_contains": []}, candidate=candidate)
