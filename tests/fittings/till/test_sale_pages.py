"""A sale on its pages: put together, agreed, paid by parts, handed over, its receipt."""

import re

import pytest
from django.urls import reverse

from fittings.models import OwnedPiece
from pieces.models import Receipt, Sale
from tests.factories import ClientFactory, DeskFactory
from tests.pieces.factories import UnitFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def at_the_till(client):
    client.force_login(DeskFactory())
    return client


def words(answer):
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", answer.content.decode()))


def test_a_unit_is_sold_paid_handed_over_and_a_receipt_printed(at_the_till):
    her, unit = ClientFactory(record_consent=True), UnitFactory()
    page = reverse("sale-new", args=[her.reference])
    assert unit.number in words(at_the_till.get(page, {"unit": unit.number}))
    key = f"unit-{unit.number}"
    answer = at_the_till.post(page, {"line": key, f"{key}-price_minor": "1249", "agree": "yes"})
    sale = Sale.objects.get()
    assert answer.url == sale.get_absolute_url()
    at_the_till.post(reverse("sale-pay", args=[sale.reference]), {"amount_minor": "1249", "method": "card"})
    line = sale.lines.get()
    answer = at_the_till.post(reverse("sale-hand-over", args=[sale.reference]), {"line": line.pk}, follow=True)
    assert "stands among her pieces" in words(answer)
    assert OwnedPiece.objects.get().unit == unit
    receipt = Receipt.objects.get()
    paper = at_the_till.get(receipt.get_absolute_url())
    assert paper["Content-Type"] == "application/pdf" and paper.content.startswith(b"%PDF")
