"""Units that are lent: out, back, and kept from everybody else meanwhile."""

from datetime import date, timedelta

import pytest
from django.core.exceptions import ValidationError
from django.utils.timezone import localdate, now

from fittings.laying_out import add_unit_to_try, mark_laid_out
from fittings.lending import lend, take_loan_back
from fittings.models import Loan
from fittings.owning import give_piece
from fittings.trying import log_try_on, units_to_put_on
from pieces.models import Unit
from tests.factories import ClientFactory, DeskFactory
from tests.fittings.factories import AppointmentFactory, CandidateFactory, OwnedPieceFactory
from tests.fittings.visits import signed_off_visit
from tests.pieces.factories import UnitFactory

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)
WELL = {"covers": "well", "sits": "well", "matches": "well"}


@pytest.fixture
def desk():
    return DeskFactory()


@pytest.fixture
def her():
    return ClientFactory()


def lent(her, desk, unit=None, **how):
    asked = {"lent_on": localdate(), "due_back_on": localdate() + 14 * DAY, "at": now()}
    return lend(client=her, unit=unit or UnitFactory(), by=desk, **asked | how)


def back(loan, desk, **how):
    return take_loan_back(loan=loan, by=desk, **{"back_on": localdate(), "at": now()} | how)


def state_of(unit):
    return Unit.objects.get(pk=unit.pk).state


def refusal_of(deed, *args, **how):
    with pytest.raises(ValidationError) as refusal:
        deed(*args, **how)
    return " ".join(refusal.value.messages)


def test_a_unit_is_out_and_comes_back_to_the_drawer(her, desk):
    hers = OwnedPieceFactory(client=her)
    loan = lent(her, desk, instead_of=hers, note=" For  the wedding ")
    assert (state_of(loan.unit), loan.note, loan.instead_of) == ("with client", "For the wedding", hers)
    assert back(loan, desk).back_by == desk
    assert state_of(loan.unit) == "drawer"
    assert lent(ClientFactory(), desk, loan.unit)


def test_one_that_does_not_come_back_is_written_off_and_says_so(her, desk):
    loan = back(lent(her, desk, note="Walnut"), desk, gone=True)
    assert state_of(loan.unit) == "gone"
    assert loan.note == "Walnut It did not come back."


def test_it_is_lent_once_at_a_time_and_taken_back_once(her, desk):
    loan = lent(her, desk)
    assert "it is with a client" in refusal_of(lent, ClientFactory(), desk, loan.unit)
    back(loan, desk)
    assert "kept already" in refusal_of(back, loan, desk)
    assert Loan.objects.count() == 1


def test_days_that_can_not_be_and_somebody_elses_piece_are_refused(her, desk):
    assert "still to come" in refusal_of(lent, her, desk, lent_on=localdate() + DAY)
    assert "came in on" in refusal_of(lent, her, desk, lent_on=date(1999, 1, 1))
    assert "or later" in refusal_of(lent, her, desk, due_back_on=localdate() - DAY)
    assert "two years ahead" in refusal_of(lent, her, desk, due_back_on=localdate() + 1200 * DAY)
    assert "another client's" in refusal_of(lent, her, desk, instead_of=OwnedPieceFactory())
    loan = lent(her, desk)
    assert "from then to today" in refusal_of(back, loan, desk, back_on=localdate() + DAY)
    assert state_of(loan.unit) == "with client"


# Nobody else gets it meanwhile


def test_a_lent_or_owned_unit_is_laid_out_for_nobody(her, desk):
    loan, booked = lent(her, desk), AppointmentFactory()
    owned = give_piece(
        client=ClientFactory(record_consent=True), unit=UnitFactory(), since=localdate(), by=desk, at=now()
    )
    for unit in (loan.unit, owned.unit):
        said = refusal_of(add_unit_to_try, appointment=booked, unit=Unit.objects.get(pk=unit.pk), by=desk, at=now())
        assert "it is with a client" in said


def test_one_on_a_list_that_was_lent_since_is_not_laid_out(her, desk):
    unit = UnitFactory()
    to_try = add_unit_to_try(appointment=AppointmentFactory(), unit=unit, by=desk, at=now())
    lent(her, desk, unit)
    assert "Take it off the list" in refusal_of(mark_laid_out, to_try=to_try, by=desk, at=now())


def test_only_she_who_has_it_tries_it_on(desk):
    candidate = CandidateFactory(fitting=signed_off_visit())
    fitting, unit = candidate.fitting, UnitFactory(variant=candidate.variant)
    here, away = UnitFactory(variant=candidate.variant), UnitFactory(variant=candidate.variant)
    lent(ClientFactory(), desk, away)
    loan = lent(fitting.client, desk, unit)
    assert set(units_to_put_on(fitting, candidate)) == {here, unit}
    how = {"fitting": fitting, "candidate": candidate, "by": fitting.stylist} | WELL
    assert log_try_on(unit=unit, **how)
    assert "with somebody else" in refusal_of(log_try_on, unit=away, **how)
    back(loan, desk)
    give_piece(client=fitting.client, unit=unit, since=localdate(), by=desk, at=now())
    assert log_try_on(unit=unit, **how)
