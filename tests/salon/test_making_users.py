"""Letting people sign in with one role, and no more when they leave."""

import io

import pytest
from django.core.exceptions import ValidationError
from django.core.management import CommandError, call_command
from django.urls import reverse

from salon.making_users import end_access, make_user
from salon.models import User
from tests.factories import OwnerFactory

PASSWORD = "lantern-and-thimble"

pytestmark = pytest.mark.django_db


def test_a_user_may_do_what_her_role_may_and_no_more():
    stylist = make_user(username="imke", role="Stylist", password=PASSWORD, first_name="Imke", last_name="Valcourt")
    assert stylist.has_perm("clients.view_health")
    assert not stylist.has_perm("fittings.pass_stop")
    assert not stylist.is_superuser
    assert str(stylist) == "Imke Valcourt"


def test_a_user_signs_in_by_her_password(client):
    make_user(username="imke", role="Stylist", password=PASSWORD)
    assert client.post(reverse("sign-in"), {"username": "imke", "password": PASSWORD}).status_code == 302


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"role": "Queen"}, "“Queen” is no role here. The roles are: Front desk, Owner, Stylist."),
        ({"password": "short"}, "too short"),
        ({"password": "imke-imke-imke", "username": "imke-imke-imke"}, "too similar"),
        ({"username": "im ke"}, "valid username"),
        ({"username": ""}, "cannot be blank"),
    ],
)
def test_what_will_not_do_is_refused_with_the_reason(change, sentence):
    with pytest.raises(ValidationError) as refusal:
        make_user(**{"username": "imke", "role": "Stylist", "password": PASSWORD} | change)
    assert sentence in " ".join(refusal.value.messages)
    assert not User.objects.exists()


def test_a_name_is_given_once():
    make_user(username="imke", role="Stylist", password=PASSWORD)
    with pytest.raises(ValidationError, match="already exists"):
        make_user(username="imke", role="Owner", password=PASSWORD)


def test_somebody_who_left_is_shown_nothing_more(client):
    owner = OwnerFactory()
    client.force_login(owner)
    assert client.get(reverse("today")).status_code == 200
    end_access(user=owner)
    assert reverse("sign-in") in client.get(reverse("today")).url


def test_the_first_owner_is_made_at_a_terminal(monkeypatch, capsys):
    monkeypatch.setattr("salon.management.commands.make_user.sys.stdin.isatty", lambda: True, raising=False)
    monkeypatch.setattr("salon.management.commands.make_user.getpass", lambda prompt: PASSWORD)
    call_command("make_user", "odile", "--role", "Owner")
    assert User.objects.get().has_perm("fittings.pass_stop")
    assert capsys.readouterr().out == "odile can sign in as odile, in the role Owner.\n"


def test_two_passwords_that_differ_make_nobody(monkeypatch):
    typed = iter([PASSWORD, PASSWORD + "?"])
    monkeypatch.setattr("salon.management.commands.make_user.sys.stdin.isatty", lambda: True, raising=False)
    monkeypatch.setattr("salon.management.commands.make_user.getpass", lambda prompt: next(typed))
    with pytest.raises(CommandError, match="The two are not the same"):
        call_command("make_user", "odile", "--role", "Owner")
    assert not User.objects.exists()


def test_a_password_can_be_piped_in(monkeypatch):
    monkeypatch.setattr("sys.stdin", io.StringIO(PASSWORD + "\n"))
    call_command("make_user", "odile", "--role", "Owner")
    assert User.objects.get().check_password(PASSWORD)


def test_ending_the_access_of_nobody_says_so():
    with pytest.raises(CommandError, match="Nobody signs in as “noor”"):
        call_command("end_access", "noor")


def test_access_is_ended_by_name(capsys):
    make_user(username="noor", role="Stylist", password=PASSWORD)
    call_command("end_access", "noor")
    assert not User.objects.get().is_active
    assert "can sign in no more" in capsys.readouterr().out
