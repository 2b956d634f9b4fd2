"""The dates of a piece follow what is on record; a wash is told once a day, by whoever may."""

from datetime import date, timedelta

import pytest
from django.core.exceptions import ValidationError
from django.utils.timezone import localdate, now

from fittings.caring import tell_wash, work_out_care
from fittings.models import CareDate
from tests.factories import StylistFactory
from tests.fittings.factories import OwnedPieceFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def owned():
    return OwnedPieceFactory(since=localdate() - timedelta(days=10))


def dates(owned):
    return dict(owned.care_dates.values_list("kind", "due_on"))


def test_a_new_piece_has_its_dates(owned):
    work_out_care(owned=owned, on=localdate())
    assert set(dates(owned)) == {"wash", "deep care", "check-up", "order", "replace"}
    assert all(day >= localdate() for day in dates(owned).values())


def test_a_wash_moves_the_next(owned):
    work_out_care(owned=owned, on=localdate())
    tell_wash(owned=owned, washed_on=localdate(), by=StylistFactory(), at=now())
    assert dates(owned)["wash"] > localdate()
