"""What she wrote before the visit, beside the story, and how one press takes it over."""

import pytest
from django.contrib.messages import get_messages
from django.urls import reverse
from django.utils.timezone import now

from clients.consenting import withdraw_consent
from clients.intaking import Answers, send_intake
from clients.models import Intake
from tests.clients.intake_scene import TOLD, link_of
from tests.factories import ClientFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def intake(visit):
    return send_intake(link=link_of(visit.client)[0], answers=TOLD, agrees={}, at=now())


@pytest.fixture
def take_over(client, visit):
    return lambda **post: client.post(reverse("intake-take-over", args=[visit.reference]), post)


def said(response):
    return [str(message) for message in get_messages(response.wsgi_request)]


def test_it_stands_above_the_story_until_it_is_taken(step, intake, take_over, visit):
    page = step("story").content.decode()
    for words in ("She wrote before the visit", TOLD.story, TOLD.medicines, TOLD.wishes, "Take into the story"):
        assert words in page
    response = take_over(intake=intake.pk)
    assert response.url == reverse("consult-story", args=[visit.reference])
    assert said(response) == ["Her answers are in the story and the wishes. Go through them with her."]
    page = step("story").content.decode()
    assert "She wrote before the visit, taken over" in page
    assert "Take into the story" not in page
    assert f"{TOLD.story}\n" in page.partition("<textarea")[2].replace("\r", "")


def test_what_stays_out_is_named(step, intake, take_over):
    step("story", {"story": "It runs in the family."})
    assert said(take_over(intake=intake.pk))[1] == "Left as it was, for something is written there already: her story."
    assert "It runs in the family." in step("story").content.decode()


def test_a_step_open_in_another_tab_is_not_overwritten_by_it(step, intake, take_over, visit):
    visit.assessment.refresh_from_db()
    revision = visit.assessment.revision
    take_over(intake=intake.pk)
    assert step("story", {"story": "Typed meanwhile"}, revision=revision).status_code == 409


@pytest.mark.parametrize("asked", ["", "0", "x", "²", "9" * 30, "1.5", "\x00"])
def test_no_such_answers_is_a_sentence(take_over, visit, asked):
    assert said(take_over(intake=asked)) == ["There are no such answers of hers to take over."]


def test_answers_of_somebody_else_are_not_there(take_over):
    other = ClientFactory(record_consent=True)
    intake = send_intake(link=link_of(other)[0], answers=TOLD, agrees={}, at=now())
    assert said(take_over(intake=intake.pk)) == ["There are no such answers of hers to take over."]
    assert not Intake.objects.filter(taken_over_at__isnull=False).exists()


def test_a_second_press_is_a_sentence(take_over, intake):
    take_over(intake=intake.pk)
    assert "has taken these answers over already" in said(take_over(intake=intake.pk))[-1]


def test_without_her_consent_nothing_is_taken(take_over, intake, visit):
    withdraw_consent(consent=visit.client.consents.get(), by=visit.stylist, at=now())
    assert "has not agreed" in said(take_over(intake=intake.pk))[-1]


def test_an_intake_without_answers_is_not_shown(step, visit):
    send_intake(link=link_of(visit.client)[0], answers=Answers(), agrees={}, at=now())
    assert "She wrote before the visit" not in step("story").content.decode()
