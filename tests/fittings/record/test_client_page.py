"""The client's page: what each role sees of her, what can be begun, and that looking leaves a trace."""

from datetime import date, timedelta
from html import unescape

import pytest
from django.urls import reverse
from django.utils.timezone import now

from clients.consenting import withdraw_consent
from clients.models import AccessEntry, Assessment, Consent, Sensitivity
from clients.registering import change_client
from clients.scalp.head import Head
from clients.scalp.regions import ZONES, loss_map_from_zones
from fittings.models import Fitting
from fittings.record.health import loss_in_words
from fittings.timeline.line import PAGE_LENGTH
from salon.models import Units
from tests.factories import ClientFactory, ConsentFactory, DeskFactory, OwnerFactory, SkinTestFactory, StylistFactory
from tests.fittings.factories import AppointmentFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def stylist():
    return StylistFactory(last_name="Valcourt")


@pytest.fixture
def her():
    return ClientFactory(
        given_name="Zoë-Marie",
        family_name="Quill",
        preferred_name="Zoë",
        phone="07700 900123",
        private_note="Her sister drives her.",
        record_consent=True,
    )


def page_of(her):
    return reverse("client", args=[her.reference])


@pytest.fixture
def seen_by(client, her):
    """Her page as somebody sees it, spaces evened out."""

    def page(user, **query):
        client.force_login(user)
        return " ".join(unescape(client.get(page_of(her), query).content.decode()).split())

    return page


def assessed(her, stylist, **facts):
    percents = {zone.key: 100 for zone in ZONES} | {"crown": 10, "mid-scalp": 45, "front": 50}
    return Assessment.objects.create(
        **{
            "client": her,
            "stylist": stylist,
            "state": "signed off",
            "signed_at": now(),
            "signed_by": stylist,
            "density_hex": loss_map_from_zones(percents).to_hex(),
            "map_painted": True,
            "own_hair_length_mm": 210,
            "curl_pattern": "wavy",
            "reactions_asked": True,
        }
        | facts
    )


def test_she_is_named_and_can_be_reached(her, seen_by):
    page = seen_by(DeskFactory())
    assert "<h1>Zoë-Marie Quill</h1>" in page
    assert "Likes to be called <strong>Zoë</strong>" in page
    assert "07700 900123" in page
    assert f'href="{reverse("appointment-new")}?client={her.reference}"' in page
    assert "No appointment to come." in page


def test_the_private_note_is_marked_as_the_salon_s_alone(her, seen_by):
    page = seen_by(DeskFactory())
    assert page.count("Her sister drives her.") == 1
    section = page[: page.index("Her sister drives her.")].rpartition("<section")[2]
    assert section.startswith(' class="card salon-only"')


def test_the_next_appointment_is_the_first_that_still_stands(her, seen_by, stylist):
    soon, later = now() + timedelta(days=2), now() + timedelta(days=9)
    AppointmentFactory(client=her, stylist=stylist, starts_at=later)
    AppointmentFactory(client=her, stylist=stylist, starts_at=soon, state="cancelled")
    assert f"with {stylist}" in seen_by(DeskFactory()).partition("Next:")[2]
    assert f"{later:%A} {later.day}" in seen_by(DeskFactory()).partition("Next:")[2][:300]


def test_the_stylist_begins_a_visit_for_today_s_appointment(her, seen_by, stylist):
    appointment = AppointmentFactory(client=her, stylist=stylist, starts_at=now(), state="arrived")
    page = seen_by(stylist)
    assert f'action="{reverse("visit-begin", args=[her.reference])}"' in page
    assert f'<input type="hidden" name="appointment" value="{appointment.reference}">' in page
    assert "Begin a visit" not in seen_by(DeskFactory())


def test_an_open_visit_is_gone_on_with(her, seen_by, stylist):
    visit = Fitting.objects.create(client=her, stylist=stylist, began_at=now())
    page = seen_by(stylist)
    assert f'href="{visit.get_absolute_url()}">Go on with the visit' in page
    assert "Begin a visit" not in page


def test_before_she_agrees_the_page_leads_to_her_consent(her, seen_by, stylist):
    withdraw_consent(consent=Consent.objects.get(), by=stylist, at=now())
    for user in (DeskFactory(), stylist):
        page = seen_by(user)
        assert "First, her consent" in page
        assert page.index("Ask for her consent") < page.index("Contact")
        assert "Begin a visit" not in page
    ConsentFactory(client=her)
    assert "First, her consent" not in seen_by(stylist)


def test_a_client_under_age_is_marked(client, stylist):
    child = ClientFactory(born_on=date(now().year - 12, 1, 1), guardian_name="Maud Wren")
    client.force_login(stylist)
    page = client.get(page_of(child)).content.decode()
    assert "12 years old: her guardian signs" in page
    assert "Maud Wren" in page


def test_health_is_told_in_words_to_those_who_may_see_it(her, seen_by, stylist):
    assessed(her, stylist)
    Sensitivity.objects.create(
        client=her, substance="nickel", reaction="itching", told_on=date(2025, 3, 3), recorded_by=stylist
    )
    SkinTestFactory(client=her, by=stylist)
    page = seen_by(stylist)
    assert "<div>No hair: crown</div> <div>Half left: front, mid-scalp</div>" in page
    assert "Wavy, 21.0 cm long" in page
    assert "<strong>Nickel</strong>: itching" in page
    assert "Soft tape no. 3: not read yet" in page
    assert "<title>Remaining hair, seen from above</title>" in page


def test_the_desk_sees_the_same_page_without_health(her, seen_by, stylist):
    assessed(her, stylist)
    Sensitivity.objects.create(client=her, substance="nickel", told_on=date(2025, 3, 3), recorded_by=stylist)
    SkinTestFactory(client=her, by=stylist)
    page = seen_by(DeskFactory())
    for word in ("Hair, scalp and skin", "Nickel", "Soft tape", "Assessment", "Skin test", "SALT", "<svg"):
        assert word not in page
    assert "What has happened" in page


def test_what_was_not_asked_is_not_said_to_be_nothing(her, seen_by, stylist):
    assert "not asked yet" in seen_by(stylist)
    assessed(her, stylist)
    assert "nothing she knows of" in seen_by(stylist)


def test_a_full_head_of_hair_is_told_so(her, stylist):
    words = loss_in_words(assessed(her, stylist, density_hex="64" * 4096, circumference_mm=560))
    assert (words.zones, words.lost_percent) == ({}, 0)
    assert set(words.assumed) == set(Head.from_tapes(circumference_mm=560).assumed)


def test_a_draft_is_not_told_as_what_is_known(her, seen_by, stylist):
    Assessment.objects.create(client=her, stylist=stylist, scalp_condition="inflamed")
    page = seen_by(stylist)
    assert "Nothing is signed off yet" in page


def test_every_look_at_health_is_recorded_and_shown_to_the_owner(her, seen_by, stylist):
    seen_by(DeskFactory())
    assert not AccessEntry.objects.exists()
    seen_by(stylist)
    entry = AccessEntry.objects.get()
    assert (entry.client, entry.user, entry.page) == (her, stylist, "client's page")
    assert "Who looked at her health facts" not in seen_by(stylist)
    page = seen_by(OwnerFactory())
    assert f"{stylist}, client's page" in page
    assert reverse("client-looks", args=[her.reference]) in page


def test_the_line_is_paged_by_a_swap_that_brings_the_rows_alone(her, client, stylist):
    for number in range(PAGE_LENGTH + 3):
        AppointmentFactory(client=her, stylist=stylist, starts_at=now() - timedelta(days=number), state="cancelled")
    client.force_login(stylist)
    first = client.get(page_of(her))
    older = first.context["line"].older
    swap = client.get(page_of(her), {"before": older}, headers={"HX-Request": "true"}).content.decode()
    assert swap.lstrip().startswith('<div id="history">')
    assert swap.count("<summary>") == 5  # her registration, her consent and 23 appointments make 25
    whole = client.get(page_of(her), {"before": older}).content.decode()
    assert "<h1>Zoë-Marie Quill</h1>" in whole
    assert whole.count("<summary>") == 5 + 1  # and that of who is signed in


@pytest.mark.parametrize("before", ["", "yesterday", "1-2-3-4"])
def test_a_mangled_address_is_no_page(her, client, stylist, before):
    client.force_login(stylist)
    assert client.get(page_of(her), {"before": before}).status_code == 404


def test_lengths_are_in_the_reader_s_own_units(her, seen_by, stylist):
    assessed(her, stylist, circumference_mm=559)
    stylist.units = Units.IMPERIAL
    stylist.save()
    assert "round the hairline 22 in" in seen_by(stylist)


@pytest.mark.parametrize("role", [DeskFactory, StylistFactory, OwnerFactory])
def test_the_page_takes_the_same_queries_however_long_her_story_is(her, client, queries_for, role):
    stylist = StylistFactory()
    client.force_login(role())
    AppointmentFactory(client=her, stylist=stylist)
    few = queries_for(page_of(her))
    for number in range(PAGE_LENGTH + 5):
        AppointmentFactory(client=her, stylist=stylist, starts_at=now() - timedelta(days=3 + number), state="done")
        change_client(client=her, by=stylist, phone=f"07700 90{number:04d}")
    for kind in ("photos", "publicity"):
        ConsentFactory(client=her, kind=kind)
    SkinTestFactory.create_batch(4, client=her, by=stylist)
    assessed(her, stylist)
    assert queries_for(page_of(her)) == few
