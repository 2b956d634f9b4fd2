"""Sales: what is agreed, handed over, paid, given back and cancelled, and the receipts' numbers."""

import uuid

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError
from django.utils.timezone import localdate, now

from pieces.counting import begin_stocktake, count_unit, put_right_difference
from pieces.models import Payment, Receipt, Sale, StockMovement
from pieces.ordering import receive_against
from pieces.paying import count_deposit, give_back, owed_for, take_deposit, take_payment
from pieces.selling import LineAsked, agree_sale, cancel_sale, hand_over, take_out_line
from pieces.stock import hand_over_unit, release_unit, take_in_unit
from salon.models import Salon
from tests.factories import ClientFactory, DeskFactory
from tests.pieces.factories import (
    OrderLineFactory,
    PaymentFactory,
    PricedServiceFactory,
    SaleFactory,
    TaxRateFactory,
    UnitFactory,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def till():
    return {"salon": Salon.objects.default(), "by": DeskFactory(), "at": now()}


def test_a_unit_is_set_aside_handed_over_and_stands_in_the_ledger(till):
    unit, client = UnitFactory(), ClientFactory()
    sale = agree_sale(client=client, lines=[LineAsked(unit=unit)], **till)
    unit.refresh_from_db()
    assert (unit.state, unit.reserved_for) == ("reserved", client)
    line = hand_over(line=sale.lines.get(), by=till["by"], at=till["at"])
    unit.refresh_from_db()
    assert (unit.state, unit.reserved_for) == ("with client", None)
    assert [*unit.movements.in_order().values_list("kind", flat=True)] == ["before", "set aside", "sold"]
    assert unit.movements.get(kind="sold").sale_line == line
    assert StockMovement.objects.counts()["with client"] == 1


def test_tax_is_reckoned_a_line_at_a_time(till):
    TaxRateFactory(is_usual=True)
    service = PricedServiceFactory(price_minor=8500)
    sale = agree_sale(
        client=ClientFactory(),
        lines=[LineAsked(service=service, discount_minor=100, discount_because="A friend")],
        **till,
    )
    line = sale.lines.get()
    assert (line.total_minor, line.tax_minor) == (8400, 1400)


def test_the_same_form_sent_twice_sells_and_pays_once(till):
    key, client, unit = uuid.uuid4(), ClientFactory(), UnitFactory()
    sales = {agree_sale(client=client, lines=[LineAsked(unit=unit)], once=key, **till) for _ in range(2)}
    assert len(sales) == 1
    paid = {take_payment(sale=sales.copy().pop(), amount_minor=500, method="card", once=key, **till) for _ in range(2)}
    assert len(paid) == 1


def test_a_unit_is_in_one_live_sale(till):
    sale = SaleFactory()
    with pytest.raises(ValidationError, match="set aside for a client already"):
        agree_sale(client=ClientFactory(), lines=[LineAsked(unit=sale.lines.get().unit)], **till)
    assert Sale.objects.count() == 1


def test_no_more_is_taken_than_is_owed_nor_given_back_than_was_paid(till):
    sale = SaleFactory()
    take_payment(sale=sale, amount_minor=100_000, method="card", **till)
    with pytest.raises(ValidationError, match=r"£249\.00 is owed"):
        take_payment(sale=sale, amount_minor=24_901, method="card", **till)
    with pytest.raises(ValidationError, match=r"£1,000\.00 was paid"):
        give_back(sale=sale, amount_minor=100_001, method="card", **till)
    give_back(sale=sale, amount_minor=100_000, method="card", **till)
    assert owed_for(sale) == 124_900
    assert [*Receipt.objects.order_by("number").values_list("number", flat=True)] == [1, 2]


def test_a_deposit_is_held_counts_once_and_is_given_back_only_while_it_is_held(till):
    sale = SaleFactory()
    deposit = take_deposit(client=sale.client, amount_minor=2000, what_for="Consult", method="cash", **till)
    assert [*Payment.objects.held()] == [deposit]
    count_deposit(payment=deposit, sale=sale)
    assert owed_for(sale) == 122_900
    with pytest.raises(ValidationError, match="already"):
        count_deposit(payment=deposit, sale=sale)
    with pytest.raises(ValidationError, match="counts towards a sale"):
        give_back(deposit=deposit, amount_minor=2000, method="cash", **till)


def test_a_deposit_goes_back_whole_for_what_was_left_of_it_would_be_held_by_nobody(till):
    deposit = take_deposit(client=ClientFactory(), amount_minor=2000, what_for="A consult", method="card", **till)
    with pytest.raises(ValidationError, match=r"A deposit goes back whole: £20\.00"):
        give_back(deposit=deposit, amount_minor=500, method="cash", **till)
    assert give_back(deposit=deposit, amount_minor=2000, method="cash", **till).amount_minor == -2000


def test_what_a_piece_cost_in_another_currency_makes_no_margin(till):
    here, abroad = UnitFactory(cost_minor=56000), UnitFactory(variant__currency="EUR", cost_minor=56000)
    asked = [LineAsked(unit=here, price_minor=100000), LineAsked(unit=abroad, price_minor=100000)]
    sale = agree_sale(client=ClientFactory(), lines=asked, **till)
    costs = {line.unit: line.cost_minor for line in sale.lines.all()}
    assert costs == {here: 56000, abroad: None}


def test_a_sale_is_cancelled_once_its_money_is_back_and_frees_its_units(till):
    payment = PaymentFactory()
    sale = payment.sale
    with pytest.raises(ValidationError, match="give it back first"):
        cancel_sale(sale=sale, because="Changed her mind", by=till["by"], at=till["at"])
    give_back(sale=sale, amount_minor=1000, method="cash", **till)
    cancel_sale(sale=sale, because="Changed her mind", by=till["by"], at=now())
    assert sale.lines.get().unit.state == "drawer"
    assert agree_sale(client=ClientFactory(), lines=[LineAsked(unit=sale.lines.get().unit)], **till)


@pytest.mark.parametrize(
    ("move", "refusal"),
    [(release_unit, "can't be put back"), (hand_over_unit, "can't be handed over")],
)
def test_a_unit_that_stands_in_a_sale_leaves_by_that_sale_alone(till, move, refusal):
    sale = SaleFactory()
    unit = sale.lines.get().unit
    with pytest.raises(ValidationError, match=f"{refusal}: it stands in sale {sale}; hand it over or take it out"):
        move(unit=unit, by=till["by"])
    hand_over(line=sale.lines.get(), by=till["by"], at=till["at"])
    with pytest.raises(ValidationError, match=f"can't be taken in: it stands in sale {sale}; take it back there"):
        take_in_unit(unit=unit, by=till["by"])


def test_a_sale_is_cancelled_although_its_unit_was_lost_meanwhile(till):
    sale = SaleFactory()
    unit = sale.lines.get().unit
    stocktake = begin_stocktake(by=till["by"], at=now())
    put_right_difference(stocktake=stocktake, unit=unit, because="Nobody saw it", by=till["by"], at=now())
    with pytest.raises(ValidationError, match="it is written off"):
        hand_over(line=sale.lines.get(), by=till["by"], at=now())
    cancel_sale(sale=sale, because="The unit is lost", by=till["by"], at=now())
    unit.refresh_from_db()
    assert unit.state == "gone"


def test_a_unit_that_was_sold_lost_and_found_is_set_aside_for_her_again(till):
    sale = SaleFactory()
    unit = sale.lines.get().unit
    stocktake = begin_stocktake(by=till["by"], at=now())
    for _ in range(2):
        put_right_difference(stocktake=stocktake, unit=unit, because="Looked for twice", by=till["by"], at=now())
        count_unit(stocktake=stocktake, number=unit.number, how="typed", by=till["by"], at=now())
        unit.refresh_from_db()
    assert (unit.state, unit.reserved_for) == ("reserved", sale.client)
    assert unit.movements.in_order().last().kind == "found"


# One line is taken out


@pytest.fixture
def begun(till):
    """A sale of two units, of which one was handed over, and the line that was not."""
    sale = SaleFactory(lines=[LineAsked(unit=unit) for unit in UnitFactory.create_batch(2)])
    first, second = sale.lines.order_by("pk")
    hand_over(line=first, by=till["by"], at=till["at"])
    return second


def taken_out(line, till, **how):
    return take_out_line(line=line, because="She chose another", by=till["by"], at=now(), **how)


def test_a_line_is_taken_out_though_the_other_piece_was_handed_over(begun, till):
    sale = begun.sale
    apart = taken_out(begun, till)
    begun.refresh_from_db()
    assert (begun.unit.state, begun.unit.reserved_for) == ("drawer", None)
    assert [*begun.unit.movements.in_order().values_list("kind", flat=True)] == ["before", "set aside", "put back"]
    assert owed_for(sale) == sale.lines.get().total_minor == 124_900
    assert (begun.sale, begun.is_live) == (apart, False)
    assert (apart.cancelled_by, apart.cancelled_because) == (till["by"], "She chose another")
    assert (apart.client, apart.agreed_at, apart.agreed_by) == (sale.client, sale.agreed_at, sale.agreed_by)
    assert [*sale.taken_out.all()] == [apart]
    assert agree_sale(client=ClientFactory(), lines=[LineAsked(unit=begun.unit)], **till)


def test_what_was_taken_out_of_a_sale_can_not_stand(begun, till):
    apart = taken_out(begun, till)
    apart.cancelled_at, apart.cancelled_by, apart.cancelled_because = None, None, ""
    with pytest.raises(ValidationError, match="counts no longer"):
        apart.full_clean()
    with pytest.raises(IntegrityError):
        apart.save()


def test_what_is_of_the_price_list_is_taken_out_too(till):
    sale = SaleFactory(lines=[LineAsked(unit=UnitFactory()), LineAsked(service=PricedServiceFactory())])
    taken_out(sale.lines.get(unit=None), till)
    assert owed_for(sale) == 124_900


def test_what_is_taken_out_leaves_no_more_paid_than_the_rest_comes_to(begun, till):
    sale = begun.sale
    take_payment(sale=sale, amount_minor=124_901, method="card", **till)
    with pytest.raises(ValidationError, match=r"£0\.01 more was paid than the rest .*; give £0\.01 back first"):
        taken_out(begun, till)
    begun.unit.refresh_from_db()
    assert (begun.unit.state, Sale.objects.count()) == ("reserved", 1)
    give_back(sale=sale, amount_minor=1, method="card", **till)
    taken_out(begun, till)
    assert owed_for(sale) == 0


def test_nothing_is_taken_out_that_she_has_that_is_all_there_is_or_without_a_reason(begun, till):
    with pytest.raises(ValidationError, match="has been handed over"):
        taken_out(begun.sale.lines.exclude(pk=begun.pk).get(), till)
    with pytest.raises(ValidationError, match="all that the sale holds; cancel the sale"):
        taken_out(SaleFactory().lines.get(), till)
    with pytest.raises(ValidationError, match="Write why"):
        take_out_line(line=begun, because=" ", by=till["by"], at=now())
    assert not Sale.objects.filter(cancelled_at__isnull=False).exists()


def test_a_line_is_taken_out_once_and_handed_over_no_more(begun, till):
    taken_out(begun, till)  # who pressed at the same moment still has the line as it was
    for deed in (lambda: taken_out(begun, till), lambda: hand_over(line=begun, by=till["by"], at=now())):
        with pytest.raises(ValidationError, match="was taken out of this sale: She chose another"):
            deed()
    assert Sale.objects.count() == 2


@pytest.mark.parametrize("sent", [False, True])
def test_a_special_order_is_taken_out_and_stays_ordered_for_her(till, sent):
    her = ClientFactory()
    ordered = OrderLineFactory(for_client=her, count=1, order__sent=sent)
    lines = [LineAsked(unit=UnitFactory()), LineAsked(order_line=ordered)]
    line = SaleFactory(client=her, lines=lines).lines.get(order_line=ordered)
    if sent:
        with pytest.raises(ValidationError, match=f"ordered from its maker already, with {ordered.order}. Wait until"):
            taken_out(line, till)
    taken_out(line, till, order_goes_on=sent)
    ordered.refresh_from_db()
    assert (ordered.for_client, ordered.received_count) == (her, 0)
    assert agree_sale(client=her, lines=[LineAsked(order_line=ordered)], **till)


def test_a_special_order_that_came_in_is_taken_out_as_its_unit(till):
    her = ClientFactory()
    ordered = OrderLineFactory(for_client=her, count=1, order__sent=True)
    lines = [LineAsked(unit=UnitFactory()), LineAsked(order_line=ordered)]
    line = SaleFactory(client=her, lines=lines).lines.get(order_line=ordered)
    [unit] = receive_against(line=ordered, count=1, received_on=localdate(), by=till["by"], at=now())
    taken_out(line, till)
    unit.refresh_from_db()
    assert unit.state == "drawer"
