"""Several people at the drawers at the same moment: one stocktake is begun, and each unit is counted once."""

from collections import Counter

import pytest
from django.utils.timezone import now

from pieces.counting import begin_stocktake
from pieces.models import Stocktake
from tests.factories import ClientFactory, DeskFactory, OwnerFactory
from tests.pieces.factories import UnitFactory

AT_ONCE, ROUNDS = 6, 4
pytestmark = [pytest.mark.slow, pytest.mark.django_db(transaction=True)]


def told(outcomes):
    assert [outcome for outcome in outcomes if outcome.what == "broke"] == []
    return Counter(outcome.what for outcome in outcomes)


def test_of_all_who_begin_a_stocktake_one_does(racers):
    at = {"by": OwnerFactory().pk, "at": now()}
    outcomes = racers.race([("pieces.counting.begin_stocktake", at)] * AT_ONCE)
    assert told(outcomes) == {"done": 1, "refused": AT_ONCE - 1}
    assert {outcome.says for outcome in outcomes} == {"", "A stocktake is open already; go on with that one."}
    assert Stocktake.objects.count() == 1


def test_a_unit_that_all_meet_is_counted_once(racers):
    stocktake = begin_stocktake(by=OwnerFactory(), at=now())
    at = {"by": DeskFactory().pk, "at": now(), "stocktake": stocktake.pk, "how": "camera"}
    for unit in UnitFactory.create_batch(ROUNDS):
        outcomes = racers.race([("pieces.counting.count_unit", at | {"number": unit.number})] * AT_ONCE)
        assert told(outcomes) == {"done": AT_ONCE}
    assert stocktake.scans.count() == ROUNDS


def test_a_unit_that_all_set_aside_is_set_aside_for_one(racers):
    at = {"by": DeskFactory().pk, "at": now()}
    clients = [ClientFactory().pk for _ in range(AT_ONCE)]
    for unit in UnitFactory.create_batch(ROUNDS):
        asked = [("pieces.stock.reserve_unit", at | {"unit": unit.pk, "client": client}) for client in clients]
        assert told(racers.race(asked)) == {"done": 1, "refused": AT_ONCE - 1}
        assert unit.movements.count() == 2
