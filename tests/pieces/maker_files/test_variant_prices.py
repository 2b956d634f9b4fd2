"""What a variant has cost since when, and who sees which part of it."""

from datetime import timedelta
from html import unescape

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils.timezone import localdate

from pieces.catalogue.prices import prices_of
from tests.factories import DeskFactory, OwnerFactory
from tests.pieces.factories import VariantFactory

pytestmark = pytest.mark.django_db


def change(variant, **values):
    for name, value in values.items():
        setattr(variant, name, value)
    variant.save()


def told(variant, **kwargs):
    return [entry.price_minor for entry in prices_of(variant, **kwargs)]


def page_of(client, user, variant):
    client.force_login(user)
    response = client.get(reverse("variant-prices", args=[variant.pk]))
    assert response.status_code == 200
    return unescape(response.content.decode())


def test_every_change_of_price_stands_there_newest_first_and_nothing_else_does():
    variant = VariantFactory(price_minor=100, cost_minor=50)
    change(variant, price_minor=200)
    change(variant)  # saved with nothing changed
    change(variant, price_minor=100)
    assert told(variant, with_costs=True) == [100, 200, 100]


def test_a_cost_that_comes_changes_or_goes_is_told_to_those_alone_who_see_costs():
    variant = VariantFactory(price_minor=100, cost_minor=None)
    change(variant, cost_minor=50)
    change(variant, cost_minor=60)
    change(variant, cost_minor=None)
    assert [entry.cost_minor for entry in prices_of(variant, with_costs=True)] == [None, 60, 50, None]
    assert told(variant, with_costs=False) == [100]


def test_another_variants_prices_are_not_told():
    variant, other = VariantFactory(price_minor=100), VariantFactory(price_minor=900)
    change(other, price_minor=950)
    assert told(variant, with_costs=True) == [100]


def test_when_it_stopped_being_had_is_told():
    variant = VariantFactory()
    change(variant, discontinued_on=localdate() - timedelta(days=3))
    first, second = prices_of(variant, with_costs=False)
    assert (first.discontinued_on, second.discontinued_on) == (variant.discontinued_on, None)


def test_the_desk_sees_prices_and_never_a_cost(client):
    variant = VariantFactory(price_minor=124900, cost_minor=56123)
    change(variant, price_minor=129900)
    page = page_of(client, DeskFactory(), variant)
    assert page.index("£1,299.00") < page.index("£1,249.00")
    assert "561.23" not in page
    assert "Cost to us" not in page
    assert "£561.23" in page_of(client, OwnerFactory(), variant)


def test_a_variant_from_before_has_words_and_one_that_is_gone_is_not_found(client):
    variant = VariantFactory(price_minor=124900)
    variant.history.all().delete()
    page = page_of(client, DeskFactory(), variant)
    assert "Nothing is written down of its prices before the one it has now: £1,249.00." in page
    assert client.get(reverse("variant-prices", args=[variant.pk + 1])).status_code == 404


def test_a_long_history_is_paged_in_the_same_queries(client):
    variant = VariantFactory(price_minor=1)
    client.force_login(OwnerFactory())

    def queries():
        with CaptureQueriesContext(connection) as asked:
            client.get(reverse("variant-prices", args=[variant.pk]))
        return len(asked)

    def dearer(count):
        for _ in range(count):
            change(variant, price_minor=variant.price_minor + 1)

    dearer(3)
    queries()  # the salon's own record is made by the first page
    few = queries()
    dearer(57)
    assert queries() == few
    page = unescape(client.get(reverse("variant-prices", args=[variant.pk]), {"page": "2"}).content.decode())
    assert "Page 2 of 2" in page
