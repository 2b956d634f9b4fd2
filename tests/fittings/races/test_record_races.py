"""Many at the same moment, over one piece: one is kept, the others hear why not, and nothing is written twice."""

from collections import Counter
from datetime import timedelta

import pytest
from django.utils.timezone import localdate, now

from fittings.caring import make_wash_link
from fittings.checking import check_condition
from fittings.models import CareDate, ConditionCheck, OwnedPiece, Wash
from fittings.owning import take_turns
from tests.factories import ClientFactory, OwnerFactory
from tests.fittings.factories import OwnedPieceFactory
from tests.pieces.factories import UnitFactory

AT_ONCE, ROUNDS = 12, 5
pytestmark = [pytest.mark.slow, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def owner():
    return OwnerFactory()


def tallied(outcomes):
    assert [outcome for outcome in outcomes if outcome.what == "broke"] == []
    return Counter(outcome.what for outcome in outcomes)


def test_a_unit_given_to_many_clients_at_once_is_one_clients(owner, racers):
    clients = [ClientFactory(record_consent=True) for _ in range(AT_ONCE)]
    for number in range(ROUNDS):
        unit = UnitFactory()
        since, told = localdate(), {"unit": unit.pk, "by": owner.pk, "at": now()}
        outcomes = racers.race([("owning.give_piece", told | {"client": her.pk, "since": since}) for her in clients])
        assert tallied(outcomes) == {"done": 1, "refused": AT_ONCE - 1}
        assert OwnedPiece.objects.count() == number + 1
        winner = clients[[outcome.what for outcome in outcomes].index("done")]
        assert OwnedPiece.objects.get(unit=unit).client == winner
        assert {outcome.says for outcome in outcomes if outcome.what == "refused"} == {
            f"Unit {unit.number} can't be handed over: it is with a client."
        }


def test_a_check_corrected_and_struck_out_at_once_is_answered_by_one_entry(owner, racers):
    hers = OwnedPieceFactory()
    for _ in range(ROUNDS):
        check = check_condition(owned=hers, grades={"fibre": 1}, by=owner, at=now() - timedelta(hours=1))
        who = {"by": owner.pk, "at": now(), "because": "It was the other piece"}
        corrects = {"owned": hers.pk, "corrects": check.pk, "grades": {"fibre": 2}}
        corrected = ("checking.check_condition", who | corrects)
        struck_out = ("correcting.strike_out", who | {"entry": check.pk})
        deeds = [corrected, struck_out] * (AT_ONCE // 2)
        outcomes = racers.race(deeds)
        assert tallied(outcomes) == {"done": 1, "refused": AT_ONCE - 1}
        assert ConditionCheck.objects.filter(corrects=check).count() == 1
        assert all("corrected already" in outcome.says for outcome in outcomes if outcome.what == "refused")


def test_many_taps_on_her_address_write_one_wash(owner, racers):
    for _ in range(ROUNDS):
        hers = OwnedPieceFactory()
        _, secret = make_wash_link(owned=hers, by=owner, at=now())
        outcomes = racers.race([("caring.wash_by_link", {"secret": secret, "at": now()})] * AT_ONCE)
        assert tallied(outcomes) == {"done": AT_ONCE}
        assert Counter(outcome.gave for outcome in outcomes) == {True: 1, False: AT_ONCE - 1}
        assert Wash.objects.filter(owned_piece=hers).count() == 1
        dates = CareDate.objects.filter(owned_piece=hers)
        assert len(dates) == len({row.kind for row in dates})


def test_both_of_a_pair_ended_at_once_never_wait_for_each_other_in_a_ring(owner, racers):
    for _ in range(ROUNDS):
        her = ClientFactory(record_consent=True)
        one, other = OwnedPieceFactory(client=her), OwnedPieceFactory(client=her)
        take_turns(one=one, other=other, by=owner, at=now())
        told = {"until": localdate(), "ended": OwnedPiece.Ended.LOST.value, "by": owner.pk, "at": now()}
        ends = [("owning.end_piece", told | {"owned": (one, other)[n % 2].pk}) for n in range(AT_ONCE)]
        assert tallied(racers.race(ends)) == {"done": 2, "refused": AT_ONCE - 2}
        assert not OwnedPiece.objects.filter(client=her, until__isnull=True).exists()
