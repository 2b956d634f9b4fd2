"""The pages of pieces that come back: who may take back what, what a refusal says and keeps, and the list."""

from datetime import timedelta
from html import unescape

import pytest
from django.urls import reverse
from django.utils.timezone import now

from fittings.returns.views import PAGE_LENGTH
from pieces.models import Return
from pieces.paying import owed_for, paid_for, take_payment
from pieces.selling import LineAsked, cancel_sale, hand_over
from salon.models import Salon
from tests.factories import ClientFactory, OwnerFactory, StylistFactory, UserFactory
from tests.pieces.factories import ReturnReasonFactory, SaleFactory, UnitFactory

pytestmark = pytest.mark.django_db
PRICE = 124_900


def words(response):
    return " ".join(unescape(response.content.decode()).split())


@pytest.fixture
def stylist(client):
    stylist = StylistFactory()
    client.force_login(stylist)
    return stylist


@pytest.fixture
def owner(client):
    owner = OwnerFactory()
    client.force_login(owner)
    return owner


@pytest.fixture
def slides():
    return ReturnReasonFactory(name="Slides forward")


def sold(days_ago=3, paid=PRICE, **more):
    then, by = now() - timedelta(days=days_ago), StylistFactory()
    sale = SaleFactory(at=then, by=by, **more)
    if paid:
        take_payment(sale=sale, amount_minor=paid, method="card", salon=Salon.objects.default(), by=by, at=then)
    return hand_over(line=sale.lines.of_pieces().get(), by=by, at=then)


def address(line):
    return reverse("return-new", args=[line.sale.reference, line.pk])


@pytest.fixture
def send(client, slides):
    def sent(line, **fields):
        told = {"reason": slides.pk, "fate": "cleaning", "refund_minor": "£1,249.00", "method": "card"} | fields
        return client.post(address(line), told)

    return sent


def test_the_page_says_how_it_was_sold_and_by_which_terms_it_may_come_back(client, stylist):
    shown = words(client.get(address(sold())))
    assert "for £1,249.00;" in shown
    assert "3 days ago" in shown
    assert "within 14 days, its seal whole, not worn, not cut in and not coloured" in shown
    assert "The law comes first" in shown
    assert "Outside the terms" not in shown
    assert 'value="£1,249.00"' in shown  # what usually goes back
    assert "all the same" not in shown  # only the owner is asked for that


def test_that_it_comes_too_late_is_said_before_anything_is_typed(client, stylist):
    shown = words(client.get(address(sold(days_ago=15))))
    assert "Outside the terms</span> It comes back after 15 days; the terms say within 14 days." in shown


def test_a_piece_is_taken_back(client, stylist, send):
    line = sold()
    answer = send(line, said="It moves when she laughs")
    assert answer.status_code == 302
    assert answer.url == line.sale.get_absolute_url()
    kept = Return.objects.get()
    assert (str(kept.reason), kept.said, kept.fate, kept.by) == (
        "Slides forward",
        "It moves when she laughs",
        "cleaning",
        stylist,
    )
    assert [str(said) for said in client.get(reverse("returns")).context["messages"]] == [
        f"{line} is taken back. £1,249.00 goes back: card, receipt 2."
    ]


def test_a_stylist_is_refused_what_the_terms_refuse_and_keeps_all_she_typed(stylist, send):
    line = sold(days_ago=20)
    shown = words(send(line, said="Too heavy", coloured="on", refund_minor="£700"))
    for sentence in (
        "It comes back after 20 days; the terms say within 14 days.",
        "It was coloured.",
        "That is outside the salon's terms: an owner can take it back, with a reason.",
    ):
        assert f"<li>{sentence}</li>" in shown
    assert "Too heavy" in shown
    assert 'value="£700"' in shown
    assert shown.count(" checked") == 4  # reason, coloured, fate and the way the money goes back
    assert not Return.objects.exists()


def test_a_stylist_who_writes_a_reason_all_the_same_is_refused_as_well(stylist, send):
    send(sold(days_ago=20), because="She is a friend")
    assert not Return.objects.exists()


def test_an_owner_takes_it_back_with_a_written_reason(owner, send):
    line = sold(days_ago=20)
    shown = words(send(line, worn="on"))
    assert (
        "It comes back after 20 days; the terms say within 14 days. It was worn. "
        "Write why it is taken back all the same." in shown
    )
    assert send(line, worn="on", because="She was in hospital").status_code == 302
    assert (Return.objects.get().allowed_by, Return.objects.get().allowed_because) == (owner, "She was in hospital")


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"reason": ""}, "Press why it comes back."),
        ({"reason": "99999999"}, "Press why it comes back."),
        ({"fate": ""}, "Press what becomes of it."),
        ({"fate": "sold"}, "Press what becomes of it."),
        ({"refund_minor": ""}, "Write how much goes back, or 0."),
        ({"refund_minor": "much"}, "“much” is not an amount in GBP, the currency used here. Write £1,250.00."),
        ({"refund_minor": "-5"}, "“-5” has a minus or a range in it"),
        ({"refund_minor": "1249.01"}, "£1,249.00 is the most that can be given back for it."),
        ({"method": ""}, "Choose how £1,249.00 is given back."),
        ({"method": "exchange"}, "Press one of the ways that are shown."),
        ({"once": "not a key"}, "Enter a valid UUID."),
        ({"worn": "on", "fate": "drawer", "because": "Faulty"}, "It was worn: have it cleaned first"),
    ],
)
def test_what_is_wrong_is_said_and_nothing_is_stored(owner, send, typed, sentence):
    line = sold()
    assert sentence in words(send(line, **{"said": "So she said"} | typed))
    assert "So she said" in words(send(line, **{"said": "So she said"} | typed))
    assert not Return.objects.exists()
    assert paid_for(line.sale) == PRICE


def test_what_came_back_already_leads_to_its_sale(client, stylist, send):
    line = sold()
    send(line)
    for answer in (client.get(address(line)), send(line)):
        assert answer.url == line.sale.get_absolute_url()
    assert [str(said) for said in client.get(reverse("returns")).context["messages"]][1:] == [
        "This piece was taken back already."
    ] * 2
    assert Return.objects.count() == 1


def test_a_line_of_a_cancelled_sale_leads_to_its_sale(client, stylist):
    sale = SaleFactory()
    cancel_sale(sale=sale, because="Changed her mind", by=stylist, at=now())
    assert client.get(address(sale.lines.get())).url == sale.get_absolute_url()
    assert [str(said) for said in client.get(reverse("returns")).context["messages"]] == [
        f"Sale {sale} was cancelled; there is nothing to take back."
    ]


def test_the_same_form_pressed_twice_takes_back_once(stylist, send):
    line, key = sold(), "8d7f0f3e-9d0a-4f52-8a7b-0f6f0b1f7c11"
    assert {send(line, once=key).status_code for _ in range(2)} == {302}
    assert Return.objects.count() == 1


def test_there_is_no_page_for_a_line_of_another_sale_or_for_no_piece(client, stylist):
    one, other = sold(), sold()
    assert client.get(reverse("return-new", args=[one.sale.reference, other.pk])).status_code == 404
    assert client.get(reverse("return-new", args=[one.sale.reference, 10**9])).status_code == 404


def test_money_counts_towards_what_she_takes_instead(client, stylist, send):
    line = sold()
    assert "She takes instead" not in words(client.get(address(line)))
    instead = SaleFactory(client=line.sale.client, lines=[LineAsked(unit=UnitFactory(), price_minor=150_000)])
    SaleFactory()  # somebody else's is not offered
    shown = words(client.get(address(line)))
    assert f"{instead}: £1,500.00 to pay" in shown
    assert shown.count(" to pay</option>") == 1
    send(line, exchanged_for=instead.pk, method="")
    assert (owed_for(instead), paid_for(line.sale)) == (25_100, 0)
    assert [str(said) for said in client.get(reverse("returns")).context["messages"]] == [
        f"{line} is taken back. £1,249.00 counts towards sale {instead}."
    ]


def test_an_exchange_for_somebody_elses_sale_is_refused(stylist, send):
    line = sold()
    SaleFactory(client=line.sale.client)
    assert "Choose one of her sales" in words(send(line, exchanged_for=SaleFactory().pk))


def test_the_list_says_why_what_became_of_it_and_who_allowed_it(client, owner, send):
    line = sold(days_ago=20)
    send(line, said="It moves", worn="on", because="She was in hospital")
    send(sold(), refund_minor="0", method="")
    shown = words(client.get(reverse("returns")))
    for said in (
        "Slides forward",
        "“It moves”",
        "20 days after it was handed over; worn.",
        "To be cleaned.",
        "£1,249.00 back.",
    ):
        assert said in shown
    assert f"{owner} allowed it: She was in hospital" in shown
    assert "No money back." in shown
    outside = words(client.get(reverse("returns"), {"show": "outside"}))
    assert "No money back." not in outside
    assert "She was in hospital" in outside


def test_what_comes_back_the_same_day_is_said_so(client, stylist, send):
    send(sold(days_ago=0), refund_minor="0", method="")
    assert "on the day it was handed over" in words(client.get(reverse("returns")))


def test_an_empty_list_says_how_a_piece_gets_onto_it(client, stylist):
    assert "A piece is taken back from the page of its sale." in words(client.get(reverse("returns")))
    assert "nothing was taken back that the terms refuse" in words(client.get(reverse("returns"), {"show": "outside"}))


def test_the_list_takes_the_same_queries_however_long(client, stylist, send, queries_for):
    her = ClientFactory()
    send(sold(client=her))
    few = queries_for(reverse("returns"))
    for _ in range(PAGE_LENGTH + 2):
        send(sold(client=her))
    assert queries_for(reverse("returns")) == few
    assert 'rel="next"' in words(client.get(reverse("returns")))


def test_who_may_not_take_back_sees_neither_page(client):
    client.force_login(UserFactory())
    assert client.get(address(sold())).status_code == 403
    assert client.get(reverse("returns")).status_code == 403


def test_the_page_of_a_sale_leads_here_and_says_what_came_back(client, owner, send):
    line = sold(days_ago=20)
    assert f'href="{address(line)}"' in words(client.get(line.sale.get_absolute_url()))
    send(line, said="It moves", because="She was in hospital")
    shown = words(client.get(line.sale.get_absolute_url()))
    assert f'href="{address(line)}"' not in shown
    for said in ("Slides forward", "“It moves”", f"{owner} allowed it: She was in hospital"):
        assert said in shown
