"""A sale on its page: paid by parts, handed over, given back, cancelled; each press once, each refusal a sentence."""

import uuid

import pytest
from django.urls import reverse
from django.utils.timezone import now

from fittings.models import OwnedPiece
from pieces.models import Payment, Receipt, Sale
from pieces.paying import owed_for, take_deposit
from pieces.selling import LineAsked, hand_over
from salon.models import Salon
from tests.factories import ClientFactory, DeskFactory, UserFactory
from tests.fittings.till.reading import words
from tests.pieces.factories import OrderLineFactory, PaymentFactory, PricedServiceFactory, SaleFactory, UnitFactory

pytestmark = pytest.mark.django_db


def press(browser, name, sale, *args, follow=True, **fields):
    return browser.post(reverse(name, args=[sale.reference, *args]), fields, follow=follow)


def held_for(client, amount_minor=2000):
    return take_deposit(
        client=client,
        amount_minor=amount_minor,
        what_for="A piece on order",
        method="cash",
        salon=Salon.objects.default(),
        by=DeskFactory(),
        at=now(),
    )


def test_a_unit_is_sold_paid_handed_over_and_a_receipt_printed(at_the_till):
    her, unit = ClientFactory(record_consent=True), UnitFactory()
    page = reverse("sale-new", args=[her.reference])
    assert unit.number in words(at_the_till.get(page, {"unit": unit.number}))
    key = f"unit-{unit.number}"
    answer = at_the_till.post(page, {"line": key, f"{key}-price_minor": "1249", "agree": "yes"})
    sale = Sale.objects.get()
    assert answer.url == sale.get_absolute_url()
    assert "£1,249.00 taken. Receipt 1." in words(
        press(at_the_till, "sale-pay", sale, amount_minor="1249", method="card")
    )
    line = sale.lines.get()
    assert "stands among her pieces" in words(press(at_the_till, "sale-hand-over", sale, line=line.pk))
    assert OwnedPiece.objects.get().unit == unit
    paper = at_the_till.get(Receipt.objects.get().get_absolute_url())
    assert paper["Content-Type"] == "application/pdf"
    assert paper.content.startswith(b"%PDF")


def test_a_part_before_she_has_it_is_a_deposit_and_the_rest_is_not(at_the_till):
    sale = SaleFactory()
    press(at_the_till, "sale-pay", sale, amount_minor="249", method="cash")
    assert "£1,000.00 still to be paid" in words(at_the_till.get(sale.get_absolute_url()))
    press(at_the_till, "sale-pay", sale, amount_minor="£1,000.00", method="card")
    assert [*Payment.objects.order_by("pk").values_list("is_deposit", flat=True)] == [True, False]
    assert "✓ paid" in words(at_the_till.get(sale.get_absolute_url()))


@pytest.mark.parametrize(
    ("fields", "sentence"),
    [
        ({"amount_minor": "", "method": "card"}, "Write how much."),
        ({"amount_minor": "0", "method": "card"}, "Write how much."),
        ({"amount_minor": "1249.01", "method": "card"}, "£1,249.00 is owed for this sale"),
        ({"amount_minor": "10", "method": ""}, "Say how: cash, card, bank transfer or another way."),
        ({"amount_minor": "10", "method": "exchange"}, "Say how: cash, card, bank transfer or another way."),
    ],
)
def test_money_that_can_not_be_is_said_on_the_page_and_stays_typed(at_the_till, fields, sentence):
    sale = SaleFactory()
    answer = press(at_the_till, "sale-pay", sale, **fields)
    assert sentence in words(answer)
    assert answer.context["pay"]["amount_minor"].value() == fields["amount_minor"]
    assert not Payment.objects.exists()


def test_a_payment_pressed_twice_is_taken_once(at_the_till):
    sale, once = SaleFactory(), str(uuid.uuid4())
    for _ in range(2):
        press(at_the_till, "sale-pay", sale, amount_minor="10", method="card", once=once)
    assert Payment.objects.count() == Receipt.objects.count() == 1


def test_her_deposit_counts_once_and_only_for_her(at_the_till):
    sale, other = SaleFactory(), SaleFactory()
    deposit = held_for(sale.client)
    assert "£20.00 is held for her" in words(at_the_till.get(sale.get_absolute_url()))
    for _ in range(2):
        press(at_the_till, "sale-deposit", sale, deposit.pk)
    assert owed_for(sale) == 122_900
    assert press(at_the_till, "sale-deposit", other, deposit.pk).status_code == 404


def test_a_deposit_larger_than_what_is_owed_is_refused_with_what_to_do(at_the_till):
    sale = SaleFactory()
    deposit = held_for(sale.client, amount_minor=200_000)
    assert "The deposit is more than the £1,249.00 owed" in words(press(at_the_till, "sale-deposit", sale, deposit.pk))


def test_a_piece_is_handed_over_once(at_the_till):
    sale = SaleFactory(client=ClientFactory(record_consent=True))
    line = sale.lines.get()
    for _ in range(2):
        press(at_the_till, "sale-hand-over", sale, line=line.pk)
    assert OwnedPiece.objects.count() == 1
    assert line.unit.movements.filter(kind="sold").count() == 1


def test_without_her_consent_it_is_sold_and_kept_among_no_pieces(at_the_till):
    sale = SaleFactory()
    answer = press(at_the_till, "sale-hand-over", sale, line=sale.lines.get().pk)
    assert "not kept among her pieces: she agreed to no record" in words(answer)
    assert sale.lines.get().handed_over_at
    assert not OwnedPiece.objects.exists()


@pytest.mark.parametrize("line", ["", "999999", "x", "9" * 40, "٣"])
def test_a_line_that_is_not_of_the_sale_hands_nothing_over(at_the_till, line):
    sale = SaleFactory()
    assert "Choose the piece that she takes." in words(press(at_the_till, "sale-hand-over", sale, line=line))


def test_a_piece_on_order_says_so_and_can_not_be_handed_over(at_the_till):
    her = ClientFactory()
    ordered = OrderLineFactory(for_client=her, count=1, order__sent=True)
    sale = SaleFactory(client=her, lines=[LineAsked(order_line=ordered)])
    assert "on order, not here yet" in words(at_the_till.get(sale.get_absolute_url()))
    assert "has not come in yet" in words(press(at_the_till, "sale-hand-over", sale, line=sale.lines.get().pk))


def test_money_goes_back_with_a_reason_and_a_receipt(at_the_till):
    sale = PaymentFactory(amount_minor=5000).sale
    fields = {"amount_minor": "20", "method": "cash", "what_for": ""}
    answer = press(at_the_till, "sale-give-back", sale, **fields)
    assert "Write why money goes back" in words(answer)
    assert answer.context["give_back"]["amount_minor"].value() == "20"
    more = press(at_the_till, "sale-give-back", sale, **fields | {"what_for": "Too much", "amount_minor": "50.01"})
    assert "£50.00 was paid" in words(more)
    assert "£20.00 given back. Receipt 2." in words(
        press(at_the_till, "sale-give-back", sale, **fields | {"what_for": "Too much"})
    )


def test_a_sale_is_cancelled_with_a_reason_once_its_money_is_back(at_the_till):
    payment = PaymentFactory(amount_minor=5000)
    sale = payment.sale
    assert "Write why it is cancelled" in words(press(at_the_till, "sale-cancel", sale, because=" "))
    answer = press(at_the_till, "sale-cancel", sale, because="Changed her mind")
    assert "£50.00 was paid; give it back first." in words(answer)
    assert answer.context["cancel"]["because"].value() == "Changed her mind"
    press(at_the_till, "sale-give-back", sale, amount_minor="50", method="cash", what_for="Cancelled")
    for _ in range(2):
        press(at_the_till, "sale-cancel", sale, because="Changed her mind")
    page = words(at_the_till.get(sale.get_absolute_url()))
    assert "✕ cancelled" in page
    assert "Take money" not in page
    assert sale.lines.get().unit.state == "drawer"


def begun():
    """A sale of which one piece is hers already; and the line of the other."""
    sale = SaleFactory(lines=[LineAsked(unit=unit) for unit in UnitFactory.create_batch(2)])
    first, second = sale.lines.order_by("pk")
    hand_over(line=first, by=DeskFactory(), at=now())
    return sale, second


def test_one_piece_is_taken_out_with_a_reason_once_and_stays_to_be_read(at_the_till):
    sale, line = begun()
    page = words(at_the_till.get(sale.get_absolute_url()))
    assert page.count("Take it out of the sale") == 1
    assert "Cancel the sale" not in page
    for _ in range(2):
        press(at_the_till, "sale-take-out", sale, line.pk, because="She chose another")
    page = words(at_the_till.get(sale.get_absolute_url()))
    apart = sale.taken_out.get()
    assert f"by {apart.cancelled_by} She chose another" in page
    assert "Comes to £1,249.00" in page
    assert "Take it out of the sale" not in page
    assert f"Taken out of sale {sale}." in words(at_the_till.get(apart.get_absolute_url()))


def test_what_can_not_be_taken_out_is_said_at_its_line_and_the_reason_stays_typed(at_the_till):
    sale, line = begun()
    PaymentFactory(sale=sale, amount_minor=200_000)
    assert "Write why it is taken out" in words(press(at_the_till, "sale-take-out", sale, line.pk, because=" "))
    answer = press(at_the_till, "sale-take-out", sale, line.pk, because="She chose another")
    assert "£751.00 more was paid than the rest of the sale comes to; give £751.00 back first." in words(answer)
    assert answer.context["take_out"]["because"].value() == "She chose another"
    first = sale.lines.exclude(pk=line.pk).get()
    assert "has been handed over" in words(press(at_the_till, "sale-take-out", sale, first.pk, because="No"))
    other = SaleFactory().lines.get()
    assert press(at_the_till, "sale-take-out", sale, other.pk, because="No").status_code == 404


def test_who_may_not_change_a_sale_takes_nothing_out(client):
    sale, line = begun()
    client.force_login(UserFactory())
    assert press(client, "sale-take-out", sale, line.pk, because="She chose another").status_code == 403
    assert sale.lines.count() == 2


def test_a_piece_on_its_way_is_taken_out_when_it_is_said_that_its_order_goes_on(at_the_till):
    her = ClientFactory()
    ordered = OrderLineFactory(for_client=her, count=1, order__sent=True)
    lines = [LineAsked(order_line=ordered), LineAsked(service=PricedServiceFactory())]
    sale = SaleFactory(client=her, lines=lines)
    line = sale.lines.get(order_line=ordered)
    answer = press(at_the_till, "sale-take-out", sale, line.pk, because="Too late for her")
    assert "It is ordered from its maker already" in words(answer)
    told = {"because": "Too late for her", "order_goes_on": "on"}
    assert "It is still ordered for her." in words(press(at_the_till, "sale-take-out", sale, line.pk, **told))


def test_a_sale_of_services_alone_hands_nothing_over(at_the_till):
    sale = SaleFactory(lines=[LineAsked(service=PricedServiceFactory())])
    assert "She takes it with her" not in words(at_the_till.get(sale.get_absolute_url()))


def test_a_sale_that_never_was_is_no_page(at_the_till):
    assert at_the_till.get(reverse("sale", args=["S-7K2M9QAV"])).status_code == 404
    assert at_the_till.get(reverse("receipt", args=[10**30])).status_code == 404


def test_the_page_takes_the_same_queries_for_one_line_as_for_six(at_the_till, queries_for):
    few = PaymentFactory(sale=SaleFactory()).sale
    many = SaleFactory(lines=[LineAsked(unit=unit) for unit in UnitFactory.create_batch(6)])
    for _ in range(5):
        PaymentFactory(sale=many)
    assert queries_for(few.get_absolute_url()) == queries_for(many.get_absolute_url())
