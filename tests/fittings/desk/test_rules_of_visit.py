"""What the rules say of a booked visit: for who may see health facts, as of that day, and never for the desk."""

from datetime import date, timedelta
from html import unescape

import pytest
from django.urls import reverse
from django.utils.timezone import localdate, now

from clients.models import AccessEntry
from clients.models.health import SkinTestKind
from clients.registering import change_client
from fittings.desk.rules_of_visit import findings_of_visit
from salon.models import Salon
from tests.factories import ClientFactory, DeskFactory, SkinTestFactory, StylistFactory
from tests.fittings.factories import AppointmentFactory, ServiceKindFactory
from tests.fittings.visits import signed_off_visit

pytestmark = pytest.mark.django_db
HEADING = "What the rules say of this visit"


def booked(client, *, in_days=7, **kind):
    starts_at = now() + timedelta(days=in_days, hours=3 * client.appointments.count())
    kind = ServiceKindFactory(name=f"Visit {sorted(kind)}"[:60], purpose="colour", **kind)
    return AppointmentFactory(client=client, kind=kind, starts_at=starts_at)


def said(appointment):
    """The ids of what is said, and the questions."""
    findings = findings_of_visit(appointment, salon=Salon.objects.default(), units="metric")
    firm = {one.rule_id for one in findings if not one.asks}
    return firm, {fact for one in findings for fact in one.asks}


def her(**story):
    return signed_off_visit(story=story, born_on=date(1971, 4, 9)).client


def test_colour_on_her_skin_wants_a_test_that_still_counts_that_day():
    client = her()
    assert said(booked(client, needs_colour_test=True)) == ({"dye-alert"}, set())
    read_at = now()
    SkinTestFactory(client=client, kind=SkinTestKind.COLOUR, applied_at=read_at - timedelta(days=3))
    test = client.skin_tests.get()
    type(test).objects.filter(pk=test.pk).update(read_at=read_at, reacted=False, read_by=test.applied_by)
    assert said(booked(client, needs_colour_test=True, in_days=5)) == (set(), set())
    assert said(booked(client, needs_colour_test=True, in_days=9)) == ({"dye-alert"}, set())


def test_what_she_reacts_to_stops_colour_and_asks_what_the_tape_contains():
    client = her(reactions=["black henna tattoo", "latex"])
    assert "dye-reaction" in said(booked(client, needs_colour_test=True))[0]
    firm, asks = said(booked(client, needs_tape_test=True))
    assert firm == {"adhesive-test"}
    assert asks == {"adhesive_contains"}


def test_her_age_on_that_day_counts_and_one_that_is_not_known_is_asked():
    client = her()
    fifteen = localdate() - timedelta(days=15 * 366)
    client = change_client(client=client, by=StylistFactory(), born_on=fifteen)
    assert "dye-age" in said(booked(client, needs_colour_test=True))[0]
    client = change_client(client=client, by=StylistFactory(), born_on=None)
    assert "age_years" in said(booked(client, needs_colour_test=True))[1]


def test_a_visit_that_puts_nothing_on_her_skin_hears_only_of_herself():
    assert said(booked(her())) == (set(), set())
    assert said(booked(her(chemotherapy="under way"))) == ({"chemo"}, set())


def test_of_a_client_nobody_has_examined_what_was_never_told_is_asked():
    client = ClientFactory()
    firm, asks = said(booked(client, needs_tape_test=True))
    assert {"consent", "adhesive-test"} <= firm
    assert {"scalp_condition", "reactions", "chemotherapy", "age_years"} <= asks


def test_one_that_is_over_is_asked_nothing():
    appointment = AppointmentFactory(state="done")
    assert said(appointment) == (set(), set())


def test_the_stylist_sees_it_and_her_look_is_noted_once(client):
    stylist = StylistFactory()
    client.force_login(stylist)
    appointment = booked(her(), needs_colour_test=True)
    address = reverse("appointment", args=[appointment.reference])
    for _ in range(2):
        page = unescape(client.get(address).content.decode())
    assert HEADING in page
    assert "No allergy alert test of this colour" in page
    assert '/rules/#rule-dye-alert"' in page
    looks = AccessEntry.objects.filter(client=appointment.client, user=stylist)
    assert [look.page for look in looks] == ["what the rules say of a visit"]


def test_the_desk_sees_none_of_it_and_leaves_no_look(client):
    client.force_login(DeskFactory())
    appointment = booked(her(reactions=["hair dye"]), needs_colour_test=True)
    page = unescape(client.get(reverse("appointment", args=[appointment.reference])).content.decode())
    assert HEADING not in page
    assert "reacted" not in page
    assert not AccessEntry.objects.filter(client=appointment.client).exists()


def test_the_page_takes_the_same_queries_however_much_is_known_of_her(client, queries_for):
    client.force_login(StylistFactory())
    hers = her()
    appointment = booked(hers, needs_colour_test=True, needs_tape_test=True)
    address = reverse("appointment", args=[appointment.reference])
    client.get(address)  # notes the look
    few = queries_for(address)
    for _ in range(4):
        SkinTestFactory(client=hers)
    assert queries_for(address) == few
