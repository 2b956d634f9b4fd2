"""What the client's page and her line say of money."""

import pytest
from django.urls import reverse
from django.utils.timezone import now

from pieces.selling import LineAsked, cancel_sale
from tests.factories import ClientFactory, DeskFactory
from tests.fittings.till.reading import words
from tests.fittings.till.test_sale_pages import held_for
from tests.pieces.factories import PaymentFactory, PricedServiceFactory, SaleFactory

pytestmark = pytest.mark.django_db


def test_her_page_says_what_she_owes_and_what_is_held_for_her(at_the_till):
    her = ClientFactory()
    page = her.get_absolute_url()
    assert "Bought and paid Sell to her Nothing yet." in words(at_the_till.get(page))
    sale = SaleFactory(client=her)
    held_for(her)
    answer = words(at_the_till.get(page))
    assert "£1,249.00 still to be paid" in answer
    assert "£20.00 is held for her since" in answer
    assert "Statement for her insurer" in answer
    PaymentFactory(sale=sale, amount_minor=124_900)
    assert "still to be paid" not in words(at_the_till.get(page)).split("What has happened")[0]


def test_the_card_shows_the_newest_and_leads_to_the_rest(at_the_till):
    her, thing = ClientFactory(), PricedServiceFactory()
    for _ in range(6):
        sale = SaleFactory(client=her, lines=[LineAsked(service=thing)])
        PaymentFactory(sale=sale, amount_minor=8500)
    answer = at_the_till.get(her.get_absolute_url())
    assert len(answer.context["money"].sales) == 5
    assert f"{reverse('sales')}?q={her.reference}" in answer.content.decode()


def test_a_sale_stands_on_her_line_with_what_is_owed_or_that_it_was_cancelled(at_the_till):
    her, thing = ClientFactory(), PricedServiceFactory(name="Cut-in")
    sale = SaleFactory(client=her, lines=[LineAsked(service=thing, count=2)])
    page = f"{her.get_absolute_url()}?show=sales"
    answer = words(at_the_till.get(page))
    assert "Sale 2 × Cut-in" in answer
    assert "Still to be paid £170.00" in answer
    assert sale.reference in answer
    cancel_sale(sale=sale, because="A slip", by=DeskFactory(), at=now())
    assert "A slip" in words(at_the_till.get(page))


def test_her_page_takes_the_same_queries_for_one_sale_as_for_seven(at_the_till, queries_for):
    her = ClientFactory()

    def sell():
        PaymentFactory(sale=SaleFactory(client=her))
        held_for(her)

    sell()
    few = queries_for(her.get_absolute_url())
    for _ in range(6):
        sell()
    assert queries_for(her.get_absolute_url()) == few
