"""Taking a client in, changing what is known of her, and the history that stays."""

from datetime import date, timedelta

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils.timezone import localdate, now

from clients.models import Client
from clients.registering import change_client, register_client
from tests.factories import ClientFactory, DeskFactory, OwnerFactory

pytestmark = pytest.mark.django_db


def refused(**fields):
    with pytest.raises(ValidationError) as refusal:
        register_client(**{"given_name": "Ada", "family_name": "Ashdown", "by": DeskFactory()} | fields)
    assert not Client.objects.exists()
    return refusal.value.messages


def test_a_client_is_kept_as_spelt_without_stray_spaces():
    client = register_client(
        given_name="  Zoë  Marie ",
        family_name="O’Dell",
        phone=" 07700 900123",
        private_note="tea\n\nno milk ",
        by=DeskFactory(),
    )
    client.refresh_from_db()
    assert (client.given_name, client.family_name, client.phone) == ("Zoë Marie", "O’Dell", "07700 900123")
    assert client.private_note == "tea\n\nno milk"
    assert client.reference.startswith("C-")


def test_a_reference_that_is_taken_is_drawn_again(monkeypatch):
    taken = ClientFactory().reference
    monkeypatch.setattr("clients.models.client.new_reference", lambda prefix: taken)
    assert ClientFactory().reference != taken


@pytest.mark.parametrize("name", ["", "   ", "\u0301"])
def test_both_names_are_needed(name):
    assert refused(family_name=name)


def test_a_name_of_accents_alone_is_no_name():
    assert refused(given_name="\u0301\u0301") == ["A client needs a given name and a family name."]


def test_a_name_whose_folded_form_is_longer_still_fits():
    client = register_client(given_name="ß" * 80, family_name="ﷺ" * 80, by=DeskFactory())
    assert len(client.given_folded) == 80


def test_a_birth_to_come_is_refused():
    assert refused(born_on=localdate() + timedelta(days=1)) == ["A date of birth can't lie in the future."]


def test_a_birth_before_1900_is_refused():
    assert refused(born_on=date(202, 4, 3)) == [
        "A date of birth lies in 1900 or later; write the year with four digits."
    ]


def test_an_address_that_is_none_is_refused():
    assert refused(email="zoe at example") == ["Enter a valid email address."]


def test_the_database_itself_refuses_a_client_without_names_or_with_an_impossible_birth():
    client = ClientFactory()
    with pytest.raises(IntegrityError), transaction.atomic():
        Client.objects.filter(pk=client.pk).update(given_folded="")
    with pytest.raises(IntegrityError), transaction.atomic():
        Client.objects.filter(pk=client.pk).update(born_on=date(1899, 12, 31))


def test_a_change_is_kept_with_who_made_it():
    client, owner = ClientFactory(phone="07700 900123"), OwnerFactory()
    changed = change_client(client=client, by=owner, phone="07700 900124", born_on=date(1979, 4, 3))
    assert changed.phone == "07700 900124"
    newest, first = client.history.all()
    assert (first.phone, first.history_user, first.history_type) == ("07700 900123", client.created_by, "+")
    assert (newest.phone, newest.history_user, newest.history_type) == ("07700 900124", owner, "~")


def test_a_change_to_nothing_leaves_no_trace():
    client = ClientFactory()
    change_client(client=client, by=OwnerFactory(), given_name=f" {client.given_name}  ", phone=client.phone)
    assert client.history.count() == 1


def test_a_refused_change_changes_nothing():
    client = ClientFactory()
    with pytest.raises(ValidationError, match="can't lie in the future"):
        change_client(client=client, by=OwnerFactory(), given_name="Grace", born_on=localdate() + timedelta(days=9))
    client.refresh_from_db()
    assert client.given_name == "Ada"
    assert Client.objects.found_by("Ada")[:2] == [client]
    assert Client.objects.found_by("Grace")[:2] == []
    assert client.history.count() == 1


def test_an_erased_record_is_not_changed_any_more():
    client = ClientFactory()
    Client.objects.filter(pk=client.pk).update(erased_at=now())
    with pytest.raises(ValidationError, match="This record has been erased"):
        change_client(client=client, by=OwnerFactory(), given_name="Grace")


@pytest.mark.parametrize(
    ("day", "age"), [(date(2026, 2, 28), 17), (date(2026, 3, 1), 18), (date(2028, 2, 29), 20), (date(2028, 2, 28), 19)]
)
def test_somebody_born_on_a_leap_day_is_a_year_older_on_the_day_or_the_day_after(day, age):
    assert Client(born_on=date(2008, 2, 29)).age_on(day) == age
