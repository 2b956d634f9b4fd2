"""Reading an assessment back, signing it, reading it afterwards, and examining anew."""

import re

import pytest
from django.urls import reverse
from django.utils.timezone import now

from clients.assessing import ReadingTaken, save_map, save_own_hair, save_story, save_tapes, save_wishes, sign_off
from clients.models import Assessment, ColourReading
from fittings.models import Fitting
from fittings.visiting import finish_visit
from tests.factories import DeskFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def found(visit, stylist):
    """An assessment with something in every step."""
    draft = save_story(
        assessment=visit.assessment,
        revision=0,
        by=stylist,
        story="Since the winter.",
        referral_signs=["sudden"],
        referral_signs_asked=True,
        reactions=["latex"],
        on=now().date(),
    )
    draft = save_tapes(assessment=draft, revision=1, by=stylist, circumference_mm=640)
    draft = save_map(assessment=draft, revision=2, by=stylist, density_hex="32" * 4096)
    by_eye = ReadingTaken(ColourReading.Method.BY_EYE, (26.0, 5.8, -9.6), 3.0, "", "walnut-1 (Marrowick)")
    draft = save_own_hair(
        assessment=draft, revision=3, by=stylist, own_hair_length_mm=250, grey_percent=0, readings={"root": by_eye}
    )
    return save_wishes(assessment=draft, revision=4, by=stylist, budget_minor=125000, days_per_week=7)


def words(response):
    return " ".join(re.sub(r"<[^>]+>", " ", response.content.decode()).split())


def test_everything_is_on_one_page_in_words(step, found):
    page = words(step("sign-off"))
    assert "Since the winter." in page
    assert "Came suddenly, within weeks, or falls heavily after a birth, an illness or a new medicine. Ask her" in page
    assert "Best in the next two weeks or so, with a family doctor, who can send on to a dermatologist." in page
    assert "The salon fits hair and diagnoses nothing." in " ".join(page.split())
    assert "Reacts to Latex" in page
    assert "Circumference 64.0 cm" in page
    assert "Doubtful: Circumference 64.0 cm is unusual" in page
    assert "Ear to ear over the top was not taken: 34.3 cm is assumed" in page
    assert "50 % of her scalp hair is gone: top 50 %" in page
    assert "Length 25.0 cm" in page
    assert "Grey, by eye 0 %" in page
    assert "L* 26.0, a* 5.8, b* −9.6; by eye as walnut-1 (Marrowick); give or take ΔE00 3" in page
    assert "Up to £1,250.00" in page


def test_what_nobody_asked_is_asked_there(step, found):
    page = words(step("sign-off"))
    for question in (
        "Has she had chemotherapy, or is it planned?",
        "Is the scalp sound?",
        "Does she react to dye, tape, latex, rosin or nickel?",
        "What colour is her hair at mid-length?",
        "Under which light was the ring read?",
        "Does she want a fringe?",
    ):
        assert question in page
    assert "Have you gone through the signs" not in page
    assert "How much of it is grey?" not in page


def test_signing_freezes_it_and_goes_on(client, step, visit, found, stylist):
    response = step("sign-off", {"revision": found.revision})
    assert response.url == reverse("fitting", args=[visit.reference])
    found.refresh_from_db()
    assert (found.state, found.signed_by) == ("signed off", stylist)
    assert client.get(response.url).url == reverse("candidates", args=[visit.reference])
    assert step("sign-off").url == reverse("assessment", args=[found.reference])


@pytest.mark.parametrize("revision", ["0", "", "many", "-1", "99999999999999999999"])
def test_a_page_that_is_out_of_date_signs_nothing(client, step, found, revision):
    response = step("sign-off", {}, revision=revision)
    assert response.status_code == 302
    assert "Read it again, then sign." in client.get(response.url).content.decode()
    found.refresh_from_db()
    assert found.is_draft


def test_signing_twice_is_refused_in_words(client, step, found, stylist):
    sign_off(assessment=found, by=stylist, at=now())
    response = step("sign-off", {"revision": found.revision})
    page = client.get(response.url, follow=True).content.decode()
    assert "can&#x27;t be changed" in page or "can't be changed" in page


def test_a_signed_assessment_is_read_and_says_who_and_when(client, visit, found, stylist):
    sign_off(assessment=found, by=stylist, at=now())
    page = client.get(reverse("assessment", args=[found.reference]))
    assert "Signed off by Imke Valcourt on" in words(page)
    assert "Not known" in words(page)
    assert "Change" not in words(page)
    assert "no-store" in page["Cache-Control"]


def test_the_desk_may_not_read_it(client, found):
    client.force_login(DeskFactory())
    assert client.get(reverse("assessment", args=[found.reference])).status_code == 403
    assert client.post(reverse("assessment-renew", args=[found.reference])).status_code == 403


def test_examining_anew_starts_from_it_and_replaces_it_when_signed(client, visit, found, stylist):
    sign_off(assessment=found, by=stylist, at=now())
    response = client.post(reverse("assessment-renew", args=[found.reference]))
    assert response.url == reverse("consult-story", args=[visit.reference])
    visit.refresh_from_db()
    new = visit.assessment
    assert (new.supersedes, new.circumference_mm) == (found, found.circumference_mm)
    page = client.get(reverse("consult-sign-off", args=[visit.reference]))
    assert "nothing was changed" in words(page)
    assert f"It takes the place of {found.reference}" in words(page)
    client.post(reverse("consult-sign-off", args=[visit.reference]), {"revision": new.revision})
    found.refresh_from_db()
    assert found.state == "superseded"
    page = words(client.get(reverse("assessment", args=[found.reference])))
    assert f"The newer one is {new.reference}" in page
    assert "examine anew" not in page
    assert Assessment.objects.signed_off().count() == 1


def test_examining_anew_begins_a_visit_when_none_is_open(client, visit, found, stylist):
    sign_off(assessment=found, by=stylist, at=now())
    finish_visit(fitting=visit, by=stylist, at=now(), next_visit_on=None, none_chosen_because="to think it over")
    client.post(reverse("assessment-renew", args=[found.reference]))
    assert Fitting.objects.open().get().assessment.supersedes == found


def test_the_page_takes_the_same_queries_however_much_was_found(client, visit, found, queries_for, stylist):
    address = reverse("assessment", args=[found.reference])
    many = queries_for(address)
    found.readings.all().delete()
    visit.client.sensitivities.all().delete()
    assert queries_for(address) == many
