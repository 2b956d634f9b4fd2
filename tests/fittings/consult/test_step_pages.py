"""The steps as pages: saved whole or not at all, by button and by themselves, and nothing typed is lost."""

import re

import pytest
from django.urls import reverse
from django.utils.timezone import now

from clients.assessing import begin_assessment, save_story, save_tapes, save_wishes, set_sensitivities, sign_off
from clients.consenting import withdraw_consent
from clients.models import AccessEntry
from salon.models import Salon
from tests.factories import DeskFactory, OwnerFactory

pytestmark = pytest.mark.django_db

STEPS = ("story", "tapes", "map", "own-hair", "wishes")


def hidden(response, name):
    """The value of a hidden field of the page."""
    return re.search(f'name="{name}" value="([^"]*)"', response.content.decode())[1]


@pytest.mark.parametrize("key", [*STEPS, "sign-off"])
def test_every_step_has_a_page_that_says_whose_it_is(step, visit, key):
    page = step(key)
    assert page.status_code == 200
    assert "Ada Fenwick" in page.content.decode()
    assert "no-store" in page["Cache-Control"]
    assert AccessEntry.objects.filter(client=visit.client).exists()


def test_a_step_that_saves_itself_is_looked_at_once(step, visit):
    step("story")
    step("story", {"story": "More"}, by_itself=True)
    assert AccessEntry.objects.filter(client=visit.client).count() == 1


@pytest.mark.parametrize("key", [*STEPS, "sign-off"])
def test_the_desk_may_not_see_them(client, visit, key):
    client.force_login(DeskFactory())
    assert client.get(reverse(f"consult-{key}", args=[visit.reference])).status_code == 403


def test_the_pages_take_the_same_queries_however_much_is_written(client, visit, step, queries_for):
    address = reverse("consult-story", args=[visit.reference])
    few = queries_for(address)
    step("story", {"story": "Much", "reactions": ["latex", "nickel"], "referral_signs": ["sudden", "patchy"]})
    assert queries_for(address) == few


def test_the_story_is_stored_and_what_is_empty_stays_unknown(step, visit):
    response = step(
        "story",
        {
            "story": "Since the winter, more in the comb.",
            "referral_signs": ["sudden", "pain"],
            "reactions": ["latex"],
            "scalp_condition": "sound",
        },
    )
    assert response.status_code == 302
    assert response.url == reverse("consult-story", args=[visit.reference])
    kept = visit.assessment
    kept.refresh_from_db()
    assert (kept.story, kept.referral_signs) == ("Since the winter, more in the comb.", ["sudden", "pain"])
    assert (kept.chemotherapy, kept.traction_signs, kept.referral_signs_asked) == ("", "", False)
    assert [told.substance for told in visit.client.sensitivities.all()] == ["latex"]


def test_go_on_leads_to_the_next_step(step, visit):
    for key, following in zip(STEPS, (*STEPS[1:], "sign-off"), strict=True):
        typed = {"density_hex": visit.assessment.density_hex} if key == "map" else {}
        assert step(key, {**typed, "go": "next"}).url == reverse(f"consult-{following}", args=[visit.reference])


def test_a_step_that_saves_itself_hears_when_it_was_saved(step, visit):
    said = step("tapes", {"circumference_mm": "55,9", "front_to_nape_mm": '14"'}, by_itself=True)
    answer = said.json()
    assert answer["outcome"] == "saved"
    assert re.fullmatch(r"\d\d:\d\d", answer["saved_at"])
    assert answer["revision"] == 1
    assert "Assumed, an average head's" in answer["beside"]
    assert "ear to ear over the top" in answer["beside"]
    visit.assessment.refresh_from_db()
    assert [float(visit.assessment.circumference_mm), float(visit.assessment.front_to_nape_mm)] == [559.0, 355.6]


def test_one_wrong_field_and_nothing_of_the_post_is_stored_nor_lost(step, visit):
    typed = {"wishes": "To the shoulders", "budget_minor": "a lot", "wants_fringe": "yes"}
    page = step("wishes", typed)
    assert page.status_code == 422
    html = page.content.decode()
    assert "“a lot” is not an amount in GBP" in html
    assert "To the shoulders" in html
    assert 'value="a lot"' in html
    visit.assessment.refresh_from_db()
    assert (visit.assessment.wishes, visit.assessment.wants_fringe, visit.assessment.revision) == ("", "", 0)
    said = step("wishes", typed, by_itself=True)
    assert said.json()["outcome"] == "refused"
    assert list(said.json()["errors"]) == ["div_id_budget_minor"]


def test_impossible_tapes_are_refused_beside_the_one_to_take_again_in_the_readers_units(step, visit):
    Salon.objects.update_or_create(pk=Salon.objects.default().pk, defaults={"units": "imperial"})
    typed = {"circumference_mm": "22", "front_to_nape_mm": "14", "ear_to_ear_mm": "9"}
    sentences = step("tapes", typed, by_itself=True).json()["errors"]["div_id_ear_to_ear_mm"]
    assert "take it again" in sentences[0]
    assert "in would go with them" in sentences[0]
    assert " mm" not in sentences[0]


def test_doubtful_tapes_are_warned_about_and_kept(step, visit):
    said = step(
        "tapes", {"circumference_mm": "64 cm", "front_to_nape_mm": "40 cm", "ear_to_ear_mm": "39"}, by_itself=True
    )
    assert said.json()["outcome"] == "saved"
    assert "Doubtful:" in said.json()["beside"]
    assert "keep it if it reads the same" in said.json()["beside"]
    visit.assessment.refresh_from_db()
    assert visit.assessment.circumference_mm == 640


def test_a_tape_shown_in_inches_is_not_moved_by_saving_another(step, visit, stylist):
    stylist.units = "imperial"
    stylist.save()
    save_tapes(assessment=visit.assessment, revision=0, by=stylist, circumference_mm=557.3)
    assert 'value="22 in"' in step("tapes").content.decode()
    step("tapes", {"circumference_mm": "22 in", "ear_to_ear_mm": "13 1/2"})
    visit.assessment.refresh_from_db()
    assert [float(visit.assessment.circumference_mm), float(visit.assessment.ear_to_ear_mm)] == [557.3, 342.9]


# Two tabs


def test_a_save_elsewhere_in_the_assessment_is_no_conflict(step, visit, stylist):
    base = hidden(step("wishes"), "base")
    save_story(assessment=visit.assessment, revision=0, by=stylist, story="Told meanwhile")
    assert step("wishes", {"wishes": "Short"}, revision=0, base=base).status_code == 302
    visit.assessment.refresh_from_db()
    assert (visit.assessment.story, visit.assessment.wishes) == ("Told meanwhile", "Short")


def test_the_same_step_saved_twice_shows_both_and_overwrites_neither(step, visit, stylist):
    base = hidden(step("wishes"), "base")
    save_wishes(assessment=visit.assessment, revision=0, by=stylist, wishes="Long", parting="left")
    typed = {"wishes": "Short", "parting": ""}
    page = step("wishes", typed, revision=0, base=base)
    assert page.status_code == 409
    html = page.content.decode()
    assert "saved meanwhile" in html
    assert "Keep what is typed here" in html
    assert "Use what is saved" in html
    assert re.search(r"In her own words</th>\s*<td>Short</td>\s*<td>Long</td>", html)
    assert re.search(r"Parting</th>\s*<td>Not asked</td>\s*<td>Left</td>", html)
    assert ">\nShort</textarea>" in html
    visit.assessment.refresh_from_db()
    assert visit.assessment.wishes == "Long"
    # without a script the page's own button now keeps what was typed, knowingly
    again = step("wishes", typed, revision=hidden(page, "revision"), base=hidden(page, "base"))
    assert again.status_code == 302
    visit.assessment.refresh_from_db()
    assert (visit.assessment.wishes, visit.assessment.parting) == ("Short", "")


def test_a_step_that_saves_itself_gets_both_versions(step, visit, stylist):
    save_wishes(assessment=visit.assessment, revision=0, by=stylist, wishes="Long")
    said = step("wishes", {"wishes": "Short"}, by_itself=True, revision=0, base="0000")
    assert (said.json()["outcome"], said.json()["revision"]) == ("versions", 1)
    assert 'data-keep="typed"' in said.json()["versions"]


def test_the_same_words_saved_twice_are_no_conflict(step, visit, stylist):
    save_wishes(assessment=visit.assessment, revision=0, by=stylist, wishes="Short")
    assert step("wishes", {"wishes": "Short"}, revision=0, base="0000").status_code == 302


# Refused by the deed


@pytest.mark.parametrize("key", STEPS)
def test_a_signed_assessment_can_not_be_changed_through_its_address(step, visit, stylist, key):
    signed = sign_off(assessment=visit.assessment, by=stylist, at=now())
    page = step(key)
    assert (page.status_code, page.url) == (302, reverse("assessment", args=[signed.reference]))
    typed = {
        "story": {"story": "More"},
        "tapes": {"circumference_mm": "56"},
        "map": {"density_hex": "32" * 4096},
        "own-hair": {"thickness": "fine", "mid_l": "20", "mid_a": "1", "mid_b": "1"},
        "wishes": {"wishes": "More"},
    }[key]
    refused = step(key, typed)
    assert refused.status_code == 422
    assert "was signed off on" in refused.content.decode()
    assert "was signed off on" in step(key, typed, by_itself=True).json()["errors"][""][0]
    before = signed.saved_at
    signed.refresh_from_db()
    assert signed.saved_at == before
    assert not signed.readings.exists()


def test_without_her_consent_a_save_is_refused_in_words(step, visit, stylist):
    withdraw_consent(consent=visit.client.consents.get(), by=stylist, at=now())
    page = step("story", {"story": "Words that stay on the page"})
    assert "Ask for that consent first" in page.content.decode()
    assert "Words that stay on the page" in page.content.decode()


def test_a_last_dose_to_come_is_refused(step):
    page = step("story", {"chemotherapy": "finished", "chemotherapy_ended_on": "2999-01-01"})
    assert "still to come" in page.content.decode()


def test_an_older_reaction_that_is_unticked_stays_and_says_since_when(step, visit, stylist):
    set_sensitivities(client=visit.client, substances=["latex"], by=stylist, on=now().date().replace(year=2024, day=3))
    assert "On file: Latex (3 " in step("story").content.decode()
    refused = step("story", {"reactions": []}, by_itself=True)
    assert "stays there" in refused.json()["errors"]["div_id_reactions"][0]


def test_what_is_asked_anew_shows_the_last_answer_beside_it(step, visit, stylist):
    draft = save_story(
        assessment=visit.assessment, revision=0, by=stylist, scalp_condition="inflamed", referral_signs=["itch"]
    )
    sign_off(assessment=draft, by=stylist, at=now().replace(year=2024, month=5, day=3, hour=12))
    visit.assessment = begin_assessment(client=visit.client, stylist=stylist, at=now())
    visit.save()
    html = step("story").content.decode()
    assert "On 3 May 2024: Red or sore." in html
    assert "On 3 May 2024: Heavy itching." in html
    assert not re.search(r'value="inflamed"[^>]*checked', html)


@pytest.mark.parametrize("key", STEPS)
@pytest.mark.parametrize(
    "junk", ["", "\x00", "−1", "9" * 5000, "<script>", "NaN", "1e309", "２２", "' OR 1=1", "🦔" * 50, "\ud7ff", "in"]
)
def test_nonsense_in_every_field_gets_sentences_and_is_not_half_stored(step, visit, key, junk):
    form = step(key).context["form"]
    typed = dict.fromkeys(form.fields, junk)
    for by_itself in (False, True):
        response = step(key, typed, by_itself=by_itself)
        assert response.status_code in (302, 200, 409, 422), response.status_code
    before = visit.assessment.revision
    visit.assessment.refresh_from_db()
    if response.json()["outcome"] == "refused":
        assert visit.assessment.revision == before
        assert all(sentence for sentences in response.json()["errors"].values() for sentence in sentences)


def test_an_owner_may_examine_too(client, visit):
    client.force_login(OwnerFactory())
    assert client.get(reverse("consult-story", args=[visit.reference])).status_code == 200
