"""Taking back: the salon's terms, who may pass them, what becomes of unit and money, and what is exchanged."""

import uuid
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.core.exceptions import ValidationError
from django.utils.timezone import now, override

from pieces.models import Payment, Receipt, Return, Sale
from pieces.paying import give_back, owed_for, paid_for, take_payment
from pieces.returning import against_terms, take_back, terms_of, usual_refund
from pieces.selling import LineAsked, agree_sale, cancel_sale, hand_over
from salon.models import Salon
from tests.factories import ClientFactory, DeskFactory, OwnerFactory, StylistFactory
from tests.pieces.factories import PricedServiceFactory, ReturnReasonFactory, SaleFactory, UnitFactory

pytestmark = pytest.mark.django_db
PRICE = 124_900


@pytest.fixture
def till():
    return {"salon": Salon.objects.default(), "by": StylistFactory(), "at": now()}


def sold(till, *, client=None, paid=PRICE, days_ago=3, **more):
    """A line of one piece, handed over so many days ago, and paid so far."""
    then = till["at"] - timedelta(days=days_ago)
    sale = SaleFactory(at=then, **({"client": client} if client else {}), **more)
    if paid:
        take_payment(sale=sale, amount_minor=paid, method="card", salon=till["salon"], by=till["by"], at=then)
    line = sale.lines.of_pieces().get()
    return hand_over(line=line, by=till["by"], at=then)


def back(till, line, **told):
    told = {"reason": ReturnReasonFactory(), "fate": "cleaning", "refund_minor": PRICE, "method": "card"} | told
    return take_back(line=line, **told, **till)


def nothing_came_back(line, paid=PRICE):
    line.refresh_from_db()
    line.unit.refresh_from_db()
    assert line.is_live
    assert line.unit.state == "with client"
    assert not Return.objects.exists()
    assert paid_for(line.sale) == paid


# The terms themselves. What they refuse is common practice for what is worn on skin; the days are the salon's own.


@pytest.mark.parametrize(("days", "late"), [(0, False), (14, False), (15, True), (400, True)])
def test_the_last_day_of_the_terms_counts_in(days, late):
    against = against_terms(days_since=days, terms={"return_days": 14, "refused_when": []})
    assert bool(against) == late


def test_each_thing_against_it_is_a_sentence_of_its_own():
    terms = terms_of(Salon(return_days=1))
    assert against_terms(days_since=2, terms=terms, seal_broken=True, worn=True, cut=True, coloured=True) == [
        "It comes back after 2 days; the terms say within 1 day.",
        "Its seal is broken.",
        "It was worn.",
        "It was cut in.",
        "It was coloured.",
    ]


def test_days_are_those_of_the_salons_clock(till):
    """Handed over at half past eleven in the evening, brought back an hour later: that is the next day."""
    zone = ZoneInfo("Europe/London")
    evening = datetime(2026, 7, 1, 23, 30, tzinfo=zone)
    line = sold(till | {"at": evening}, days_ago=0)
    with override(zone):  # as the middleware sets it
        assert back(till | {"at": evening + timedelta(hours=1)}, line).days_since == 1


# Within the terms.


def test_a_piece_comes_back_with_its_reason_its_state_its_unit_and_its_money(till):
    line = sold(till)
    kept = back(till, line, said="  It slides  forward ", reason=ReturnReasonFactory(name="Slides"))
    line.refresh_from_db()
    line.unit.refresh_from_db()
    assert (kept.said, kept.days_since, kept.in_policy, kept.allowed_by) == ("It slides forward", 3, True, None)
    assert kept.terms["return_days"] == 14
    assert (line.is_live, line.unit.state) == (False, "cleaning")
    assert line.unit.movements.in_order().last().sale_line == line
    assert kept.payment.amount_minor == -PRICE
    assert paid_for(line.sale) == owed_for(line.sale) == 0


def test_the_receipt_of_the_money_back_says_what_came_back(till):
    receipt = back(till, sold(till)).payment.receipt
    assert receipt.number == 2
    assert [line["total_minor"] for line in receipt.shown["taken_back"]] == [PRICE]
    assert receipt.shown["lines"] == []
    assert (receipt.shown["amount_minor"], receipt.shown["still_owed_minor"]) == (-PRICE, 0)


@pytest.mark.parametrize(
    ("fate", "state", "kind"),
    [
        ("drawer", "drawer", "came back"),
        ("cleaning", "cleaning", "to clean"),
        ("kept apart", "kept apart", "kept apart"),
        ("gone", "gone", "written off"),
    ],
)
def test_the_unit_goes_where_it_is_said_to_go(till, fate, state, kind):
    line = sold(till)
    back(till, line, fate=fate)
    line.unit.refresh_from_db()
    assert (line.unit.state, line.unit.movements.in_order().last().kind) == (state, kind)


def test_a_unit_that_came_back_can_be_sold_again(till):
    line = sold(till)
    back(till, line, fate="drawer")
    assert agree_sale(client=ClientFactory(), lines=[LineAsked(unit=line.unit)], **till)


def test_the_same_form_sent_twice_takes_back_once(till):
    line, key = sold(till), uuid.uuid4()
    assert back(till, line, once=key) == back(till, line, once=key)
    assert Payment.objects.filter(amount_minor__lt=0).count() == 1


def test_nothing_need_be_given_back(till):
    kept = back(till, sold(till), refund_minor=0, method="")
    assert (kept.refund_minor, kept.payment) == (0, None)
    assert Receipt.objects.count() == 1


# Outside them.


def test_what_the_terms_refuse_is_refused_in_a_sentence_each_and_nothing_is_stored(till):
    line = sold(till, days_ago=20)
    with pytest.raises(ValidationError) as refusal:
        back(till, line, cut=True)
    assert refusal.value.messages == [
        "It comes back after 20 days; the terms say within 14 days.",
        "It was cut in.",
        "That is outside the salon's terms: an owner can take it back, with a reason.",
    ]
    nothing_came_back(line)


def test_an_owner_allows_it_with_a_reason_and_both_are_kept(till):
    line, owner = sold(till, days_ago=20), OwnerFactory()
    with pytest.raises(ValidationError, match=r"Write why it is taken back all the same\.") as refusal:
        back(till, line, owner=owner, because="  ")
    assert [*refusal.value.message_dict] == ["because"]
    nothing_came_back(line)
    kept = back(till, line, owner=owner, because="She was  in hospital")
    assert (kept.in_policy, kept.allowed_by, kept.allowed_because) == (False, owner, "She was in hospital")


def test_a_stylist_allows_nothing_to_herself(till):
    line = sold(till)
    with pytest.raises(ValidationError, match="may not take back what the salon's terms refuse"):
        back(till, line, coloured=True, owner=till["by"], because="She is a friend")
    nothing_came_back(line)


def test_a_reason_that_was_not_needed_is_not_kept(till):
    kept = back(till, sold(till), owner=OwnerFactory(), because="Just in case")
    assert (kept.in_policy, kept.allowed_by, kept.allowed_because) == (True, None, "")


def test_what_was_worn_is_cleaned_before_it_lies_in_the_drawer(till):
    line = sold(till)
    with pytest.raises(ValidationError, match="have it cleaned first"):
        back(till, line, worn=True, fate="drawer", owner=OwnerFactory(), because="Faulty clip")
    nothing_came_back(line)


# What can't come back, and money that can't go.


def test_a_piece_that_was_never_handed_over_is_not_taken_back(till):
    line = SaleFactory().lines.get()
    with pytest.raises(ValidationError, match="has not been handed over"):
        back(till, line, refund_minor=0)


def test_only_a_piece_is_taken_back(till):
    sale = SaleFactory(lines=[LineAsked(service=PricedServiceFactory())])
    with pytest.raises(ValidationError, match="Only a piece is taken back"):
        back(till, sale.lines.get(), refund_minor=0)


def test_nothing_comes_back_twice(till):
    line = sold(till)
    back(till, line)
    with pytest.raises(ValidationError, match="taken back already"):
        back(till, line, refund_minor=0)


def test_nothing_comes_back_before_it_was_handed_over(till):
    line = sold(till, days_ago=0)
    with pytest.raises(ValidationError, match="and not before"):
        back(till | {"at": till["at"] - timedelta(days=2)}, line)


@pytest.mark.parametrize("paid", [PRICE, 5000])
def test_no_more_goes_back_than_was_paid(till, paid):
    line = sold(till, paid=paid)
    with pytest.raises(ValidationError, match="is the most that can be given back") as refusal:
        back(till, line, refund_minor=paid + 1)
    assert [*refusal.value.message_dict] == ["refund_minor"]
    nothing_came_back(line, paid=paid)


def test_money_needs_a_way_back(till):
    line = sold(till)
    for method in ("", "exchange"):
        with pytest.raises(ValidationError, match=r"Choose how £1,249\.00 is given back"):
            back(till, line, method=method)
    nothing_came_back(line)


def test_what_is_usually_given_back_is_what_was_paid_beyond_the_rest(till):
    brush = PricedServiceFactory(price_minor=3000)
    line = sold(till, paid=50_000, lines=[LineAsked(unit=UnitFactory()), LineAsked(service=brush)])
    assert usual_refund(line) == 47_000
    give_back(sale=line.sale, amount_minor=49_000, method="card", **till)
    assert usual_refund(line) == 0


def test_what_is_kept_counts_towards_the_rest_of_the_sale(till):
    brush = PricedServiceFactory(price_minor=3000)
    line = sold(till, lines=[LineAsked(unit=UnitFactory()), LineAsked(service=brush)])
    assert owed_for(line.sale) == 3000
    back(till, line, refund_minor=PRICE - 1000)
    assert owed_for(line.sale) == 2000


# Exchanges.


def exchange(till, line, price, **told):
    instead = SaleFactory(client=line.sale.client, lines=[LineAsked(unit=UnitFactory(), price_minor=price)])
    return back(till, line, exchanged_for=instead, **told), instead


def test_in_an_exchange_what_she_paid_counts_towards_what_she_takes_instead(till):
    line = sold(till)
    kept, instead = exchange(till, line, PRICE + 20_000, method="")
    assert kept.exchanged_for == instead
    assert (kept.payment.amount_minor, kept.payment.method) == (-PRICE, "exchange")
    assert (paid_for(line.sale), paid_for(instead), owed_for(instead)) == (0, PRICE, 20_000)
    assert Receipt.objects.count() == 1  # the first one; no money changed hands since


def test_the_receipt_of_the_difference_says_what_counted_before_it(till):
    _, instead = exchange(till, sold(till), PRICE + 20_000, method="")
    shown = take_payment(sale=instead, amount_minor=20_000, method="card", **till).receipt.shown
    assert (shown["paid_before_minor"], shown["amount_minor"], shown["still_owed_minor"]) == (PRICE, 20_000, 0)


def test_what_is_left_of_an_exchange_goes_back_and_has_its_receipt(till):
    line = sold(till)
    kept, instead = exchange(till, line, 100_000, method="cash")
    assert (kept.refund_minor, kept.payment.amount_minor) == (PRICE, -24_900)
    assert (paid_for(line.sale), paid_for(instead)) == (0, 100_000)
    assert Receipt.objects.order_by("number").last().payment == kept.payment


def test_an_exchange_is_for_another_sale_of_hers_in_the_same_currency(till):
    line = sold(till)
    other_money = SaleFactory(client=line.sale.client)
    Sale.objects.filter(pk=other_money.pk).update(currency="EUR")
    other_money.refresh_from_db()
    for instead, says in (
        (line.sale, "That is the sale it comes back from"),
        (SaleFactory(), "another client's sale"),
        (other_money, "give money back"),
    ):
        with pytest.raises(ValidationError, match=says) as refusal:
            back(till, line, exchanged_for=instead)
        assert [*refusal.value.message_dict] == ["exchanged_for"]
    cancelled = cancel_sale(
        sale=SaleFactory(client=line.sale.client), because="Changed her mind", by=DeskFactory(), at=now()
    )
    with pytest.raises(ValidationError, match="was cancelled"):
        back(till, line, exchanged_for=cancelled)
    nothing_came_back(line)
