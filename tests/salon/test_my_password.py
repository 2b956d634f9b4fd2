"""Changing one's own password, the first of which an owner chose."""

from html import unescape

import pytest
from django.urls import reverse

from salon.making_users import make_user
from tests.factories import OwnerFactory

pytestmark = pytest.mark.django_db

FIRST, NEW = "lantern-and-thimble", "copper-thimble-58"


@pytest.fixture
def imke(client):
    person = make_user(username="imke", role="Stylist", password=FIRST, by=OwnerFactory())
    client.force_login(person)
    return person


def answers(**changed):
    return {"old_password": FIRST, "new_password1": NEW, "new_password2": NEW} | changed


def test_she_stays_signed_in_where_she_changed_it_and_signs_in_by_the_new_one(imke, client):
    page = client.post(reverse("my-password"), answers(), follow=True)
    assert "Your password is changed." in page.content.decode()
    client.logout()
    assert client.post(reverse("sign-in"), {"username": "imke", "password": FIRST}).status_code == 200
    assert client.post(reverse("sign-in"), {"username": "imke", "password": NEW}).status_code == 302
    change = imke.access_changes.first()
    assert (change.what, change.by) == ("password", imke)


@pytest.mark.parametrize(
    ("changed", "field", "sentence"),
    [
        ({"old_password": "wrong"}, "old_password", "Your old password was entered incorrectly."),
        ({"new_password2": "other"}, "new_password2", "The two password fields didn’t match."),
        ({"new_password1": "short", "new_password2": "short"}, "new_password2", "This password is too short."),
    ],
)
def test_what_will_not_do_is_refused_beside_its_field(imke, client, changed, field, sentence):
    response = client.post(reverse("my-password"), answers(**changed))
    assert response.context["form"].errors[field][0].startswith(sentence)
    assert sentence in unescape(response.content.decode())
    imke.refresh_from_db()
    assert imke.check_password(FIRST)
