"""The page of a special order, the desk's list beside it, and what a visit asked for and did not find."""

from datetime import timedelta
from html import unescape

import pytest
from django.urls import reverse
from django.utils.timezone import localdate, now

from fittings.awaiting import await_piece
from fittings.models import AwaitedPiece
from fittings.ordered_in import order_specially, send
from fittings.trying import choose_to_try
from pieces.models import AskedFor, OrderLine, Payment, Unit
from salon.models import Salon
from tests.factories import ClientFactory, DeskFactory, OwnerFactory, StylistFactory
from tests.fittings.visits import signed_off_visit
from tests.pieces.factories import UnitFactory, VariantFactory

pytestmark = pytest.mark.django_db
SOON = timedelta(days=6)


@pytest.fixture
def desk(client):
    client.force_login(DeskFactory())
    return client


@pytest.fixture
def stylist(client):
    client.force_login(StylistFactory())
    return client


@pytest.fixture
def ada():
    return ClientFactory()


@pytest.fixture
def heron():
    return VariantFactory(piece__name="Heron Weir")


def text_of(response):
    return unescape(response.content.decode())


def ordering(page, her, **asked):
    return page.post(reverse("special-order", args=[her.reference]), asked, follow=True)


def test_it_is_found_ordered_and_awaited(desk, ada, heron):
    UnitFactory(variant=heron)
    said = text_of(desk.get(reverse("special-order", args=[ada.reference]), {"q": "heron"}))
    assert "1 in the drawer" in said
    assert "Nothing is on order for her." in said
    said = text_of(ordering(desk, ada, variant=heron.pk, expected_on=localdate() + SOON, note="A softer front"))
    assert f"On order for {ada}: {heron}, A softer front. The desk awaits it." in said
    line = OrderLine.objects.get()
    assert (line.for_client, line.note, line.order.state) == (ada, "A softer front", "draft")
    assert line.awaited.expected_on == localdate() + SOON
    said = text_of(desk.get(reverse("awaited-pieces")))
    assert f"order {line.order}</a>, which has not been sent" in said


def test_a_deposit_is_taken_with_it(desk, ada, heron):
    answer = ordering(desk, ada, variant=heron.pk, deposit_minor="£200", method="card")
    assert "Her deposit of £200.00 is taken; its receipt stands with the deposits held." in text_of(answer)
    assert answer.redirect_chain[-1][0].endswith("#top"), "what is said stands above the place the form was sent to"
    payment = Payment.objects.get()
    assert (payment.client, payment.amount_minor, payment.method, payment.sale) == (ada, 20000, "card", None)


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"variant": ""}, "Find the piece in the catalogue and press it."),
        ({"variant": "99999999"}, "Find the piece in the catalogue and press it."),
        ({"expected_on": "soon"}, "Write the day as 2026-12-24."),
        ({"expected_on": "2001-01-01"}, "1 January 2001 is over"),
        ({"deposit_minor": "£200"}, "Say how she pays the deposit"),
        ({"method": "cash"}, "Write how much she leaves"),
        ({"deposit_minor": "£99,000", "method": "cash"}, "a deposit is no more than that"),
        ({"deposit_minor": "much", "method": "cash"}, "“much” is not"),
        ({"deposit_minor": "0", "method": "cash"}, "Write how much she leaves"),
        ({"deposit_minor": "£1", "method": "cheque"}, "Choose one of those shown."),
        ({"note": "x" * 241}, "at most 240 characters"),
    ],
)
def test_what_can_not_be_is_said_and_nothing_is_ordered_or_lost(desk, ada, heron, typed, sentence):
    asked = {"q": "heron", "variant": heron.pk, "note": "A softer front"} | typed
    said = text_of(ordering(desk, ada, **asked))
    assert sentence in said
    assert f'value="{asked["note"]}"' in said
    assert 'value="heron"' in said
    assert not OrderLine.objects.exists()
    assert not AwaitedPiece.objects.exists()
    assert not Payment.objects.exists()


def test_the_same_piece_again_is_refused_until_something_tells_it_apart(desk, ada, heron):
    ordering(desk, ada, variant=heron.pk, deposit_minor="£200", method="card")
    said = text_of(ordering(desk, ada, variant=heron.pk, deposit_minor="£200", method="card"))
    assert "has been on its way for her since" in said
    assert (OrderLine.objects.count(), Payment.objects.count()) == (1, 1)
    ordering(desk, ada, variant=heron.pk, note="The spare")
    assert OrderLine.objects.count() == 2


def test_what_is_no_longer_made_is_neither_found_nor_ordered(desk, ada):
    gone = VariantFactory(piece__name="Heron Gone", discontinued_on=localdate())
    said = text_of(desk.get(reverse("special-order", args=[ada.reference]), {"q": "gone"}))
    assert "Nothing that is still made has all these words." in said
    assert "has not been made since" in text_of(ordering(desk, ada, variant=gone.pk))


def test_what_the_desk_noted_is_turned_into_the_order(desk, ada, heron):
    noted = await_piece(client=ada, what="Heron, walnut", by=DeskFactory(), at=now())
    ordering(desk, ada, variant=heron.pk, noted=noted.pk)
    assert AwaitedPiece.objects.get() == OrderLine.objects.get().awaited == noted
    others = await_piece(client=ClientFactory(), what="Another", by=DeskFactory(), at=now())
    assert "Select a valid choice" not in text_of(ordering(desk, ada, variant=heron.pk, noted=others.pk))


def test_what_was_chosen_in_her_visits_stands_ready_for_the_stylist_alone(client, heron):
    fitting, who = signed_off_visit(stylist=StylistFactory()), {"on": localdate(), "at": now()}
    choose_to_try(fitting=fitting, variant=heron, salon=Salon.objects.default(), by=fitting.stylist, **who)
    address = reverse("special-order", args=[fitting.client.reference])
    client.force_login(fitting.stylist)
    said = text_of(client.get(address))
    assert "Chosen in her visits" in said
    assert f'value="{heron.pk}"' in said
    client.force_login(DeskFactory())
    assert "Chosen in her visits" not in text_of(client.get(address))


def on_its_way(her, variant, by):
    awaited = order_specially(client=her, variant=variant, salon=Salon.objects.default(), by=by, at=now())
    send(order=awaited.order_line.order, expected_on=localdate() + SOON, by=by, at=now())
    return awaited


def marked(page, awaited, **asked):
    return text_of(page.post(reverse("awaited-piece-mark", args=[awaited.pk]), asked, follow=True))


def test_the_desks_press_takes_it_in(desk, ada, heron):
    awaited = on_its_way(ada, heron, DeskFactory())
    assert "is in." in marked(desk, awaited, deed="came in")
    assert Unit.objects.get().reserved_for == ada


def test_the_desk_hears_why_one_on_a_draft_can_not_be_in(desk, ada, heron):
    awaited = order_specially(client=ada, variant=heron, salon=Salon.objects.default(), by=DeskFactory(), at=now())
    assert "a draft, which has not been sent" in marked(desk, awaited, deed="came in")
    assert "no longer wanted" in marked(desk, awaited, deed="no longer wanted")
    assert not OrderLine.objects.exists()


def test_another_day_told_to_the_desk_stands_on_the_order(desk, ada, heron):
    awaited = on_its_way(ada, heron, DeskFactory())
    marked(desk, awaited, deed="expected", expected_on=localdate() + 2 * SOON)
    assert OrderLine.objects.get().expected_on == localdate() + 2 * SOON


def test_her_page_leads_there_for_whoever_may_order(client, ada):
    for role in (DeskFactory, StylistFactory, OwnerFactory):
        client.force_login(role())
        assert reverse("special-order", args=[ada.reference]) in text_of(client.get(ada.get_absolute_url()))


# What was asked for


@pytest.fixture
def visit():
    return signed_off_visit(stylist=StylistFactory())


def missed(page, visit, **asked):
    return page.post(reverse("asked-for", args=[visit.reference]), asked, follow=True)


def test_a_piece_is_written_down_once_however_often_it_is_pressed(stylist, visit, heron):
    for _ in range(2):
        missed(stylist, visit, variant=heron.pk, back="show=fits&page=1")
    asked = AskedFor.objects.get()
    assert (asked.variant, asked.visit_reference, asked.length_mm) == (heron, visit.reference, heron.length_mm)


def test_the_press_comes_back_to_its_card_among_those_that_were_shown(stylist, visit, heron):
    address = reverse("asked-for", args=[visit.reference])
    response = stylist.post(address, {"variant": heron.pk, "back": "show=fits&page=2"})
    assert response.url == f"{reverse('candidates', args=[visit.reference])}?show=fits&page=2#piece-{heron.pk}"


def test_words_are_written_down_with_a_length_in_the_readers_unit(stylist, visit):
    said = text_of(missed(stylist, visit, words="Short fringe, ash", length_mm="20"))
    assert "Written down as asked for and not in the drawer: Short fringe, ash." in said
    assert AskedFor.objects.get().length_mm == 200
    assert "20.0 cm" in said


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"words": " "}, "Write what was missed"),
        ({"words": "Fringe", "length_mm": "four"}, "“four” is not a length"),
        ({"words": "Fringe", "length_mm": "9 m"}, "is not a unit of length here"),
        ({"words": "x" * 161}, "at most 160 characters"),
        ({"variant": "99999999"}, "no longer in the catalogue"),
    ],
)
def test_what_can_not_be_read_is_said_and_nothing_is_written_down(stylist, visit, typed, sentence):
    said = text_of(missed(stylist, visit, **typed))
    assert sentence in said
    assert not AskedFor.objects.exists()
    assert f'value="{typed.get("words", "").strip()}"' in said or not typed.get("words", "").strip()


def test_a_card_offers_it_where_no_unit_lies_in_the_drawer(stylist, visit):
    here, away = VariantFactory(piece__name="Heron Here"), VariantFactory(piece__name="Heron Away")
    UnitFactory(variant=here)
    for show in ("fits", "fits with a change"):
        said = text_of(stylist.get(reverse("candidates", args=[visit.reference]), {"show": show}))
        if "Heron Away" in said:
            break
    assert f'name="variant" value="{away.pk}"' in said
    assert f'name="variant" value="{here.pk}"' not in said
    missed(stylist, visit, variant=away.pk)
    said = text_of(stylist.get(reverse("candidates", args=[visit.reference]), {"show": show}))
    assert "✓ Asked for, not in the drawer" in said
    assert f'name="variant" value="{away.pk}"' not in said


def test_what_was_asked_for_is_the_stylists_alone(desk, visit):
    assert desk.get(reverse("asked-for", args=[visit.reference])).status_code == 403
    assert missed(desk, visit, words="Fringe").status_code == 403


def test_an_empty_list_says_so(stylist, visit):
    assert "Nothing was missed so far." in text_of(stylist.get(reverse("asked-for", args=[visit.reference])))
