"""A sold piece comes back from the client who wore it: hers no longer, or nothing happened at all."""

import uuid
from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError
from django.utils.timezone import localdate, now

from fittings.models import CareDate
from fittings.owning import end_piece, take_turns
from fittings.repairing import send_to_repair
from fittings.selling_home import hand_over_hers
from fittings.taking_back import take_back_hers
from pieces.models import Payment, Return
from pieces.paying import take_payment
from pieces.selling import LineAsked
from salon.models import Salon
from tests.factories import ClientFactory, StylistFactory
from tests.fittings.factories import OwnedPieceFactory
from tests.pieces.factories import ReturnReasonFactory, SaleFactory

pytestmark = pytest.mark.django_db
PRICE = 124_900


@pytest.fixture
def till():
    return {"salon": Salon.objects.default(), "by": StylistFactory(), "at": now()}


def sold(till, **her):
    then = till["at"] - timedelta(days=2)
    sale = SaleFactory(client=ClientFactory(**her), at=then)
    take_payment(sale=sale, amount_minor=PRICE, method="card", salon=till["salon"], by=till["by"], at=then)
    line = sale.lines.get()
    return line, hand_over_hers(line=line, since=localdate(then), by=till["by"], at=then)


def back(till, line, **told):
    told = {
        "reason": ReturnReasonFactory(name="Slides"),
        "fate": "cleaning",
        "refund_minor": PRICE,
        "method": "card",
    } | told
    return take_back_hers(line=line, **told, **till)


def test_it_is_hers_until_today_with_the_reason_and_its_care_ends(till):
    line, owned = sold(till, record_consent=True)
    assert CareDate.objects.filter(owned_piece=owned).exists()
    back(till, line)
    owned.refresh_from_db()
    assert (owned.until, owned.ended, owned.ended_note) == (localdate(till["at"]), "returned", "Slides")
    assert not CareDate.objects.filter(owned_piece=owned).exists()
    line.unit.refresh_from_db()
    assert line.unit.state == "cleaning"


def test_a_form_that_comes_again_after_she_bought_it_anew_ends_nothing(till):
    line, owned = sold(till, record_consent=True)
    told = {"fate": "drawer", "reason": ReturnReasonFactory(), "refund_minor": 0, "once": uuid.uuid4()}
    first = take_back_hers(line=line, **told, **till)
    anew = SaleFactory(client=owned.client, lines=[LineAsked(unit=line.unit)]).lines.get()
    again = hand_over_hers(line=anew, since=localdate(), by=till["by"], at=now())
    assert take_back_hers(line=line, **told, **till) == first
    again.refresh_from_db()
    assert again.until is None


def test_one_that_took_turns_leaves_the_other_worn_by_itself(till):
    line, owned = sold(till, record_consent=True)
    other = OwnedPieceFactory(client=owned.client)
    take_turns(one=owned, other=other, by=till["by"], at=till["at"])
    back(till, line)
    other.refresh_from_db()
    assert other.partner is None


def test_where_she_never_agreed_to_a_record_the_unit_and_the_money_come_back_alone(till):
    line, owned = sold(till)
    assert owned is None
    assert back(till, line).refund_minor == PRICE


def test_while_it_is_away_for_a_repair_nothing_comes_back(till):
    line, owned = sold(till, record_consent=True)
    send_to_repair(
        owned=owned, what="A tear", done_by="The lace mender", sent_on=localdate(), by=till["by"], at=till["at"]
    )
    with pytest.raises(ValidationError, match="It has been away with The lace mender"):
        back(till, line)
    line.refresh_from_db()
    line.unit.refresh_from_db()
    assert (line.is_live, line.unit.state) == (True, "with client")
    assert not Return.objects.exists()
    assert not Payment.objects.filter(amount_minor__lt=0).exists()


def test_a_bought_piece_is_given_back_by_its_sale_alone(till):
    """Else the unit lay in the drawer and could be sold to nobody, for its line still counts."""
    line, owned = sold(till, record_consent=True)
    with pytest.raises(ValidationError, match=f"it stands in sale {line.sale}; take it back there"):
        end_piece(owned=owned, until=localdate(), ended="returned", by=till["by"], at=till["at"])
    end_piece(owned=owned, until=localdate(), ended="lost", by=till["by"], at=till["at"])
    line.unit.refresh_from_db()
    assert line.unit.state == "gone"
    with pytest.raises(ValidationError, match="it is written off"):
        back(till, line)
