"""The pages on which the owner sets up kinds of visit and places, and what she is told first."""

from html import unescape

import pytest
from django.urls import reverse

from fittings.models import OpeningHours, Place, ServiceKind
from tests.factories import StylistFactory
from tests.fittings.factories import AppointmentFactory, PlaceFactory, ServiceKindFactory

pytestmark = pytest.mark.django_db


def text_of(response):
    return " ".join(unescape(response.content.decode()).split())


def test_a_new_salon_is_told_what_to_do_first(owner):
    page = text_of(owner.get(reverse("setting-up")))
    assert page.index("There is no room, chair or basin.") < page.index("There is no kind of visit.")
    assert "any hour of any day can be booked" in page


def test_a_salon_that_has_all_is_told_nothing(owner):
    PlaceFactory(), ServiceKindFactory(), StylistFactory()
    OpeningHours.objects.create(weekday=1, opens="09:00", closes="17:00")
    page = owner.get(reverse("setting-up"))
    assert [lack.says for lack in page.context["missing"]] == ["The salon's address and telephone number are empty."]


@pytest.mark.parametrize(
    "name",
    [
        "kinds",
        "kind-new",
        "places",
        "place-new",
        "opening-hours",
        "closures",
        "closure-new",
        "people",
        "person-new",
        "time-off",
        "time-off-new",
    ],
)
def test_each_page_opens_in_an_empty_salon(owner, name):
    assert owner.get(reverse(name)).status_code == 200
