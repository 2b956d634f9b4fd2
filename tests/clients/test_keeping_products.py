"""Products: once by a name, what their labels name, the bounds of a test, and who changed what."""

import pytest
from django.core.exceptions import ValidationError

from clients.keeping_products import add_product, change_product
from clients.models import Product
from tests.factories import OwnerFactory, ProductFactory

pytestmark = pytest.mark.django_db


def test_a_product_is_added_by_somebody():
    owner = OwnerFactory()
    tape = add_product(name=" Weir  tape ", sort="tape", contains=["rosin", "latex"], contains_read=True, by=owner)
    assert (tape.name, tape.contains, tape.read_after_hours, tape.test_valid_days) == (
        "Weir tape",
        ["latex", "rosin"],
        48,
        None,
    )
    assert tape.history.get().history_user == owner


def test_a_name_is_listed_once_in_whatever_case():
    ProductFactory(name="Weir tape")
    with pytest.raises(ValidationError, match="A product of that name is listed already"):
        ProductFactory(name="WEIR TAPE")


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"name": "  "}, "cannot be blank"),
        ({"sort": "perfume"}, "not a valid choice"),
        ({"read_after_hours": 47}, "greater than or equal to 48"),
        ({"read_after_hours": 169}, "less than or equal to 168"),
        ({"test_valid_days": 0}, "greater than or equal to 1"),
        ({"contains": ["latex"], "contains_read": False}, "tick that the label was read as well"),
    ],
)
def test_what_can_not_be_is_refused_by_a_sentence(fields, words):
    with pytest.raises(ValidationError, match=words):
        add_product(**{"name": "Weir tape", "sort": "tape", "contains_read": True} | fields)
    assert not Product.objects.exists()


def test_what_no_label_names_is_not_kept():
    # a temporary tattoo is something she had, not something that a product of the salon contains
    tape = add_product(name="Weir tape", sort="tape", contains=["black henna tattoo", "perfume"], contains_read=True)
    assert tape.contains == []


def test_a_change_is_kept_with_who_made_it_and_a_change_to_nothing_leaves_no_trace():
    tape, owner = ProductFactory(name="Weir tape"), OwnerFactory()
    change_product(product=tape, by=owner, name="Weir tape")
    assert tape.history.count() == 1
    changed = change_product(product=tape, by=owner, test_valid_days=90, is_in_use=False)
    assert (changed.test_valid_days, changed.is_in_use) == (90, False)
    assert [row.test_valid_days for row in tape.history.all()] == [90, None]
    assert tape.history.first().history_user == owner
    assert not Product.objects.in_use().exists()
