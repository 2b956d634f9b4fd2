"""The price list and the rates of tax: what is kept, what is refused, what is left behind."""

import pytest
from django.core.exceptions import ValidationError

from pieces.models import TaxRate
from pieces.pricing import add_priced_service, add_tax_rate, change_priced_service, change_tax_rate
from tests.factories import OwnerFactory
from tests.pieces.factories import PricedServiceFactory, SaleFactory, TaxRateFactory

pytestmark = pytest.mark.django_db


def test_a_rate_that_becomes_the_usual_takes_it_from_the_one_before():
    owner, before = OwnerFactory(), TaxRateFactory(is_usual=True)
    new = add_tax_rate(name="New", basis_points=1900, is_usual=True, by=owner)
    assert TaxRate.objects.usual() == new
    change_tax_rate(rate=before, is_usual=True, by=owner)
    assert TaxRate.objects.usual() == before
    assert [version.history_user for version in before.history.all()[:2]] == [owner, owner]


def test_the_usual_rate_is_in_use_and_asks_for_no_declaration():
    rate = TaxRateFactory(is_usual=True)
    with pytest.raises(ValidationError, match="is in use and asks for no declaration"):
        change_tax_rate(rate=rate, is_in_use=False, by=OwnerFactory())
    with pytest.raises(ValidationError, match="is in use and asks for no declaration"):
        add_tax_rate(name="Relieved", basis_points=0, is_usual=True, asks_for_declaration=True, by=OwnerFactory())
    assert TaxRate.objects.usual() == rate


def test_a_name_is_on_the_list_once_however_it_is_spelt():
    PricedServiceFactory(name="Cut-in")
    with pytest.raises(ValidationError, match="on the price list already"):
        add_priced_service(name="  cut-IN ", price_minor=1, by=OwnerFactory())


def test_a_change_to_nothing_leaves_no_trace():
    service = PricedServiceFactory()
    change_priced_service(service=service, name=service.name, price_minor=service.price_minor, by=OwnerFactory())
    assert service.history.count() == 1


def test_a_rate_that_changes_changes_no_sale():
    rate = TaxRateFactory(is_usual=True)
    line = SaleFactory().lines.get()
    change_tax_rate(rate=rate, basis_points=1000, by=OwnerFactory())
    line.refresh_from_db()
    assert (line.tax_basis_points, line.tax_minor) == (2000, 20_817)
