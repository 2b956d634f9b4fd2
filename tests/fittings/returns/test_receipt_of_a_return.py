"""The receipt of money that went back for a piece: what counts no longer, with the tax that was in it."""

import pytest
from django.utils.timezone import now

from fittings.paper.receipt import receipt_paper
from fittings.pdf import sheet_pdf
from pieces.paying import take_payment
from pieces.returning import take_back
from pieces.selling import LineAsked, hand_over
from salon.models import Salon
from tests.factories import StylistFactory
from tests.fittings.test_pdf import pages_of
from tests.fittings.till.test_papers import told
from tests.pieces.factories import (
    PricedServiceFactory,
    ReturnReasonFactory,
    SaleFactory,
    TaxRateFactory,
    UnitFactory,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def receipt():
    """Of a piece of £1,249.00 that came back, sold together with a brush that was kept."""
    TaxRateFactory(name="Standard rate", is_usual=True)
    brush = PricedServiceFactory(name="Brush", price_minor=3000)
    till = {"salon": Salon.objects.default(), "by": StylistFactory(), "at": now()}
    sale = SaleFactory(lines=[LineAsked(unit=UnitFactory()), LineAsked(service=brush)])
    take_payment(sale=sale, amount_minor=127_900, method="card", **till)
    line = hand_over(line=sale.lines.of_pieces().get(), by=till["by"], at=till["at"])
    back = {"reason": ReturnReasonFactory(), "fate": "cleaning", "refund_minor": 124_900, "method": "card"}
    return take_back(line=line, **back, **till).payment.receipt


def test_it_says_what_came_back_what_is_left_and_what_was_paid(receipt):
    said = told(receipt_paper(receipt))
    assert "£1,249.00 given back" in said
    assert "Taken back\nCounts no longer\nWhat\nIt had come to\nRate\nTax in that" in said
    assert "£1,249.00\nStandard rate, 20 %\n£208.17" in said  # 124,900 × 20/120, half up
    assert "Paid before: £1,279.00" in said
    assert "Comes to: £30.00" in said
    assert "Still to be paid: £0.00" in said


@pytest.mark.slow
def test_it_is_printed_on_one_page(receipt):
    assert len(pages_of(sheet_pdf(receipt_paper(receipt)))) == 1
