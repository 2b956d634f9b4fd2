"""The price list and the tax rates on their pages: who writes them, and what is refused beside its field."""

import pytest
from django.urls import reverse

from pieces.models import PricedService, TaxRate
from tests.fittings.till.reading import words
from tests.pieces.factories import PricedServiceFactory, TaxRateFactory

pytestmark = pytest.mark.django_db
RATE_NEW, PRICE_NEW = reverse("tax-rate-new"), reverse("priced-service-new")


def test_empty_lists_say_what_that_means(at_the_till):
    assert "Nothing is on it yet. The owner writes it." in words(at_the_till.get(reverse("price-list")))
    assert "so no tax is reckoned" in words(at_the_till.get(reverse("tax-rates")))


def test_the_desk_reads_them_and_is_led_nowhere_else(at_the_till):
    service, rate = PricedServiceFactory(), TaxRateFactory()
    page = at_the_till.get(reverse("price-list")).content.decode()
    assert service.name in page
    assert reverse("priced-service", args=[service.pk]) not in page
    assert reverse("tax-rate", args=[rate.pk]) not in at_the_till.get(reverse("tax-rates")).content.decode()


@pytest.mark.parametrize(
    ("typed", "kept"), [("20", 2000), ("20 %", 2000), ("8.25", 825), ("8,5%", 850), ("0", 0), ("100", 10_000)]
)
def test_a_rate_is_typed_in_percent(owner, typed, kept):
    assert owner.post(RATE_NEW, {"name": "A rate", "basis_points": typed}).status_code == 302
    assert TaxRate.objects.get().basis_points == kept


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("", "Write the rate, such as 20 %"),
        ("a fifth", "“a fifth” is not a rate"),
        ("8.255", "with up to two decimals"),
        ("-5", "is not a rate"),
        ("100.01", "A rate lies between 0 and 100 %."),
        ("٢٠", "is not a rate"),
    ],
)
def test_a_rate_that_is_none_is_said_and_stays_typed(owner, typed, sentence):
    answer = owner.post(RATE_NEW, {"name": "A rate", "basis_points": typed})
    assert sentence in words(answer)
    assert answer.context["form"]["basis_points"].value() == typed
    assert not TaxRate.objects.exists()


def test_a_name_that_is_taken_is_said_beside_the_name(owner):
    TaxRateFactory(name="Standard")
    answer = owner.post(RATE_NEW, {"name": "standard", "basis_points": "5"})
    assert "There is a rate of that name already." in answer.context["form"].errors["name"]
    PricedServiceFactory(name="Cut-in")
    answer = owner.post(PRICE_NEW, {"name": "cut-in", "price_minor": "5"})
    assert "That is on the price list already." in answer.context["form"].errors["name"]


def test_the_usual_rate_stays_in_use(owner):
    rate = TaxRateFactory(is_usual=True)
    page = reverse("tax-rate", args=[rate.pk])
    assert owner.get(page).context["form"]["basis_points"].value() == "20 %"
    answer = owner.post(page, {"name": rate.name, "basis_points": "20 %", "is_usual": "on"})
    assert "The usual rate is in use and asks for no declaration." in words(answer)


def test_a_price_is_kept_changed_and_taken_off_the_list(owner):
    rate = TaxRateFactory()
    answer = owner.post(PRICE_NEW, {"name": "Soft brush", "price_minor": ""})
    assert "Write its price; for what costs nothing, write 0." in words(answer)
    owner.post(PRICE_NEW, {"name": "Soft brush", "price_minor": "18.50", "tax_rate": rate.pk, "done_as": "wash"})
    service = PricedService.objects.get()
    assert (service.price_minor, service.tax_rate, service.done_as) == (1850, rate, "wash")
    page = reverse("priced-service", args=[service.pk])
    assert owner.get(page).context["form"]["price_minor"].value() == "£18.50"
    owner.post(page, {"name": "Soft brush", "price_minor": "19"})
    service.refresh_from_db()
    assert (service.price_minor, service.is_in_use, service.tax_rate) == (1900, False, None)
    assert "sold no longer" in words(owner.get(reverse("price-list")))
