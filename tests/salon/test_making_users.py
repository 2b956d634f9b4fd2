"""Letting people sign in with one role, and no more when they leave."""

import io

import pytest
from django.core.exceptions import ValidationError
from django.core.management import CommandError, call_command
from django.urls import reverse

from salon.making_users import change_person, end_access, give_back_access, give_new_password, make_user
from salon.models import AccessChange, User
from tests.factories import OwnerFactory, StylistFactory

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
    with pytest.raises(ValidationError, match="signs in by “imke” already"):
        make_user(username="imke", role="Owner", password=PASSWORD)


def test_somebody_who_left_is_shown_nothing_more(client):
    owner, leaving = OwnerFactory(), OwnerFactory()
    client.force_login(leaving)
    assert client.get(reverse("today")).status_code == 200
    end_access(user=leaving, by=owner)
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


def test_the_only_owner_stays_also_at_the_terminal():
    make_user(username="odile", role="Owner", password=PASSWORD)
    with pytest.raises(CommandError, match="odile is the only owner who can sign in: let in another owner first"):
        call_command("end_access", "odile")
    assert User.objects.get().is_active


def test_nobody_ends_her_own_access_or_changes_her_own_role():
    owner, _ = OwnerFactory(), OwnerFactory()
    with pytest.raises(ValidationError, match="Your own access is ended by another owner"):
        end_access(user=owner, by=owner)
    with pytest.raises(ValidationError, match="Your own role is changed by another owner"):
        change_person(user=owner, first_name="Odile", last_name="B", role="Stylist", by=owner)
    owner.refresh_from_db()
    assert owner.is_active
    assert owner.last_name != "B"
    assert owner.groups.get().name == "Owner"


def test_the_only_owner_who_can_sign_in_keeps_her_role():
    owner, left = OwnerFactory(), OwnerFactory()
    end_access(user=left, by=owner)
    with pytest.raises(ValidationError, match="is the only owner who can sign in"):
        change_person(user=owner, first_name="Odile", last_name="", role="Stylist", by=left)


def test_a_role_and_a_name_are_changed_with_who_did_it():
    owner, person = OwnerFactory(), StylistFactory()
    change_person(user=person, first_name=" Imke ", last_name="Valcourt", role="Front desk", by=owner)
    person = User.objects.get(pk=person.pk)
    assert (str(person), person.groups.get().name) == ("Imke Valcourt", "Front desk")
    assert not person.has_perm("clients.view_health")
    kept = [(change.what, change.told, change.by) for change in person.access_changes.all()]
    assert kept == [("role", "Front desk", owner), ("name", "Imke Valcourt", owner)]
    change_person(user=person, first_name="Imke", last_name="Valcourt", role="Front desk", by=owner)
    assert person.access_changes.count() == 2


def test_a_new_password_ends_what_is_open_and_is_written_down_without_it(client):
    owner = OwnerFactory()
    person = make_user(username="imke", role="Stylist", password=PASSWORD, by=owner)
    client.force_login(person)
    give_new_password(user=person, password="copper-thimble-58", by=owner)
    assert reverse("sign-in") in client.get(reverse("today")).url
    assert client.post(reverse("sign-in"), {"username": "imke", "password": "copper-thimble-58"}).status_code == 302
    assert "copper" not in "".join(str(row) for row in AccessChange.objects.values_list())
    with pytest.raises(ValidationError, match="too short"):
        give_new_password(user=person, password="short", by=owner)


def test_a_new_password_lets_in_whom_wrong_ones_kept_out(client):
    person = make_user(username="imke", role="Stylist", password=PASSWORD)
    for _ in range(10):
        client.post(reverse("sign-in"), {"username": "imke", "password": "wrong"})
    assert client.post(reverse("sign-in"), {"username": "imke", "password": PASSWORD}).status_code == 429
    give_new_password(user=person, password="copper-thimble-58", by=OwnerFactory())
    assert client.post(reverse("sign-in"), {"username": "imke", "password": "copper-thimble-58"}).status_code == 302


def test_somebody_who_comes_back_keeps_her_role_and_her_past():
    owner, person = OwnerFactory(), StylistFactory()
    end_access(user=person, by=owner)
    with pytest.raises(ValidationError, match="can sign in no more already"):
        end_access(user=person, by=owner)
    back = give_back_access(user=person, by=owner)
    assert back.is_active
    assert back.groups.get().name == "Stylist"
    assert [change.what for change in person.access_changes.all()] == ["given back", "ended"]
    with pytest.raises(ValidationError, match="can sign in already"):
        give_back_access(user=person, by=owner)
