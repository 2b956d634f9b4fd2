"""The papers of the till: a receipt stays as it was issued, a statement claims nothing and keeps nothing."""

import pytest
from django.urls import reverse
from django.utils.timezone import localdate, now

from fittings.paper.receipt import receipt_paper
from fittings.paper.statement import BY_HAND, Prescribed, statement_paper
from fittings.pdf import sheet_pdf
from pieces.models import Receipt, ReturnReason
from pieces.paying import give_back
from pieces.returning import take_back
from pieces.selling import LineAsked, hand_over
from salon.models import Salon
from tests.factories import ClientFactory, DeskFactory
from tests.fittings.test_pdf import pages_of
from tests.fittings.till.reading import words
from tests.fittings.till.test_sale_pages import held_for
from tests.pieces.factories import (
    PaymentFactory,
    PricedServiceFactory,
    ReturnReasonFactory,
    SaleFactory,
    TaxRateFactory,
    UnitFactory,
)

pytestmark = pytest.mark.django_db


def told(sheet):
    """All words of a paper, in order."""
    said = [sheet.title, sheet.heading, sheet.footer]
    for section in sheet.sections:
        said += [
            section.heading,
            *section.says,
            *(f"{one.label}: {one.words}" for one in section.facts),
            *section.points,
        ]
        for table in section.tables:
            said += [table.caption, *table.columns, *(cell for row in table.rows for cell in row)]
    return "\n".join(said)


def test_a_receipt_is_reprinted_as_it_was_issued():
    TaxRateFactory(name="Standard rate", is_usual=True)
    payment = PaymentFactory(amount_minor=24_900)
    before = told(receipt_paper(payment.receipt))
    assert "Standard rate, 20 %\n£1,040.83\n£208.17" in before
    assert "Still to be paid: £1,000.00" in before
    Salon.objects.update(name="Another name", tax_number="GB 1")
    payment.client.family_name = "Newname"
    payment.client.save()
    PaymentFactory(sale=payment.sale)
    assert told(receipt_paper(Receipt.objects.get(number=1))) == before


def test_receipts_say_what_was_a_deposit_and_what_went_back():
    deposit = held_for(ClientFactory())
    assert "Deposit paid: £20.00, cash\nFor: A piece on order" in told(receipt_paper(deposit.receipt))
    back = give_back(
        deposit=deposit, amount_minor=2000, method="cash", what_for="Ill", salon=Salon.objects.default(),
        by=DeskFactory(), at=now(),
    )  # fmt: skip  # the shape of a press
    assert "Given back: £20.00, cash\nFor: Ill" in told(receipt_paper(back.receipt))


def test_a_deposit_given_back_is_held_no_longer():
    deposit = held_for(ClientFactory())
    till = {"salon": Salon.objects.default(), "by": DeskFactory(), "at": now()}
    back = give_back(deposit=deposit, amount_minor=2000, method="cash", **till)
    assert "Held for you" not in told(receipt_paper(back.receipt))


def test_what_the_salon_keeps_of_a_piece_taken_back_stands_on_the_papers():
    sale = SaleFactory(lines=[LineAsked(unit=UnitFactory())])
    PaymentFactory(sale=sale, amount_minor=124_900)
    line = sale.lines.get()
    hand_over(line=line, by=sale.agreed_by, at=now())
    till = {"salon": Salon.objects.default(), "by": sale.agreed_by, "at": now()}
    back = take_back(
        line=line, reason=ReturnReasonFactory(), fate="drawer", refund_minor=100_000, method="card", **till
    )
    assert "Paid beyond what the sale comes to: £249.00" in told(receipt_paper(back.payment.receipt))
    statement = statement_paper(sale.client, [sale], Prescribed(), salon=till["salon"], on=localdate())
    assert "Comes to: £0.00\nPaid: £249.00\nPaid beyond what it comes to: £249.00" in told(statement)


def test_a_statement_says_what_was_bought_paid_and_taken_back_and_claims_nothing():
    service = PricedServiceFactory(name="Cut-in")
    sale = SaleFactory(lines=[LineAsked(unit=UnitFactory()), LineAsked(service=service, count=2)])
    PaymentFactory(sale=sale, amount_minor=100_000)
    line = sale.lines.of_pieces().get()
    hand_over(line=line, by=sale.agreed_by, at=now())
    on, salon = localdate(), Salon.objects.default()
    paper = told(statement_paper(sale.client, [sale], Prescribed(wording="As prescribed"), salon=salon, on=on))
    assert "The salon makes no claim to any insurer" in paper
    assert "Comes to: £1,419.00\nPaid: £1,000.00\nStill to be paid: £419.00" in paper
    assert f"In these words: As prescribed\nCodes: {BY_HAND}" in paper
    assert "handed over on" in paper
    reason = ReturnReason.objects.first() or ReturnReasonFactory()
    take_back(
        line=line, reason=reason, fate="drawer", refund_minor=83_000, method="card", salon=salon, by=sale.agreed_by,
        at=now(),
    )  # fmt: skip  # the shape of a press
    paper = told(statement_paper(sale.client, [sale], Prescribed(), salon=salon, on=on))
    assert "Comes to: £170.00\nPaid: £170.00" in paper
    assert "taken back on" in paper


def test_a_statement_is_printed_by_a_post_and_noted_as_a_look(at_the_till):
    sale = SaleFactory()
    page = reverse("statement", args=[sale.client.reference])
    assert "makes no claim" in words(at_the_till.get(page, {"sale": sale.reference}))
    pdf = reverse("statement-pdf", args=[sale.client.reference])
    answer = at_the_till.post(pdf, {"wording": "Cranial prosthesis", "codes": "x" * 161})
    assert "Tick the sales that the statement is of." in words(answer)
    assert answer.context["form"]["wording"].value() == "Cranial prosthesis"
    answer = at_the_till.post(pdf, {"sales": sale.pk, "wording": "Cranial prosthesis"})
    assert answer.content.startswith(b"%PDF")
    assert "no-store" in answer["Cache-Control"]
    assert sale.client.access_entries.filter(page="statement, printed").exists()


def test_another_clients_sale_is_not_stated(at_the_till):
    pdf = reverse("statement-pdf", args=[ClientFactory().reference])
    assert "She has bought nothing here yet" in words(at_the_till.post(pdf, {"sales": SaleFactory().pk}))


@pytest.mark.parametrize("large_print", [False, True])
def test_a_sale_of_forty_lines_prints_on_as_many_pages_as_it_needs(large_print):
    off = {"discount_minor": 100, "discount_because": "As agreed at the fair"}
    things = [PricedServiceFactory(name=f"Thing {number} with a long name") for number in range(40)]
    payment = PaymentFactory(sale=SaleFactory(lines=[LineAsked(service=thing, **off) for thing in things]))
    pages = pages_of(sheet_pdf(receipt_paper(payment.receipt), large_print=large_print))
    assert len(pages) > 1
    assert "Thing 39" in "".join(pages)
