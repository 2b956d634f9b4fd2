"""The pages on which the owner lets people in, gives them roles and kinds of visit, and ends their access."""

from html import unescape

import pytest
from django.urls import reverse

from salon.models import User
from tests.factories import OwnerFactory, StylistFactory
from tests.fittings.factories import AppointmentFactory, ServiceKindFactory

pytestmark = pytest.mark.django_db

PASSWORD = "lantern-and-thimble"
NEW = {"first_name": "Noor", "last_name": "Selwicke", "role": "Stylist", "username": "noor", "password": PASSWORD}


@pytest.fixture
def imke():
    return StylistFactory(first_name="Imke", last_name="Valcourt")


def text_of(response):
    return " ".join(unescape(response.content.decode()).split())


def test_somebody_new_signs_in_by_her_first_password(owner, odile, client):
    page = text_of(owner.post(reverse("person-new"), NEW, follow=True))
    assert "Noor Selwicke can sign in as noor." in page
    assert "Let in: Stylist, by Odile Brackwater" in page
    assert client.post(reverse("sign-in"), {"username": "noor", "password": PASSWORD}).status_code == 302


@pytest.mark.parametrize(
    ("changed", "field", "sentence"),
    [
        ({"password": "short"}, "password", "This password is too short. It must contain at least 10 characters."),
        ({"role": "Queen"}, "role", "Select a valid choice. Queen is not one of the available choices."),
        ({"username": "IMKE 1"}, "username", "Enter a valid username."),
    ],
)
def test_what_will_not_do_is_refused_beside_its_field_and_a_password_is_never_shown_again(
    owner, changed, field, sentence
):
    response = owner.post(reverse("person-new"), NEW | changed)
    errors = response.context["form"].errors
    assert list(errors) == [field]
    assert errors[field][0].startswith(sentence)
    assert PASSWORD not in text_of(response)
    assert not User.objects.filter(username="noor").exists()


@pytest.mark.parametrize("username", ["imke", "IMKE"])
def test_a_name_to_sign_in_with_is_given_once_whatever_its_case(owner, username):
    StylistFactory(username="Imke")
    response = owner.post(reverse("person-new"), NEW | {"username": username})
    assert response.context["form"].errors["username"] == ["Somebody signs in by “Imke” already; choose another name."]


def test_a_refused_password_leaves_the_name_beside_it_free_to_be_saved(owner, imke):
    page = owner.post(reverse("person-password", args=[imke.pk]), {"password": ""})
    assert f'action="{reverse("person", args=[imke.pk])}"' in page.content.decode()


def test_a_role_is_changed(owner, imke):
    answers = {"first_name": "Imke", "last_name": "Valcourt", "role": "Front desk"}
    owner.post(reverse("person", args=[imke.pk]), answers)
    assert imke.groups.get().name == "Front desk"
    assert "Role changed: Front desk, by Odile Brackwater" in text_of(owner.get(reverse("person", args=[imke.pk])))


def test_her_own_role_and_access_are_out_of_an_owners_reach(owner, odile):
    OwnerFactory()
    answers = {"first_name": "Odile", "last_name": "Brackwater", "role": "Front desk"}
    page = text_of(owner.post(reverse("person", args=[odile.pk]), answers))
    assert "Your own role is changed by another owner, so that nobody shuts herself out." in page
    assert "End her access" not in page
    page = text_of(owner.post(reverse("person-access", args=[odile.pk]), {"access": "end"}, follow=True))
    assert "Your own access is ended by another owner" in page
    odile.refresh_from_db()
    assert odile.is_active


def test_access_is_ended_and_given_back_and_her_visits_are_shown(owner, imke):
    visit = AppointmentFactory(stylist=imke)
    address = reverse("person-access", args=[imke.pk])
    page = text_of(owner.post(address, {"access": "end"}, follow=True))
    assert "Still booked with her: 1" in page
    assert reverse("appointment-move", args=[visit.reference]) in page
    assert "can sign in no more" in text_of(owner.get(reverse("people")))
    page = text_of(owner.post(address, {"access": "give back"}, follow=True))
    assert "Imke Valcourt can sign in again" in page
    assert "Still booked with her" not in page


def test_an_answer_to_access_that_is_none_changes_nothing(owner, imke):
    page = text_of(owner.post(reverse("person-access", args=[imke.pk]), {"access": "maybe"}, follow=True))
    assert "Choose whether her access ends or is given back." in page
    assert User.objects.get(pk=imke.pk).is_active


def test_a_new_password_for_oneself_keeps_this_page_signed_in(owner, odile):
    page = text_of(owner.post(reverse("person-password", args=[odile.pk]), {"password": PASSWORD}, follow=True))
    assert "signs in by the new password from now on" in page


def test_a_password_that_will_not_do_is_refused_on_her_page(owner, imke):
    response = owner.post(reverse("person-password", args=[imke.pk]), {"password": "0123456789"})
    assert response.context["password_form"].errors == {"password": ["This password is too common."]}


def test_what_she_does_is_ticked_and_said_in_the_list(owner, imke):
    StylistFactory()
    consult, wash = ServiceKindFactory(), ServiceKindFactory(name="Wash")
    page = owner.get(reverse("person", args=[imke.pk]))
    assert page.context["kinds_form"]["kinds"].value() == [consult.pk, wash.pk]
    page = text_of(owner.post(reverse("person-kinds", args=[imke.pk]), {"kinds": [wash.pk]}, follow=True))
    assert "Changed: Consult." in page
    assert "Does Wash." in text_of(owner.get(reverse("people")))


def test_the_only_one_who_does_a_kind_keeps_it_with_the_reason_beside_it(owner, imke):
    consult = ServiceKindFactory()
    consult.done_by.set([imke])
    response = owner.post(reverse("person-kinds", args=[imke.pk]), {})
    assert response.context["kinds_form"].errors == {
        "kinds": ["Nobody else does “Consult”. Let somebody else do it first, or offer it no longer."]
    }


def test_a_person_at_the_desk_has_no_kinds_and_no_hours_of_visits(owner):
    owner.post(reverse("person-new"), NEW | {"role": "Front desk"})
    wilma = User.objects.get(username="noor")
    page = text_of(owner.get(reverse("person", args=[wilma.pk])))
    assert "Change her hours" not in page
    assert owner.post(reverse("person-kinds", args=[wilma.pk]), {}).status_code == 404
