"""The calendars that programs read: whose appointments they tell, in which words, and to whom they are open."""

import re
from datetime import UTC, datetime, timedelta

import pytest
from django.core.exceptions import ValidationError
from django.test import Client as Browser
from django.urls import reverse
from django.utils.timezone import now
from icalendar import Calendar

from fittings.calendars.feeds import make_feed, revoke_feed
from fittings.calendars.telling import feed_of, invitation_of
from fittings.models import CalendarFeed
from salon.models import Salon
from tests.factories import ClientFactory, DeskFactory, OwnerFactory, StylistFactory
from tests.fittings.factories import AppointmentFactory, PlaceFactory, ServiceKindFactory

pytestmark = pytest.mark.django_db
HEALTH = ("hair", "loss", "scalp", "consult", "colour", "tape", "test", "piece", "topper", "skin", "wig", "fitting")


@pytest.fixture
def salon():
    salon = Salon.objects.default()
    salon.name, salon.email, salon.phone = "Brackwater's", "desk@brackwaters.example", "01632 960 118"
    salon.address = "14 Ferrier's Row\nTarrowmere"
    salon.save()
    return salon


def signed_in(user):
    browser = Browser()
    browser.force_login(user)
    return browser


def address(secret):
    return reverse("calendar-feed", args=[secret])


def test_a_stylists_feed_tells_hers_and_nobody_elses(salon):
    imke = StylistFactory()
    hers = AppointmentFactory(stylist=imke)
    AppointmentFactory()
    _, secret = make_feed(stylist=imke, by=imke, at=now())
    answer = Browser().get(address(secret))
    assert answer.status_code == 200
    assert answer["Content-Type"] == "text/calendar; charset=utf-8"
    assert [str(event["uid"]) for event in Calendar.from_ical(answer.content).events] == [str(hers.calendar_uid)]


def test_a_rooms_feed_tells_who_is_in_it(salon):
    room, owner = PlaceFactory(), OwnerFactory()
    there = AppointmentFactory(place=room)
    AppointmentFactory()
    _, secret = make_feed(place=room, by=owner, at=now())
    events = Calendar.from_ical(Browser().get(address(secret)).content).events
    assert [str(event["uid"]) for event in events] == [str(there.calendar_uid)]


def test_neither_names_nor_what_a_visit_is_for_leave_the_salon(salon):
    imke = StylistFactory(first_name="Imke", last_name="Valcourt")
    her = ClientFactory(given_name="Rosalind", family_name="Thackeray")
    appointment = AppointmentFactory(
        stylist=imke,
        client=her,
        kind=ServiceKindFactory(name="Hair loss consult"),
        note="Skin test first, her scalp is sore.",
        place=PlaceFactory(name="Chair 1"),
    )
    feed, _ = make_feed(stylist=imke, by=imke, at=now())
    for content in (feed_of(feed, salon=salon, at=now()), invitation_of(appointment, salon=salon, at=now())):
        told = content.decode().replace("\r\n ", "").lower()
        events = told[told.index("begin:vevent") :]
        assert not [word for word in HEALTH if re.search(rf"\b{word}", events)]
    assert b"Thackeray" not in feed_of(feed, salon=salon, at=now())
    assert f"SUMMARY:R. ({her.reference})" in feed_of(feed, salon=salon, at=now()).decode()


def test_a_cancelled_appointment_stays_in_the_feed_and_says_so(salon):
    imke = StylistFactory()
    AppointmentFactory(stylist=imke, state="cancelled", sequence=1)
    feed, _ = make_feed(stylist=imke, by=imke, at=now())
    (event,) = Calendar.from_ical(feed_of(feed, salon=salon, at=now())).events
    assert (str(event["status"]), int(event["sequence"])) == ("CANCELLED", 1)


def test_an_address_is_kept_only_as_its_digest_and_closed_when_taken_back(salon):
    imke = StylistFactory()
    feed, secret = make_feed(stylist=imke, by=imke, at=now())
    assert secret not in str(CalendarFeed.objects.values())
    revoke_feed(feed=feed, by=imke, at=now())
    assert Browser().get(address(secret)).status_code == 404
    assert Browser().get(address("nobody-knows-this-one")).status_code == 404


def test_nothing_changed_is_told_in_a_few_bytes(salon):
    imke = StylistFactory()
    appointment = AppointmentFactory(stylist=imke)
    _, secret = make_feed(stylist=imke, by=imke, at=now())
    first = Browser().get(address(secret))
    again = Browser().get(address(secret), headers={"If-None-Match": first["ETag"]})
    assert (again.status_code, again.content) == (304, b"")
    appointment.sequence = 1
    appointment.save()
    assert Browser().get(address(secret), headers={"If-None-Match": first["ETag"]}).status_code == 200


def test_a_feed_is_read_in_the_same_queries_however_full(salon, django_assert_num_queries):
    imke = StylistFactory()
    feed, _ = make_feed(stylist=imke, by=imke, at=now())
    for hours in range(0, 40, 2):
        AppointmentFactory(stylist=imke, starts_at=now() + timedelta(days=1, hours=hours), kind__minutes=60)
    with django_assert_num_queries(1):
        content = feed_of(feed, salon=salon, at=now())
    assert content.count(b"BEGIN:VEVENT") == 20


def test_the_invitation_asks_her_by_her_address(salon):
    her = ClientFactory(given_name="Ada", family_name="Ashdown", email="ada@ashdown.example")
    appointment = AppointmentFactory(client=her, starts_at=datetime(2027, 3, 3, 10, 30, tzinfo=UTC))
    calendar = Calendar.from_ical(invitation_of(appointment, salon=salon, at=now()))
    (event,) = calendar.events
    assert str(calendar["method"]) == "REQUEST"
    assert (str(event["organizer"]), str(event["attendee"])) == (
        "mailto:desk@brackwaters.example",
        "mailto:ada@ashdown.example",
    )
    assert str(event["summary"]) == "Appointment at Brackwater's"
    appointment.state = "cancelled"
    assert b"METHOD:CANCEL" in invitation_of(appointment, salon=salon, at=now())
    her.email = ""
    assert b"METHOD:PUBLISH" in invitation_of(appointment, salon=salon, at=now())


def test_a_stylist_makes_her_own_address_and_sees_it_once(salon):
    imke = StylistFactory()
    browser = signed_in(imke)
    page = browser.post(reverse("calendar-feed-new"), {"whose": f"stylist {imke.pk}"}, follow=True)
    feed = CalendarFeed.objects.get()
    assert feed.stylist == imke
    shown = page.context["new_address"]
    assert shown in page.content.decode()
    assert Browser().get(shown).status_code == 200
    assert shown not in browser.get(reverse("calendar-feeds")).content.decode()
    browser.post(reverse("calendar-feed-revoke", args=[feed.pk]))
    assert Browser().get(shown).status_code == 404


def test_a_stylist_makes_none_for_others_and_takes_none_of_theirs_back(salon):
    imke, noor = StylistFactory(), StylistFactory()
    feed, _ = make_feed(stylist=noor, by=noor, at=now())
    browser = signed_in(imke)
    browser.post(reverse("calendar-feed-new"), {"whose": f"stylist {noor.pk}"})
    assert list(CalendarFeed.objects.all()) == [feed]
    assert browser.post(reverse("calendar-feed-revoke", args=[feed.pk])).status_code == 404
    assert CalendarFeed.objects.live().exists()


def test_the_owner_makes_one_for_a_room(salon):
    room = PlaceFactory(name="Quiet room")
    signed_in(OwnerFactory()).post(reverse("calendar-feed-new"), {"whose": f"place {room.pk}"})
    assert CalendarFeed.objects.get().place == room


def test_there_are_not_endless_addresses_of_one_calendar(salon):
    imke = StylistFactory()
    for _ in range(10):
        make_feed(stylist=imke, by=imke, at=now())
    with pytest.raises(ValidationError, match="10 addresses of this calendar already"):
        make_feed(stylist=imke, by=imke, at=now())


def test_the_desk_gets_the_file_of_an_appointment(salon):
    appointment = AppointmentFactory()
    answer = signed_in(DeskFactory()).get(reverse("appointment-ics", args=[appointment.reference]))
    assert answer["Content-Disposition"] == f'attachment; filename="{appointment.reference}.ics"'
    assert str(appointment.calendar_uid).encode() in answer.content
