"""A piece goes away to be repaired and comes back."""

from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError
from django.utils.timezone import localdate, now

from fittings.models import Repair
from fittings.repairing import back_from_repair, send_to_repair
from tests.factories import DeskFactory
from tests.fittings.factories import OwnedPieceFactory

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)


@pytest.fixture
def desk():
    return DeskFactory()


def sent(owned, desk, **how):
    asked = {"what": "A tear at the front", "done_by": "The lace mender", "sent_on": localdate(), "at": now()}
    return send_to_repair(owned=owned, by=desk, **asked | how)


def back(repair, desk, **how):
    return back_from_repair(repair=repair, by=desk, **{"back_on": localdate(), "at": now()} | how)


def refusal_of(deed, *args, **how):
    with pytest.raises(ValidationError) as refusal:
        deed(*args, **how)
    return " ".join(refusal.value.messages)


def test_it_goes_away_and_comes_back_with_what_it_cost(desk):
    owned = OwnedPieceFactory()
    repair = sent(owned, desk, expected_on=localdate() + 14 * DAY)
    assert owned.unit.state == "with client", "it is hers all the while"
    kept = back(repair, desk, found=" Well  mended ", cost_minor=3500)
    assert (kept.found, kept.cost_minor, kept.back_by, kept.sent_by) == ("Well mended", 3500, desk, desk)
    assert sent(owned, desk), "and may go again"


def test_it_is_away_once_at_a_time_and_comes_back_once(desk):
    owned = OwnedPieceFactory()
    repair = sent(owned, desk)
    assert "away with The lace mender since" in refusal_of(sent, owned, desk)
    back(repair, desk)
    assert "kept already" in refusal_of(back, repair, desk)
    assert Repair.objects.count() == 1


def test_days_that_can_not_be_are_refused(desk):
    owned = OwnedPieceFactory()
    assert "still to come" in refusal_of(sent, owned, desk, sent_on=localdate() + DAY)
    assert "write a later day" in refusal_of(sent, owned, desk, sent_on=owned.since - DAY)
    assert "before it left" in refusal_of(sent, owned, desk, expected_on=localdate() - DAY)
    assert "two years ahead" in refusal_of(sent, owned, desk, expected_on=localdate() + 1200 * DAY)
    assert "cannot be blank" in refusal_of(sent, owned, desk, done_by="  ")
    repair = sent(owned, desk, sent_on=localdate() - DAY)
    for day in (localdate() + DAY, localdate() - 2 * DAY):
        assert "from then to today" in refusal_of(back, repair, desk, back_on=day)
