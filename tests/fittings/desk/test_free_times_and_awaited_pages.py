"""Free times for nobody yet, and pieces on their way."""

import re
from datetime import timedelta
from html import unescape

import pytest
from django.urls import reverse
from django.utils.timezone import localdate, now

from fittings.awaiting import await_piece, piece_came_in
from fittings.models import AwaitedPiece
from salon.models import User
from tests.factories import ClientFactory, DeskFactory, StylistFactory
from tests.fittings.factories import AppointmentFactory, CandidateFactory, PlaceFactory, ServiceKindFactory
from tests.fittings.visits import signed_off_visit

pytestmark = pytest.mark.django_db


@pytest.fixture
def desk(client):
    client.force_login(DeskFactory())
    return client


def words(response):
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", response.content.decode())).split())


# Free times


def test_each_free_time_leads_to_its_booking(desk):
    kind, stylist, place = ServiceKindFactory(), StylistFactory(), PlaceFactory()
    page = desk.get(reverse("free-times") + f"?kind={kind.pk}")
    first = page.context["offered"].days[0].times[0]
    assert (first.free.stylist, first.free.place) == (stylist, place)
    link = f"{reverse('appointment-new')}?kind={kind.pk}&chosen={first.code.replace(':', '%3A')}"
    assert link in unescape(page.content.decode())
    assert "No opening hours are written down yet" in words(page)


def test_free_times_are_found_from_a_later_day_on_certain_days_within_sixty(desk):
    kind = ServiceKindFactory()
    StylistFactory(), PlaceFactory()
    monday = localdate() + timedelta(days=7 - localdate().weekday())
    query = f"?kind={kind.pk}&weekdays=1&weekdays=4&from_day={monday}"
    days = [day.day for day in desk.get(reverse("free-times") + query).context["offered"].days]
    assert days[:3] == [monday, monday + timedelta(days=3), monday + timedelta(days=7)]
    assert {day.isoweekday() for day in days} == {1, 4}


def test_free_times_take_the_same_queries_for_one_appointment_as_for_six(desk, queries_for):
    kind = ServiceKindFactory()
    AppointmentFactory(kind=kind)
    address = reverse("free-times") + f"?kind={kind.pk}"
    few = queries_for(address)
    AppointmentFactory.create_batch(5, kind=kind)
    assert queries_for(address) == few


def test_no_free_time_is_said_in_words(desk):
    kind = ServiceKindFactory()
    assert "There is no free time for Consult within 60 days" in words(
        desk.get(reverse("free-times") + f"?kind={kind.pk}")
    )


# Pieces on their way


def noted(**changed):
    asked = {"client": ClientFactory(), "what": "Heron, walnut", "by": DeskFactory(), "at": now()} | changed
    return await_piece(**asked)


def test_a_piece_is_noted_for_a_client_who_was_found(desk):
    her = ClientFactory(given_name="Zoë", family_name="Quill")
    assert f"?client={her.reference}" in desk.get(reverse("awaited-pieces") + "?new=yes&q=qui").content.decode()
    typed = {"what": "Heron, walnut", "expected_on": f"{localdate() + timedelta(days=6)}"}
    page = desk.post(reverse("awaited-pieces") + f"?client={her.reference}", typed, follow=True)
    assert "Noted: Heron, walnut for Zoë Quill." in words(page)
    assert AwaitedPiece.objects.get().client == her


def test_a_second_press_is_refused_and_keeps_what_was_typed(desk):
    piece = noted()
    page = desk.post(reverse("awaited-pieces") + f"?client={piece.client.reference}", {"what": piece.what})
    assert "has been on its way for her since" in words(page)
    assert 'value="Heron, walnut"' in page.content.decode()
    assert AwaitedPiece.objects.count() == 1


def test_a_post_for_nobody_asks_who(desk):
    page = desk.post(reverse("awaited-pieces"), {"what": "Heron"})
    assert "Who is it for?" in words(page)
    assert not AwaitedPiece.objects.exists()


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"deed": "came in"}, "is in."),
        ({"deed": "no longer wanted"}, "is no longer wanted."),
        ({"deed": "expected", "expected_on": ""}, "is expected on no known day."),
        ({"deed": "eaten"}, "Choose: came in, no longer wanted, or another day."),
        ({"deed": "expected", "expected_on": "soon"}, "Write the day as 2026-12-24."),
        ({"deed": "expected", "expected_on": "2001-01-01"}, "is over"),
    ],
)
def test_what_became_of_a_piece_is_written_down_or_told_why_not(desk, typed, said):
    assert said in words(desk.post(reverse("awaited-piece-mark", args=[noted().pk]), typed, follow=True))


def test_a_piece_marked_twice_came_in_once(desk):
    piece = noted()
    address = reverse("awaited-piece-mark", args=[piece.pk])
    desk.post(address, {"deed": "came in"})
    first = AwaitedPiece.objects.get().in_at
    assert "came in on" in words(desk.post(address, {"deed": "came in"}, follow=True))
    assert AwaitedPiece.objects.get().in_at == first


def test_what_came_in_is_listed_apart_and_can_be_booked_for(desk):
    here, awaited = noted(what="Heron"), noted(what="Quarry Lane")
    piece_came_in(awaited=here, by=DeskFactory(), at=now())
    assert "Quarry Lane" in words(desk.get(reverse("awaited-pieces")))
    page = desk.get(reverse("awaited-pieces") + "?show=in")
    assert "Quarry Lane" not in words(page)
    assert f"?client={here.client.reference}&amp;awaits={here.pk}" in page.content.decode()
    AppointmentFactory(client=here.client, awaits=here)
    assert "1 visit booked for it" in words(desk.get(reverse("awaited-pieces") + "?show=in"))
    assert awaited.in_at is None


def test_the_list_is_cut_into_pages_and_takes_the_same_queries_for_two_as_for_thirty(desk, queries_for):
    her, clerk = ClientFactory(), DeskFactory()
    for number in range(2):
        noted(client=her, what=f"Heron {number}", by=clerk)
    few = queries_for(reverse("awaited-pieces"))
    for number in range(28):
        noted(client=her, what=f"Wren {number}", by=clerk)
    assert queries_for(reverse("awaited-pieces")) == few
    assert len(desk.get(reverse("awaited-pieces")).context["pieces"]) == 25
    assert len(desk.get(reverse("awaited-pieces") + "?page=2").context["pieces"]) == 5
    assert desk.get(reverse("awaited-pieces") + "?page=x&show=eaten").status_code == 200


def test_what_was_tried_in_a_visit_is_offered_to_those_alone_who_see_visits(client):
    stylist = StylistFactory()
    tried = CandidateFactory(fitting=signed_off_visit(stylist=stylist))
    address = reverse("awaited-pieces") + f"?client={tried.fitting.client.reference}"
    client.force_login(stylist)
    assert tried.variant.told("metric") in unescape(client.get(address).content.decode())
    User.objects.filter(pk=stylist.pk).update(units="imperial")
    assert tried.variant.told("imperial") in unescape(client.get(address).content.decode())
    client.post(address, {"variant": tried.variant_id, "what": ""})
    assert AwaitedPiece.objects.get().variant == tried.variant
    client.force_login(DeskFactory())
    assert "variant" not in client.get(address).context["form"].fields
