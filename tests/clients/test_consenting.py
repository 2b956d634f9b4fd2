"""Consents: in the exact words shown, signed by whoever may sign, withdrawn as easily."""

from datetime import date, timedelta

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils.timezone import now

from clients.consent_texts import CONSENT_TEXTS, consent_words
from clients.consenting import give_consent, require_record_consent, withdraw_consent
from clients.models import Client, Consent
from clients.models.consent import ConsentKind
from salon.models import Salon
from tests.factories import ClientFactory, ConsentFactory, DeskFactory

pytestmark = pytest.mark.django_db
ADULT, CHILD = date(1979, 4, 3), date(2015, 4, 3)


def signed(client, **fields):
    given = {"kind": "record", "signed_name": "Ada Ashdown", "by": DeskFactory(), "at": now()} | fields
    return give_consent(client=client, **given)


def refusal_of(client, **fields):
    with pytest.raises(ValidationError) as refusal:
        signed(client, **fields)
    assert not Consent.objects.exists()
    return " ".join(refusal.value.messages)


@pytest.mark.parametrize("kind", list(ConsentKind))
def test_a_consent_keeps_the_words_the_version_and_who_signed(kind):
    Salon.objects.create(name="The Long Mirror")
    consent = signed(ClientFactory(), kind=kind, signed_name="  Ada   Ashdown ")
    consent.refresh_from_db()
    assert consent.text == consent_words(kind, salon_name="The Long Mirror")
    assert "The Long Mirror" in consent.text
    assert consent.text_version == CONSENT_TEXTS[kind].version
    assert (consent.signed_name, consent.guardian_name) == ("Ada Ashdown", "")


@pytest.mark.parametrize("kind", list(ConsentKind))
def test_every_text_says_that_it_is_her_choice_and_how_to_take_it_back(kind):
    # what consent must make plain: Regulation (EU) 2016/679, Art. 7(3) and recital 42 (MEMORY)
    words = consent_words(kind, salon_name="The Long Mirror")
    assert "I need not agree" in words
    assert "take this back at any time" in words
    assert "{" not in words
    assert len(CONSENT_TEXTS[kind].version) <= 20


def test_a_stored_text_outlives_a_change_of_the_salon_s_name():
    consent = signed(ClientFactory())
    Salon.objects.update(name="Another name")
    consent.refresh_from_db()
    assert "Another name" not in consent.text


def test_a_consent_needs_a_name():
    assert "cannot be blank" in refusal_of(ClientFactory(), signed_name="  ")


def test_an_unknown_kind_is_refused_with_those_there_are():
    assert refusal_of(ClientFactory(), kind="all") == (
        "There is no consent called “all”. There are: record, photos, publicity, reminders."
    )


def test_under_age_the_guardian_signs():
    child = ClientFactory(given_name="Ida", family_name="Wren", born_on=CHILD)
    assert refusal_of(child, signed_name="Ida Wren") == (
        "Ida Wren is under 18: write the name of her guardian, who signs."
    )
    assert refusal_of(child, signed_name="Ida Wren", guardian_name="Maud Wren") == (
        "The guardian signs with her or his own name: Maud Wren."
    )
    assert refusal_of(child, signed_name="Ida Wren", guardian_name="ida wren") == (
        "Ida Wren is under age herself: the guardian signs with her or his own name."
    )
    consent = signed(child, signed_name="maud wren", guardian_name="Maud Wren")
    assert consent.guardian_name == "Maud Wren"
    assert consent.text.startswith("The guardian signs for Ida Wren; ")


def test_the_salon_says_from_which_age_a_client_signs_herself():
    Salon.objects.create(age_of_consent=16)
    at = now()
    sixteen = ClientFactory(born_on=date(at.year - 16, 1, 1))
    assert signed(sixteen, at=at).guardian_name == ""


def test_an_adult_or_somebody_of_unknown_age_signs_herself():
    assert signed(ClientFactory(born_on=ADULT))
    assert signed(ClientFactory(born_on=None))


def test_a_second_one_of_a_kind_is_refused_until_the_first_is_withdrawn():
    client = ClientFactory()
    first = signed(client)
    with pytest.raises(ValidationError, match="already on file; withdraw it before a new one is signed"):
        signed(client)
    withdraw_consent(consent=first, by=DeskFactory(), at=now())
    assert signed(client)
    assert client.consents.count() == 2


def test_withdrawing_keeps_it_with_the_day_it_ended():
    consent, clerk, at = ConsentFactory(), DeskFactory(), now()
    withdrawn = withdraw_consent(consent=consent, by=clerk, at=at)
    assert (withdrawn.withdrawn_at, withdrawn.withdrawn_by) == (at, clerk)
    assert not Consent.objects.live().exists()
    with pytest.raises(ValidationError, match="already withdrawn on"):
        withdraw_consent(consent=consent, by=clerk, at=at)


def test_a_consent_is_not_withdrawn_before_it_was_given():
    consent = ConsentFactory()
    with pytest.raises(ValidationError, match="withdrawn by somebody, after it was given"):
        withdraw_consent(consent=consent, by=DeskFactory(), at=consent.given_at - timedelta(seconds=1))


def test_only_the_record_consent_lets_health_be_written_down():
    client = ClientFactory(given_name="Ada", family_name="Wren")
    for kind in ("photos", "publicity", "reminders"):
        signed(client, kind=kind)
    with pytest.raises(ValidationError, match="Ada Wren has not agreed that her hair, scalp and health"):
        require_record_consent(client)
    record = signed(client)
    require_record_consent(client)
    withdraw_consent(consent=record, by=DeskFactory(), at=now())
    with pytest.raises(ValidationError, match="or has taken it back"):
        require_record_consent(client)


def test_nothing_is_signed_on_an_erased_record():
    client = ClientFactory()
    Client.objects.filter(pk=client.pk).update(erased_at=now())
    assert refusal_of(client) == "This record has been erased; nothing can be added to it."


def test_the_database_itself_refuses_two_live_ones_and_half_a_withdrawal():
    consent = ConsentFactory()
    copy = Consent.objects.get(pk=consent.pk)
    copy.pk = None
    with pytest.raises(IntegrityError), transaction.atomic():
        copy.save()
    with pytest.raises(IntegrityError), transaction.atomic():
        Consent.objects.filter(pk=consent.pk).update(withdrawn_at=now())
    with pytest.raises(IntegrityError), transaction.atomic():
        Consent.objects.filter(pk=consent.pk).update(signed_name="")
