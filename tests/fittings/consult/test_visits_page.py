"""Where a visit begins, where it stands, and the page on which a stylist finds hers."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils.timezone import localtime, now

from clients.assessing import save_map, save_story, save_tapes, sign_off
from fittings.consult.steps import steps_of
from fittings.models import Fitting
from fittings.visiting import begin_visit, finish_visit
from tests.factories import ClientFactory, DeskFactory
from tests.fittings.factories import AppointmentFactory, ServiceKindFactory
from tests.fittings.services.scene import log, visit_and_piece
from tests.fittings.visits import signed_off_visit

pytestmark = pytest.mark.django_db


def states(visit):
    visit = Fitting.objects.select_related("assessment").get(pk=visit.pk)
    return {step.key: step.state for step in steps_of(visit)}


def today_at(hour):
    return localtime().replace(hour=hour, minute=0, second=0, microsecond=0)


# Beginning


def test_a_visit_begins_and_opens_at_the_story(client, stylist):
    her = ClientFactory(record_consent=True)
    response = client.post(reverse("visit-begin", args=[her.reference]))
    visit = Fitting.objects.get()
    assert response.url == reverse("fitting", args=[visit.reference])
    assert client.get(response.url).url == reverse("consult-story", args=[visit.reference])


def test_without_consent_the_sentence_leads_to_the_page_that_asks_for_it(client, stylist):
    her = ClientFactory()
    response = client.post(reverse("visit-begin", args=[her.reference]))
    assert response.url == reverse("client-consents", args=[her.reference])
    assert "Ask for that consent first" in client.get(response.url).content.decode()
    assert not Fitting.objects.exists()


def test_pressing_twice_leads_to_the_visit_that_is_open(client, visit):
    response = client.post(reverse("visit-begin", args=[visit.client.reference]))
    assert response.url == reverse("fitting", args=[visit.reference])
    assert Fitting.objects.count() == 1


def test_an_appointment_begins_with_its_own_client_only(client, stylist):
    her = ClientFactory(record_consent=True)
    address = reverse("visit-begin", args=[her.reference])
    assert client.post(address, {"appointment": AppointmentFactory().reference}).status_code == 404
    hers = AppointmentFactory(client=her)
    client.post(address, {"appointment": hers.reference})
    assert Fitting.objects.get().appointment == hers


def test_a_visit_is_begun_by_posting_and_not_by_the_desk(client, stylist):
    her = ClientFactory(record_consent=True)
    assert client.get(reverse("visit-begin", args=[her.reference])).status_code == 405
    client.force_login(DeskFactory())
    assert client.post(reverse("visit-begin", args=[her.reference])).status_code == 403


# Where it stands


def test_the_steps_follow_what_is_written_down(visit, stylist):
    assert list(states(visit)) == [
        "story", "tapes", "map", "own-hair", "wishes", "sign-off", "candidates", "try-ons", "decision", "summary",
    ]  # fmt: skip  # one line reads as the steps do
    assert states(visit)["story"] == "current"
    assert states(visit)["candidates"] == "waiting"
    draft = save_tapes(assessment=visit.assessment, revision=0, by=stylist, circumference_mm=559)
    assert (states(visit)["story"], states(visit)["tapes"]) == ("current", "done")
    draft = save_story(assessment=draft, revision=1, by=stylist, reactions_asked=True)
    draft = save_map(assessment=draft, revision=2, by=stylist, density_hex="32" * 4096)
    assert [states(visit)[key] for key in ("story", "map", "own-hair", "wishes")] == ["done", "done", "current", "open"]
    sign_off(assessment=draft, by=stylist, at=now())
    assert [states(visit)[key] for key in ("sign-off", "candidates", "try-ons", "decision", "summary")] == [
        "done", "current", "waiting", "open", "waiting",
    ]  # fmt: skip  # as above


def test_after_signing_what_nobody_asked_is_closed_and_the_visit_goes_on(client, visit, stylist):
    sign_off(assessment=visit.assessment, by=stylist, at=now())
    assert client.get(visit.get_absolute_url()).url == reverse("candidates", args=[visit.reference])


def test_zero_percent_grey_is_an_answer(visit, stylist):
    visit.assessment.grey_percent = 0
    visit.assessment.save()
    assert states(visit)["own-hair"] == "done"


def test_a_finished_visit_opens_at_its_summary(client, visit, stylist):
    sign_off(assessment=visit.assessment, by=stylist, at=now())
    finish_visit(fitting=visit, by=stylist, at=now(), next_visit_on=None, none_chosen_because="to think it over")
    assert client.get(visit.get_absolute_url()).url == reverse("consult-summary", args=[visit.reference])


def test_the_steps_cost_one_query(visit, django_assert_num_queries):
    visit = Fitting.objects.select_related("assessment").get(pk=visit.pk)
    with django_assert_num_queries(1):
        steps_of(visit)


# Visits of care


@pytest.fixture
def washed():
    """A visit in which a piece of hers was washed, and nothing was proposed."""
    fitting, owned = visit_and_piece()
    log(fitting, "wash", {}, {"product": "Mild shampoo"}, owned_piece=owned)
    return fitting


def test_a_visit_booked_to_have_something_done_opens_at_the_services(client, stylist):
    signed = signed_off_visit(stylist=stylist)
    finish_visit(fitting=signed, by=stylist, at=now(), next_visit_on=None, none_chosen_because="Another day")
    booked = AppointmentFactory(client=signed.client, kind=ServiceKindFactory(purpose="wash"))
    visit = begin_visit(client=signed.client, stylist=stylist, at=now(), appointment=booked)
    assert client.get(visit.get_absolute_url()).url == reverse("services", args=[visit.reference])


def test_a_visit_of_care_is_finished_on_its_services_without_a_choice(client, stylist, washed):
    services = reverse("services", args=[washed.reference])
    assert client.get(washed.get_absolute_url()).url == services
    assert "Finish the visit" in client.get(services).content.decode()
    assert f"{services}#finish" in client.get(reverse("decision", args=[washed.reference])).content.decode()
    assert client.post(reverse("visit-finish", args=[washed.reference]), {"next_visit_on": ""}).url == services
    washed.refresh_from_db()
    assert washed.is_finished
    assert client.get(washed.get_absolute_url()).url == services
    assert "Finish the visit" not in client.get(services).content.decode()


def test_a_wrong_day_of_the_next_visit_is_said_where_the_visit_of_care_is_finished(client, stylist, washed):
    response = client.post(
        reverse("visit-finish", args=[washed.reference]), {"next_visit_on": "2001-01-01"}, follow=True
    )
    assert response.redirect_chain[-1][0] == reverse("services", args=[washed.reference])
    assert "choose a day to come" in response.content.decode()


def test_a_visit_begun_on_a_piece_takes_todays_booking_and_leads_back_to_the_piece(client, stylist):
    fitting, owned = visit_and_piece()
    finish_visit(fitting=fitting, by=stylist, at=now(), next_visit_on=None, none_chosen_because="Another day")
    booked = AppointmentFactory(
        client=owned.client, kind=ServiceKindFactory(purpose="check-up"), starts_at=today_at(12), ends_at=today_at(13)
    )
    address, asked = reverse("visit-begin", args=[owned.client.reference]), {"piece": owned.reference}
    assert f'name="piece" value="{owned.reference}"' in client.get(owned.get_absolute_url()).content.decode()
    assert client.post(address, asked).url == f"{owned.get_absolute_url()}#services"
    begun = Fitting.objects.open().get()
    assert (begun.appointment, begun.assessment) == (booked, fitting.assessment)
    assert client.post(address, asked).url == f"{owned.get_absolute_url()}#services"


def test_a_visit_begun_on_a_piece_without_a_booking_goes_on_at_the_services(client, stylist):
    fitting, owned = visit_and_piece()
    finish_visit(fitting=fitting, by=stylist, at=now(), next_visit_on=None, none_chosen_because="Another day")
    client.post(reverse("visit-begin", args=[owned.client.reference]), {"piece": owned.reference})
    begun = Fitting.objects.open().get()
    assert client.get(begun.get_absolute_url()).url == reverse("services", args=[begun.reference])


# The list


def test_the_next_client_of_the_day_comes_first(client, stylist):
    late = AppointmentFactory(stylist=stylist, starts_at=today_at(16), client__given_name="Berta")
    AppointmentFactory(stylist=stylist, starts_at=today_at(9), client__given_name="Ada")
    AppointmentFactory(starts_at=today_at(8), client__given_name="Dora")  # with somebody else
    AppointmentFactory(stylist=stylist, starts_at=today_at(9) + timedelta(days=1), client__given_name="Clara")
    AppointmentFactory(stylist=stylist, starts_at=today_at(7), state="done", client__given_name="Edda")
    page = client.get(reverse("fittings"))
    assert page.context["next_client"].client.given_name == "Ada"
    assert page.context["later"] == [late]


def test_an_appointment_whose_visit_has_begun_is_no_longer_next(client, stylist):
    her = ClientFactory(record_consent=True)
    appointment = AppointmentFactory(client=her, stylist=stylist, starts_at=today_at(10))
    begin_visit(client=her, stylist=stylist, at=now(), appointment=appointment)
    page = client.get(reverse("fittings"))
    assert page.context["next_client"] is None
    assert [visit.client for visit in page.context["open_visits"]] == [her]


def test_an_empty_page_says_what_to_do_first(client, stylist):
    assert "For a walk-in, find her under" in client.get(reverse("fittings")).content.decode()


@pytest.mark.parametrize("name", ["products", "rules", "repaintings"])
def test_what_lies_beside_the_visits_is_one_press_away(client, stylist, name):
    client.force_login(stylist)
    assert f'href="{reverse(name)}"' in client.get(reverse("fittings")).content.decode()
    assert client.get(reverse(name)).status_code == 200


def test_other_clients_names_are_hidden_while_the_screen_is_turned(client, visit):
    html = client.get(reverse("fittings")).content.decode()
    assert html.index('<div class="salon-only">') < html.index("Ada Fenwick")


def test_the_list_takes_the_same_queries_for_two_visits_as_for_six(client, stylist, queries_for):
    talk = ServiceKindFactory(name="Talk", minutes=10, clean_up_minutes=0)
    moments = iter(today_at(6) + timedelta(minutes=10 * n) for n in range(6))

    def finished_visits(number):
        for _ in range(number):
            visit = begin_visit(client=ClientFactory(record_consent=True), stylist=stylist, at=now())
            finish_visit(fitting=visit, by=stylist, at=now(), next_visit_on=None, none_chosen_because="left")
            begin_visit(client=ClientFactory(record_consent=True), stylist=stylist, at=now())
            AppointmentFactory(stylist=stylist, starts_at=next(moments), kind=talk)

    finished_visits(2)
    few = queries_for(reverse("fittings"))
    finished_visits(4)
    assert queries_for(reverse("fittings")) == few


def test_finished_visits_come_in_pages_newest_first(client, stylist):
    for day in range(22):
        visit = begin_visit(client=ClientFactory(record_consent=True), stylist=stylist, at=now() - timedelta(days=30))
        at = now() - timedelta(days=22 - day)
        finish_visit(fitting=visit, by=stylist, at=at, next_visit_on=None, none_chosen_because="left")
    page = client.get(reverse("fittings"))
    assert page.context["finished"].object_list[0] == visit
    assert len(page.context["finished"].object_list) == 20
    assert len(client.get(reverse("fittings"), {"page": "2"}).context["finished"].object_list) == 2
    assert client.get(reverse("fittings"), {"page": "nonsense"}).status_code == 200
