"""The lists of the till: sales narrowed to what is asked, and deposits that are held, taken and given back."""

import uuid

import pytest
from django.urls import reverse
from django.utils.timezone import now

from pieces.models import Payment
from pieces.selling import LineAsked, cancel_sale, hand_over
from tests.factories import ClientFactory, DeskFactory
from tests.fittings.till.reading import words
from tests.fittings.till.test_sale_pages import held_for
from tests.pieces.factories import PaymentFactory, PricedServiceFactory, SaleFactory

pytestmark = pytest.mark.django_db
SALES, DEPOSITS = reverse("sales"), reverse("deposits")


def listed(answer):
    return list(answer.context["page"])


def test_before_anything_is_sold_the_list_says_where_a_sale_begins(at_the_till):
    assert "Nothing has been sold yet" in words(at_the_till.get(SALES))
    assert "No sale answers that" in words(at_the_till.get(SALES, {"q": "S-7K2M9QAV"}))


def test_sales_are_narrowed_to_what_is_owed_and_what_waits(at_the_till):
    owing, paid = SaleFactory(), SaleFactory()
    PaymentFactory(sale=paid, amount_minor=124_900)
    hand_over(line=owing.lines.get(), by=DeskFactory(), at=now())
    cancelled = SaleFactory(lines=[LineAsked(service=PricedServiceFactory())])
    cancel_sale(sale=cancelled, because="A slip", by=DeskFactory(), at=now())
    assert len(listed(at_the_till.get(SALES))) == 3
    assert listed(at_the_till.get(SALES, {"show": "owing"})) == [owing]
    assert listed(at_the_till.get(SALES, {"show": "waiting"})) == [paid]
    assert len(listed(at_the_till.get(SALES, {"show": "nonsense"}))) == 3


def test_a_sale_is_found_by_its_reference_and_by_her_name(at_the_till):
    sale = SaleFactory(client__family_name="Quillon")
    SaleFactory()
    assert listed(at_the_till.get(SALES, {"q": sale.reference.lower()})) == [sale]
    assert listed(at_the_till.get(SALES, {"q": "quil"})) == [sale]
    assert listed(at_the_till.get(SALES, {"q": sale.client.reference})) == [sale]
    assert listed(at_the_till.get(SALES, {"q": "\x00"})) != [sale]


def test_the_lists_take_the_same_queries_for_three_rows_as_for_thirty_and_are_cut_into_pages(at_the_till, queries_for):
    def make(count):
        for _ in range(count):
            held_for(SaleFactory(lines=[LineAsked(service=PricedServiceFactory())]).client)

    make(3)
    few = [queries_for(address) for address in (SALES, f"{SALES}?show=owing", f"{SALES}?show=waiting", DEPOSITS)]
    make(27)
    assert [
        queries_for(address) for address in (SALES, f"{SALES}?show=owing", f"{SALES}?show=waiting", DEPOSITS)
    ] == few
    assert "Page 1 of 2" in words(at_the_till.get(SALES))
    assert "Page 2 of 2" in words(at_the_till.get(DEPOSITS, {"page": "2"}))


def test_a_deposit_is_taken_with_what_it_is_for(at_the_till):
    her = ClientFactory()
    page = reverse("deposit-new", args=[her.reference])
    wrong = {"amount_minor": "fifty", "method": "card", "what_for": "", "once": str(uuid.uuid4())}
    answer = at_the_till.post(page, wrong)
    assert "“fifty” is not an amount in GBP" in words(answer)
    assert "Write what it is for" in words(answer)
    assert 'value="fifty"' in answer.content.decode()
    assert not Payment.objects.exists()
    right = wrong | {"amount_minor": "£50", "what_for": "A piece on order"}
    for _ in range(2):
        answer = at_the_till.post(page, right, follow=True)
    assert "£50.00 is held for her. Receipt 1." in words(answer)
    assert Payment.objects.get().what_for == "A piece on order"


def test_a_deposit_goes_back_whole_and_once(at_the_till):
    assert "No deposit is held" in words(at_the_till.get(DEPOSITS))
    deposit = held_for(ClientFactory())
    back = reverse("deposit-back", args=[deposit.pk])
    answer = at_the_till.post(back, {"method": "cash", "what_for": ""})
    assert "Write why it goes back" in words(answer)
    assert "£20.00 given back. Receipt 2." in words(
        at_the_till.post(back, {"method": "cash", "what_for": "Ill"}, follow=True)
    )
    assert "No deposit is held" in words(at_the_till.get(DEPOSITS))
    again = at_the_till.post(back, {"method": "cash", "what_for": "Ill"}, follow=True)
    assert "It was given back already." in words(again)
    assert Payment.objects.count() == 2
