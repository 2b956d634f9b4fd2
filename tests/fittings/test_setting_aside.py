"""A unit is set aside for a client, for one of her visits, or for nobody yet."""

from datetime import timedelta
from html import unescape

import pytest
from django.urls import reverse
from django.utils.timezone import now

from fittings.visiting import begin_visit
from tests.factories import ClientFactory, DeskFactory, StylistFactory
from tests.fittings.factories import AppointmentFactory
from tests.pieces.factories import UnitFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def ada():
    return ClientFactory(record_consent=True)


@pytest.fixture
def unit():
    return UnitFactory()


@pytest.fixture
def desk(client):
    client.force_login(DeskFactory())
    return client


def address(unit, client=None):
    asked = f"?client={client.reference}" if client else ""
    return reverse("unit-reserve", args=[unit.number]) + asked


def text_of(response):
    assert response.status_code == 200, response.status_code
    return unescape(response.content.decode())


def test_who_it_is_for_is_asked_first(desk, unit, ada):
    page = text_of(desk.get(address(unit)))
    assert "Who is it for?" in page
    assert f'<p class="trail"><a href="{reverse("unit", args=[unit.number])}">' in page, "it leads back to the unit"
    assert reverse("loans") not in page, "these are not the desk's pages"
    assert ada.reference in text_of(desk.get(address(unit), {"q": ada.family_name[:4]}))


def test_it_is_set_aside_for_her(desk, unit, ada):
    assert str(ada) in text_of(desk.get(address(unit, ada)))
    page = text_of(desk.post(address(unit, ada), {"visit": ""}, follow=True))
    assert f"Unit {unit.number} is set aside for {ada}." in page
    unit.refresh_from_db()
    assert (unit.state, unit.reserved_for) == ("reserved", ada)


def test_it_is_set_aside_for_a_visit_she_is_booked_for_or_is_in(client, unit, ada):
    stylist = StylistFactory()
    booked = AppointmentFactory(client=ada, starts_at=now() + timedelta(days=1))
    earlier = AppointmentFactory(client=ada, starts_at=now() - timedelta(days=2))
    begun = begin_visit(client=ada, stylist=stylist, at=now())
    client.force_login(stylist)
    page = text_of(client.get(address(unit, ada)))
    assert [one.reference in page for one in (booked, begun, earlier)] == [True, True, False]
    client.post(address(unit, ada), {"visit": booked.reference})
    assert unit.movements.first().for_visit == booked.reference


def test_the_desk_is_not_told_of_visits_it_may_not_see(desk, unit, ada):
    begun = begin_visit(client=ada, stylist=StylistFactory(), at=now())
    assert begun.reference not in text_of(desk.get(address(unit, ada)))
    page = text_of(desk.post(address(unit, ada), {"visit": begun.reference}))
    assert "This is no visit of hers" in page


@pytest.mark.parametrize("visit", ["B-00000000", "x" * 900, "\x00", "F-7K2M9QAV"])
def test_another_visit_is_refused_in_a_sentence(desk, unit, ada, visit):
    AppointmentFactory(client=ada, starts_at=now() + timedelta(days=1))
    assert "This is no visit of hers that is still to come." in text_of(desk.post(address(unit, ada), {"visit": visit}))
    unit.refresh_from_db()
    assert (unit.state, unit.movements.count()) == ("drawer", 1)


def test_by_one_press_it_is_set_aside_for_nobody_yet(desk, unit):
    assert f"Unit {unit.number} is set aside." in text_of(desk.post(address(unit), follow=True))
    again = text_of(desk.post(address(unit), follow=True))
    assert "can't be set aside: it is set aside for a client already." in again
    assert unit.movements.count() == 2


def test_one_that_is_set_aside_already_is_refused_on_the_form(desk, unit, ada):
    desk.post(address(unit))
    page = text_of(desk.post(address(unit, ada), {"visit": ""}))
    assert f"Unit {unit.number} can't be set aside: it is set aside for a client already." in page


def test_a_client_or_a_unit_of_nothing_is_not_found(desk, unit):
    assert desk.get(address(unit) + "?client=C-00000000").status_code == 404
    assert desk.post(address(unit) + "?client=nobody").status_code == 404
    assert desk.get("/units/U-00000000/reserve/").status_code == 404
