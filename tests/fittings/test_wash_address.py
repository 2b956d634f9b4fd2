"""Her own address, by which she tells that she washed a piece: once a day, and nothing else is shown or kept."""

from datetime import UTC, date, datetime, timedelta

import pytest
from django.core.exceptions import ValidationError
from django.utils.timezone import now

from clients.consenting import withdraw_consent
from clients.models import Consent
from fittings.caring import (
    make_wash_link,
    open_wash_link,
    revoke_wash_link,
    tell_wash,
    wash_by_link,
)
from fittings.models import OwnedPiece, Wash
from tests.factories import DeskFactory, StylistFactory
from tests.fittings.factories import OwnedPieceFactory

pytestmark = pytest.mark.django_db

SINCE = date(2026, 3, 2)
NOW = datetime(2026, 3, 12, 10, 0, tzinfo=UTC)
TODAY = NOW.date()


@pytest.fixture
def stylist():
    return StylistFactory()


@pytest.fixture
def owned(stylist):
    return OwnedPieceFactory(since=SINCE, begun_by=stylist)


@pytest.fixture
def secret(owned, stylist):
    return make_wash_link(owned=owned, by=stylist, at=NOW)[1]


def test_she_tells_once_a_day_and_again_the_next(owned, secret):
    assert wash_by_link(secret=secret, at=NOW) is True
    assert wash_by_link(secret=secret, at=NOW + timedelta(hours=3)) is False
    assert wash_by_link(secret=secret, at=NOW + timedelta(days=1), deep_care=True) is True
    assert list(Wash.objects.order_by("pk").values_list("washed_on", "deep_care", "recorded_by")) == [
        (TODAY, False, None),
        (TODAY + timedelta(days=1), True, None),
    ]
    link = owned.wash_links.get()
    assert (link.used_at, Wash.objects.first().link) == (NOW + timedelta(days=1), link)


def test_her_day_is_the_salons(owned, secret):
    late = datetime(2026, 7, 1, 23, 30, tzinfo=UTC)  # half past midnight in London
    wash_by_link(secret=secret, at=late)
    assert Wash.objects.get().washed_on == date(2026, 7, 2)


def test_what_the_salon_wrote_down_that_day_is_not_said_twice(owned, secret, stylist):
    tell_wash(owned=owned, washed_on=TODAY, by=stylist, at=NOW)
    assert wash_by_link(secret=secret, at=NOW) is False


def test_one_that_was_struck_out_is_not_made_again_by_her(owned, secret, stylist):
    wash_by_link(secret=secret, at=NOW)
    hers = Wash.objects.get()
    Wash.objects.create(
        owned_piece=owned,
        washed_on=TODAY,
        recorded_by=stylist,
        recorded_at=NOW,
        corrects=hers,
        corrected_because="Wrong piece",
        struck_out=True,
    )
    assert wash_by_link(secret=secret, at=NOW) is False


def test_of_a_secret_only_the_digest_is_kept(owned, secret):
    assert secret not in str(list(owned.wash_links.values()))
    assert open_wash_link(secret=secret).owned_piece == owned


def test_a_piece_has_one_address_at_a_time(owned, secret, stylist):
    with pytest.raises(ValidationError, match="has its address already"):
        make_wash_link(owned=owned, by=stylist, at=NOW)
    revoke_wash_link(link=owned.wash_links.get(), by=stylist, at=NOW)
    assert make_wash_link(owned=owned, by=stylist, at=NOW)[1] != secret


def taken_back(owned, stylist):
    revoke_wash_link(link=owned.wash_links.get(), by=stylist, at=NOW)
    revoke_wash_link(link=owned.wash_links.get(), by=DeskFactory(), at=NOW + timedelta(days=1))
    assert owned.wash_links.get().revoked_by == stylist


def ended(owned, stylist):
    OwnedPiece.objects.filter(pk=owned.pk).update(until=TODAY, ended="lost", ended_by=stylist, ended_at=NOW)


def not_agreed(owned, stylist):
    withdraw_consent(consent=Consent.objects.get(client=owned.client), by=stylist, at=now())


def erased(owned, stylist):
    owned.client.erased_at = NOW
    owned.client.save()


@pytest.mark.parametrize("gone", [taken_back, ended, not_agreed, erased])
def test_an_address_that_opens_nothing_notes_nothing(owned, secret, stylist, gone):
    gone(owned, stylist)
    assert open_wash_link(secret=secret) is None
    assert wash_by_link(secret=secret, at=NOW) is None
    assert wash_by_link(secret="x" * 43, at=NOW) is None
    assert not Wash.objects.exists()


def test_a_piece_that_is_no_longer_hers_gets_no_address(owned, stylist):
    ended(owned, stylist)
    with pytest.raises(ValidationError, match="no longer hers"):
        make_wash_link(owned=owned, by=stylist, at=NOW)
