"""Two records become one while money moves at the till: both deeds are done, one after the other, and what was paid is
in the record that is kept."""

from collections import Counter

import pytest
from django.utils.timezone import now

from clients.models import Client
from pieces.models import Payment, Sale
from pieces.paying import take_deposit, take_payment
from salon.models import Salon
from tests.factories import ClientFactory, DeskFactory
from tests.pieces.factories import SaleFactory
from tests.pieces.ledger.broken import broken

AT_ONCE, ROUNDS = 4, 10
pytestmark = [pytest.mark.slow, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def till():
    return {"salon": Salon.objects.default().pk, "by": DeskFactory().pk, "at": now()}


def at_the_till(till):
    return {"salon": Salon.objects.default(), "by": DeskFactory(), "at": till["at"]}


def tallied(outcomes):
    assert [outcome for outcome in outcomes if outcome.what == "broke"] == []
    assert broken() == []
    return Counter(outcome.what for outcome in outcomes)


def merged(keep, gone, till):
    return "clients.merging.merge_clients", {"keep": keep.pk, "gone": gone.pk, "by": till["by"], "at": till["at"]}


def test_who_pays_while_her_two_records_are_merged_has_paid_in_the_one_that_is_kept(till, racers):
    for _ in range(ROUNDS):
        keep, gone = ClientFactory(), ClientFactory()
        sale = SaleFactory(client=gone)
        take_payment(sale=sale, amount_minor=5000, method="card", **at_the_till(till))
        pays = {"sale": sale.pk, "amount_minor": 1000, "method": "card"}
        gets = {"sale": sale.pk, "amount_minor": 500, "method": "cash"}
        deeds = [
            merged(keep, gone, till),
            ("pieces.paying.take_payment", till | pays),
            ("pieces.paying.give_back", till | gets),
            ("pieces.paying.take_payment", till | pays),
        ]
        assert tallied(racers.race(deeds)) == {"done": AT_ONCE}
        assert Client.objects.get(pk=gone.pk).merged_into == keep
        assert set(Sale.objects.filter(pk=sale.pk).values_list("client", "payments__client")) == {(keep.pk, keep.pk)}


def test_a_deposit_that_goes_back_while_her_two_records_are_merged_goes_back_once(till, racers):
    for _ in range(ROUNDS):
        keep, gone = ClientFactory(), ClientFactory()
        told = {"amount_minor": 2000, "what_for": "A piece", "method": "card"}
        deposit = take_deposit(client=gone, **told, **at_the_till(till))
        back = {"deposit": deposit.pk, "amount_minor": 2000, "method": "cash"}
        deeds = [merged(keep, gone, till)] + [("pieces.paying.give_back", till | back)] * (AT_ONCE - 1)
        assert tallied(racers.race(deeds)) == {"done": 2, "refused": AT_ONCE - 2}
        hers = Payment.objects.filter(client=keep)
        assert {*hers.values_list("amount_minor", flat=True)} == {2000, -2000}
