"""Which units lie ready before she comes: put on the list, taken off, laid out, and proposed from her last visit."""

from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError
from django.utils.timezone import now

from fittings.laying_out import add_unit_to_try, mark_laid_out, take_unit_off, units_suggested
from fittings.models import TryOn, UnitToTry
from pieces.stock import reserve_unit
from tests.factories import DeskFactory, OwnerFactory
from tests.fittings.factories import AppointmentFactory, CandidateFactory
from tests.fittings.visits import signed_off_visit
from tests.pieces.factories import UnitFactory

pytestmark = pytest.mark.django_db


def add(appointment, unit):
    return add_unit_to_try(appointment=appointment, unit=unit, by=DeskFactory(), at=now())


def test_a_unit_is_put_on_the_list_laid_out_put_back_and_taken_off():
    desk, to_try = DeskFactory(), add(AppointmentFactory(), UnitFactory())
    assert mark_laid_out(to_try=to_try, by=desk, at=now()).laid_out_by == desk
    first = UnitToTry.objects.get().laid_out_at
    assert mark_laid_out(to_try=to_try, by=desk, at=now()).laid_out_at == first, "pressing twice changes nothing"
    assert mark_laid_out(to_try=to_try, by=desk, at=now(), laid_out=False).laid_out_at is None
    take_unit_off(to_try=to_try)
    take_unit_off(to_try=to_try)
    assert not UnitToTry.objects.exists()
    with pytest.raises(ValidationError, match="taken off the list meanwhile"):
        mark_laid_out(to_try=to_try, by=desk, at=now())


def test_the_same_unit_is_not_put_on_the_list_twice():
    to_try = add(AppointmentFactory(), UnitFactory())
    with pytest.raises(ValidationError, match="already among those to lay out"):
        add(to_try.appointment, to_try.unit)


@pytest.mark.parametrize(("state", "where"), [("with client", "with a client"), ("gone", "written off")])
def test_what_is_not_in_the_salon_cannot_be_laid_out(state, where):
    with pytest.raises(ValidationError, match=f"it is {where}"):
        add(AppointmentFactory(), UnitFactory(state=state))


@pytest.mark.parametrize("state", ["done", "cancelled", "missed"])
def test_nothing_is_laid_out_for_what_is_over(state):
    with pytest.raises(ValidationError, match="nothing is laid out for it"):
        add(AppointmentFactory(state=state), UnitFactory())


def test_one_unit_lies_ready_for_one_client_at_a_time():
    begins = now() + timedelta(days=1)
    hers, unit = AppointmentFactory(starts_at=begins), UnitFactory()
    add(hers, unit)
    with pytest.raises(ValidationError, match=f"lies ready for {hers.client} at "):
        add(AppointmentFactory(starts_at=begins + timedelta(minutes=30)), unit)
    add(AppointmentFactory(starts_at=hers.ends_at), unit)  # touching is not sharing


def test_units_of_her_last_visit_are_suggested_those_she_tried_first():
    visit, owner = signed_off_visit(), OwnerFactory()
    tried, proposed, worn = (CandidateFactory(fitting=visit) for _ in range(3))
    put_on = UnitFactory(variant=tried.variant)
    try_on = {"fitting": visit, "candidate": tried, "covers": "well", "sits": "well", "matches": "well"}
    TryOn.objects.create(**try_on, unit=put_on, logged_by=owner)
    reserve_unit(unit=put_on, by=owner)  # set aside since
    for_sale = UnitFactory(variant=proposed.variant)
    for_trying = UnitFactory(variant=proposed.variant, purpose="try-on")
    UnitFactory(variant=worn.variant, state="with client")
    appointment = AppointmentFactory(client=visit.client)
    assert units_suggested(appointment) == [put_on, for_trying]
    add(appointment, for_trying)
    assert units_suggested(appointment) == [put_on], "one of a piece is enough"
    assert for_sale not in units_suggested(appointment)


def test_a_client_who_has_not_been_here_has_nothing_suggested():
    assert units_suggested(AppointmentFactory()) == []
