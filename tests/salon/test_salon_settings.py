"""The salon's own page of settings: what it asks for the reading of colours, and how it refuses."""

from html import unescape

import pytest
from django.urls import reverse

from salon.forms import SalonForm
from salon.models import Salon
from tests.factories import OwnerFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner(client):
    client.force_login(OwnerFactory())
    return client


def as_stored(**changed):
    return SalonForm(instance=Salon.objects.default()).initial | changed


def text_of(response):
    return " ".join(unescape(response.content.decode()).split())


def test_it_says_what_card_and_chart_are_for_and_that_old_readings_stay(owner):
    page = text_of(owner.get(reverse("salon-settings")))
    assert "Colours read from photos" in page
    assert "the usual one reflects 18" in page
    assert "The date stands on its back." in page
    assert "What was read before stays as it is" in page
    for choice in ("Before November 2014", "Since November 2014"):
        assert choice in page


def test_card_and_chart_are_stored(owner):
    answers = as_stored(card_reflectance_percent="17.5", chart_edition="before")
    assert owner.post(reverse("salon-settings"), answers).status_code == 302
    salon = Salon.objects.get()
    assert (salon.card_reflectance_percent, salon.chart_edition) == (17.5, "before")


@pytest.mark.parametrize("typed", ["", "grey", "4.9", "95.1", "nan"])
def test_a_card_that_is_none_is_refused_by_a_sentence_and_stays_typed(owner, typed):
    page = text_of(owner.post(reverse("salon-settings"), as_stored(card_reflectance_percent=typed)))
    assert "Write what the grey card reflects, a number from 5 to 95 such as 18 or 17.5." in page
    assert f'value="{typed}"' in page or not typed
    assert Salon.objects.get().card_reflectance_percent == 18


def test_how_the_salon_reckons_and_takes_back_is_stored(owner):
    answers = as_stored(prices_include_tax="", tax_number="GB 123", return_days="30", dead_stock_days="200")
    assert owner.post(reverse("salon-settings"), answers).status_code == 302
    salon = Salon.objects.get()
    assert (salon.prices_include_tax, salon.tax_number) == (False, "GB 123")
    assert (salon.return_days, salon.dead_stock_days) == (30, 200)


def test_the_country_is_one_whose_numbers_are_known(owner):
    assert owner.post(reverse("salon-settings"), as_stored(country="ie")).status_code == 302
    assert Salon.objects.get().country == "IE"


@pytest.mark.parametrize("typed", ["ZZ", "UK", "1", "%%"])
def test_a_country_that_is_none_is_refused_by_a_sentence(owner, typed):
    page = text_of(owner.post(reverse("salon-settings"), as_stored(country=typed)))
    assert f"“{typed}” is no country whose telephone numbers are known; write two letters such as GB or IE." in page
    assert Salon.objects.get().country == "GB"


def test_without_a_country_nothing_is_stored(owner):
    assert "This field is required." in text_of(owner.post(reverse("salon-settings"), as_stored(country="")))
    assert Salon.objects.get().country == "GB"
