"""The pages on which the owner keeps the salon's products and the stylist reads them."""

from html import unescape

import pytest
from django.urls import reverse

from clients.models import Product
from tests.factories import OwnerFactory, ProductFactory, StylistFactory

pytestmark = pytest.mark.django_db
TAPE = {"name": "Weir tape", "sort": "tape", "read_after_hours": "48"}


@pytest.fixture
def owner(client):
    client.force_login(OwnerFactory())
    return client


def text_of(response):
    return " ".join(unescape(response.content.decode()).split())


def test_an_empty_list_says_what_to_do_first(owner):
    assert "Add the tapes, adhesives and colours you use, each with its label in hand" in text_of(
        owner.get(reverse("products"))
    )


def test_setting_up_leads_to_the_products(owner):
    assert f'href="{reverse("products")}"' in text_of(owner.get(reverse("setting-up")))


def test_a_product_is_added_and_listed(owner):
    sent = TAPE | {"contains": ["latex"], "contains_read": "on", "flammable": "yes", "test_valid_days": "90"}
    assert owner.post(reverse("product-new"), sent).status_code == 302
    tape = Product.objects.get()
    assert (tape.contains, tape.flammable, tape.oxidative, tape.test_valid_days) == (["latex"], True, None, 90)
    page = text_of(owner.get(reverse("products")))
    assert 'Tape; names latex; <span class="tag">▲ flammable</span>' in page
    assert "read after 48 hours; a clear one counts for 90 days" in page


def test_a_label_that_nobody_read_is_not_said_to_name_nothing(owner):
    ProductFactory(contains_read=False)
    assert "label not read yet" in text_of(owner.get(reverse("products")))
    ProductFactory()
    assert "names none of what clients react to" in text_of(owner.get(reverse("products")))


def test_a_refused_form_says_why_beside_the_field_and_keeps_what_was_typed(owner):
    ProductFactory(name="Weir tape")
    page = text_of(owner.post(reverse("product-new"), TAPE | {"name": "weir tape", "read_after_hours": "47"}))
    assert "greater than or equal to 48" in page
    page = text_of(owner.post(reverse("product-new"), TAPE | {"name": "weir tape"}))
    assert "A product of that name is listed already" in page
    assert 'value="weir tape"' in page
    page = text_of(owner.post(reverse("product-new"), TAPE | {"name": "New", "contains": ["rosin"]}))
    assert "tick that the label was read as well" in page
    page = text_of(owner.post(reverse("product-new"), TAPE | {"name": "New", "contains": ["perfume"]}))
    assert "perfume is not one of the available choices" in page
    assert Product.objects.count() == 1


def test_a_product_is_changed_and_its_earlier_state_stays_readable(owner):
    tape = ProductFactory(name="Weir tape")
    address = reverse("product", args=[tape.pk])
    assert owner.post(address, TAPE | {"read_after_hours": "72", "contains_read": "on"}).status_code == 302
    tape.refresh_from_db()
    assert (tape.read_after_hours, tape.is_in_use) == (72, False)
    page = text_of(owner.get(address))
    assert "read after 72 hours" in page
    assert "read after 48 hours" in page
    assert "Odile" in page
    assert "out of use" in text_of(owner.get(reverse("products")))


def test_the_stylist_reads_the_list_and_changes_nothing(client):
    tape = ProductFactory()
    client.force_login(StylistFactory())
    page = text_of(client.get(reverse("products")))
    assert tape.name in page
    assert "Add a product" not in page
    assert client.post(reverse("product-new"), TAPE).status_code == 403
    assert client.post(reverse("product", args=[tape.pk]), TAPE).status_code == 403


def test_the_list_takes_the_same_queries_for_one_product_as_for_six(owner, queries_for):
    ProductFactory()
    one = queries_for(reverse("products"))
    ProductFactory.create_batch(5)
    assert queries_for(reverse("products")) == one
