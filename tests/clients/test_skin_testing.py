"""Skin tests: applied with consent, clear no sooner than 48 hours, a reaction at any time."""

from datetime import date, timedelta

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils.timezone import now

from clients.consenting import withdraw_consent
from clients.models import Consent, Sensitivity, SkinTest
from clients.skin_testing import apply_skin_test, read_skin_test
from tests.factories import ClientFactory, SkinTestFactory, StylistFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def stylist():
    return StylistFactory()


@pytest.fixture
def client(stylist):
    return ClientFactory(given_name="Ada", family_name="Wren", record_consent=True)


def applied(client, stylist, **fields):
    given = {"kind": "adhesive", "product": "Soft tape no. 3", "at": now()} | fields
    return apply_skin_test(client=client, by=stylist, **given)


def test_a_test_is_applied_and_read_clear_after_48_hours(client, stylist):
    test = applied(client, stylist, product=" Soft  tape no. 3", lot="A-1107")
    assert (test.product, test.read_at, test.reacted) == ("Soft tape no. 3", None, None)
    read = read_skin_test(test=test, reacted=False, by=stylist, at=test.applied_at + timedelta(hours=48))
    assert (read.reacted, read.read_by) == (False, stylist)


def test_clear_is_refused_before_48_hours_and_a_reaction_is_not(client, stylist):
    # 48 hours: label wording of oxidative dyes, Regulation (EC) 1223/2009 Annex III (READ), and patch-test practice
    test = applied(client, stylist)
    early = test.applied_at + timedelta(hours=47, minutes=59)
    with pytest.raises(ValidationError) as refusal:
        read_skin_test(test=test, reacted=False, by=stylist, at=early)
    assert refusal.value.messages == [
        "It is 47 hours since the product was applied: a test is clear only after 48 hours. "
        "A reaction can be recorded at once."
    ]
    assert read_skin_test(test=test, reacted=True, by=stylist, at=early).reacted


def test_a_late_reaction_is_recorded_after_a_clear_reading_which_stays(client, stylist):
    test, other = applied(client, stylist), StylistFactory()
    first = test.applied_at + timedelta(hours=48)
    late = test.applied_at + timedelta(hours=80)
    read_skin_test(test=test, reacted=False, by=stylist, at=first)
    read = read_skin_test(test=test, reacted=True, by=other, at=late)
    assert (read.reacted, read.read_at, read.read_by) == (True, late, other)
    assert (read.earlier_read_at, read.earlier_read_by) == (first, stylist)
    assert not SkinTest.objects.clear_for(client, "adhesive", at=late, valid_for=timedelta(days=30)).exists()


def test_a_reaction_stays(client, stylist):
    test = applied(client, stylist)
    read_skin_test(test=test, reacted=True, by=stylist, at=test.applied_at)
    with pytest.raises(ValidationError, match="already recorded, and stays so"):
        read_skin_test(test=test, reacted=False, by=stylist, at=test.applied_at + timedelta(days=5))


def test_a_test_is_not_read_before_it_was_applied(client, stylist):
    test = applied(client, stylist)
    for reacted in (False, True):
        with pytest.raises(ValidationError, match="A skin test is read after it was applied"):
            read_skin_test(test=test, reacted=reacted, by=stylist, at=test.applied_at - timedelta(minutes=1))


def test_a_test_is_not_read_again_before_it_was_read(client, stylist):
    test = applied(client, stylist)
    read_skin_test(test=test, reacted=False, by=stylist, at=test.applied_at + timedelta(hours=60))
    with pytest.raises(ValidationError, match="read again after it was read the first time"):
        read_skin_test(test=test, reacted=True, by=stylist, at=test.applied_at + timedelta(hours=50))


def test_nothing_is_applied_or_read_without_her_consent(stylist):
    with pytest.raises(ValidationError, match="Ask for that consent first"):
        applied(ClientFactory(), stylist)
    test = SkinTestFactory()
    withdraw_consent(consent=Consent.objects.get(client=test.client), by=stylist, at=now())
    with pytest.raises(ValidationError, match="or has taken it back"):
        read_skin_test(test=test, reacted=True, by=stylist, at=now())
    assert SkinTest.objects.filter(read_at__isnull=False).count() == 0


def test_a_product_is_named_and_its_kind_is_known(client, stylist):
    with pytest.raises(ValidationError, match="cannot be blank"):
        applied(client, stylist, product=" ")
    with pytest.raises(ValidationError, match="is not a valid choice"):
        applied(client, stylist, kind="perfume")
    assert not SkinTest.objects.exists()


def test_a_product_she_reacted_to_does_not_go_on_her_skin_again(client, stylist):
    test = applied(client, stylist)
    read_skin_test(test=test, reacted=True, by=stylist, at=test.applied_at)
    with pytest.raises(ValidationError) as refusal:
        applied(client, stylist, product="SOFT TAPE NO. 3")
    assert refusal.value.messages == [
        "Ada Wren has reacted to SOFT TAPE NO. 3: no more of it on her skin, not even as a test."
    ]
    assert applied(client, stylist, product="Roll tape, clear")


def test_nobody_under_16_is_tested_with_colour(stylist):
    # label wording of oxidative dyes (Tukes, READ); no alert test under 16 either (NHBF, READ)
    at = now()
    fifteen = ClientFactory(given_name="Ida", family_name="Wren", record_consent=True)
    fifteen.born_on = date(at.year - 15, 1, 1)
    fifteen.save()
    with pytest.raises(ValidationError) as refusal:
        applied(fifteen, stylist, kind="colour", product="Cream colour", at=at)
    assert refusal.value.messages == ["Ida Wren is 15: hair dye and its test are for nobody under 16."]
    assert applied(fifteen, stylist, kind="adhesive", at=at)


@pytest.mark.parametrize(
    ("substance", "word"), [("hair dye", "hair dye"), ("black henna tattoo", "temporary black tattoo")]
)
def test_nobody_who_has_reacted_to_dye_is_tested_with_colour(client, stylist, substance, word):
    Sensitivity.objects.create(client=client, substance=substance, told_on=date(2025, 3, 3), recorded_by=stylist)
    with pytest.raises(ValidationError, match=f"Ada Wren has reacted to {word}: no hair dye on her skin"):
        applied(client, stylist, kind="colour", product="Cream colour")


def test_the_database_itself_refuses_half_a_reading(client, stylist):
    test = applied(client, stylist)
    for half in ({"read_at": now()}, {"reacted": True}, {"earlier_read_at": now()}):
        with pytest.raises(IntegrityError), transaction.atomic():
            SkinTest.objects.filter(pk=test.pk).update(**half)
