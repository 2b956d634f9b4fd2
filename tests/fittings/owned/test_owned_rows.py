"""What the database refuses of owned pieces and of their entries."""

from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils.timezone import now

from fittings.models import ConditionCheck
from tests.fittings.factories import OwnedPieceFactory

pytestmark = pytest.mark.django_db


def test_a_unit_belongs_to_one_client_at_once():
    hers = OwnedPieceFactory()
    with pytest.raises(IntegrityError), transaction.atomic():
        OwnedPieceFactory(unit=hers.unit)


def test_a_unit_may_belong_to_another_after_the_first_has_it_no_longer():
    first = OwnedPieceFactory()
    first.until, first.ended, first.ended_by, first.ended_at = first.since, "returned", first.begun_by, now()
    first.full_clean()
    first.save()
    OwnedPieceFactory(unit=first.unit)


def test_a_piece_does_not_end_before_it_began():
    hers = OwnedPieceFactory()
    hers.until, hers.ended = hers.since - timedelta(days=1), "worn out"
    hers.ended_by, hers.ended_at = hers.begun_by, now()
    with pytest.raises(ValidationError, match="not before the first"):
        hers.full_clean()


def test_a_piece_does_not_take_turns_with_itself():
    hers = OwnedPieceFactory()
    hers.partner = hers
    with pytest.raises(ValidationError, match="with another piece"):
        hers.full_clean()


def check_of(hers, **fields):
    return ConditionCheck(owned_piece=hers, checked_at=now(), checked_by=hers.begun_by, **fields)


def test_a_check_says_something():
    with pytest.raises(ValidationError, match="how at least one part is"):
        check_of(OwnedPieceFactory()).full_clean()


def test_a_correction_says_why_and_the_corrected_entry_no_longer_stands():
    hers = OwnedPieceFactory()
    first = check_of(hers, fibre=1)
    first.save()
    second = check_of(hers, fibre=2, corrects=first)
    with pytest.raises(ValidationError, match="and why"):
        second.full_clean()
    second.corrected_because = "Looked at the wrong piece."
    second.full_clean()
    second.save()
    assert list(ConditionCheck.objects.standing()) == [second]
