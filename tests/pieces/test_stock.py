"""Units come in, are set aside and go back: each move refused in a sentence when the unit is not where it has to be."""

import datetime

import pytest
from django.core.exceptions import ValidationError

from pieces.models import Unit
from pieces.stock import MOST_AT_ONCE, hand_over_unit, receive_units, release_unit, reserve_unit, take_in_unit
from tests.factories import OwnerFactory
from tests.pieces.factories import UnitFactory, VariantFactory

pytestmark = pytest.mark.django_db
DAY = datetime.date(2025, 3, 14)


def test_received_units_lie_in_the_drawer_each_with_a_number_of_its_own_and_a_history():
    owner = OwnerFactory()
    received = receive_units(variant=VariantFactory(), count=3, purpose="try-on", received_on=DAY, by=owner)
    assert len({unit.number for unit in received}) == 3
    for unit in Unit.objects.all():
        assert (unit.state, unit.purpose, unit.received_on) == ("drawer", "try-on", DAY)
        assert unit.history.get().history_user == owner


@pytest.mark.parametrize("count", [0, -1, MOST_AT_ONCE + 1])
def test_an_impossible_number_of_units_is_refused(count):
    with pytest.raises(ValidationError, match="Write a number from 1 to 50"):
        receive_units(variant=VariantFactory(), count=count, purpose="sale", received_on=DAY, by=OwnerFactory())


def test_an_unknown_purpose_is_refused_and_nothing_comes_in():
    with pytest.raises(ValidationError, match="not a valid choice"):
        receive_units(variant=VariantFactory(), count=2, purpose="gift", received_on=DAY, by=OwnerFactory())
    assert not Unit.objects.exists()


def test_a_unit_is_set_aside_and_put_back_and_both_are_remembered():
    unit, owner = UnitFactory(), OwnerFactory()
    assert reserve_unit(unit=unit, by=owner).state == "reserved"
    assert release_unit(unit=unit, by=owner).state == "drawer"
    assert [(entry.state, entry.history_user) for entry in unit.history.all()][:2] == [
        ("drawer", owner),
        ("reserved", owner),
    ]


@pytest.mark.parametrize(
    ("state", "sentence"),
    [
        ("reserved", "can't be set aside: it is set aside for a client already."),
        ("with client", "can't be set aside: it is with a client."),
        ("gone", "can't be set aside: it is written off."),
    ],
)
def test_only_a_unit_in_the_drawer_is_set_aside(state, sentence):
    unit = UnitFactory(state=state)
    with pytest.raises(ValidationError) as refusal:
        reserve_unit(unit=unit, by=OwnerFactory())
    assert refusal.value.messages == [f"Unit {unit.number} {sentence}"]
    unit.refresh_from_db()
    assert unit.state == state


@pytest.mark.parametrize("state", ["drawer", "with client", "gone"])
def test_only_a_unit_that_was_set_aside_is_put_back(state):
    unit = UnitFactory(state=state)
    with pytest.raises(ValidationError, match="can't be put back: it is"):
        release_unit(unit=unit, by=OwnerFactory())


def test_what_somebody_else_did_meanwhile_counts():
    unit = UnitFactory()
    seen_before = Unit.objects.get(pk=unit.pk)
    reserve_unit(unit=unit, by=OwnerFactory())
    with pytest.raises(ValidationError, match="set aside for a client already"):
        reserve_unit(unit=seen_before, by=OwnerFactory())


def test_a_unit_goes_out_with_a_client_and_comes_back_or_is_written_off():
    owner, unit = OwnerFactory(), UnitFactory()
    assert hand_over_unit(unit=unit, by=owner).state == "with client"
    assert take_in_unit(unit=unit, by=owner).state == "drawer"
    reserve_unit(unit=unit, by=owner)
    assert hand_over_unit(unit=unit, by=owner).state == "with client"
    assert take_in_unit(unit=unit, by=owner, to="gone", because="Torn").state == "gone"


@pytest.mark.parametrize("state", ["with client", "gone"])
def test_only_a_unit_in_stock_is_handed_over(state):
    with pytest.raises(ValidationError, match="can't be handed over"):
        hand_over_unit(unit=UnitFactory(state=state), by=OwnerFactory())


@pytest.mark.parametrize("state", ["drawer", "reserved", "gone"])
def test_only_a_unit_that_is_with_a_client_is_taken_in(state):
    for to, says in (("drawer", "can't be taken in"), ("gone", "can't be written off")):
        with pytest.raises(ValidationError, match=says):
            take_in_unit(unit=UnitFactory(state=state), by=OwnerFactory(), to=to, because="Torn")
