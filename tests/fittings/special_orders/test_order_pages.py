"""The pages of orders to makers: who may what, what is said of bad input, and that nothing typed is lost."""

import uuid
from datetime import timedelta
from html import unescape

import pytest
from django.urls import reverse
from django.utils.timezone import localdate, now

from pieces.models import MakerOrder, OrderLine, Unit
from pieces.ordering import drop_order
from tests.factories import ClientFactory, DeskFactory, OwnerFactory, StylistFactory
from tests.pieces.factories import (
    MakerFactory,
    MakerOrderFactory,
    OrderLineFactory,
    PieceFactory,
    VariantFactory,
)

pytestmark = pytest.mark.django_db
SOON = timedelta(days=8)


@pytest.fixture
def owner(client):
    client.force_login(OwnerFactory())
    return client


@pytest.fixture
def desk(client):
    client.force_login(DeskFactory())
    return client


@pytest.fixture
def draft():
    return OrderLineFactory(variant__piece__name="Heron Weir").order


@pytest.fixture
def sent():
    """Two of one piece and one for Ada."""
    order = MakerOrderFactory(sent=True, drafted_at=now() - timedelta(days=2), expected_on=localdate() + SOON)
    OrderLineFactory(order=order, count=2, variant__piece__name="Heron Weir")
    OrderLineFactory(order=order, count=1, variant__piece__name="Quarry Lane", for_client=ClientFactory())
    return order


def text_of(response):
    return unescape(response.content.decode())


def to(name, order, page, **sent):
    return page.post(reverse(name, args=[order.reference]), sent, follow=True)


def test_an_empty_list_says_how_an_order_begins(desk):
    assert "No order is open. One begins here" in text_of(desk.get(reverse("maker-orders")))
    assert "None." in text_of(desk.get(reverse("maker-orders"), {"show": "closed"}))


def test_the_list_tells_what_is_late_and_what_came(desk, sent):
    MakerOrder.objects.update(expected_on=localdate() - timedelta(days=1))
    said = text_of(desk.get(reverse("maker-orders")))
    assert "overdue" in said
    assert "0 of 3" in said
    assert "1 for a client" in said


def test_the_list_is_paged_at_the_same_queries_for_three_orders_as_for_thirty(owner, queries_for):
    for _ in range(3):
        OrderLineFactory()
    few = queries_for(reverse("maker-orders"), by=owner)
    for _ in range(27):
        OrderLineFactory()
    assert queries_for(reverse("maker-orders"), by=owner) == few
    page = owner.get(reverse("maker-orders")).context["page"]
    assert (len(page), page.paginator.num_pages) == (25, 2)


def test_the_page_of_an_order_takes_the_same_queries_for_three_lines_as_for_thirty(owner, queries_for):
    order = MakerOrderFactory()
    maker = order.maker
    shown = f"{order.get_absolute_url()}?q=heron"
    for _ in range(3):
        OrderLineFactory(order=order, variant=VariantFactory(piece__base__maker=maker, piece__name="Heron"))
    few = queries_for(shown, by=owner)
    for _ in range(27):
        OrderLineFactory(order=order, variant=VariantFactory(piece__base__maker=maker, piece__name="Heron"))
    assert queries_for(shown, by=owner) == few


def test_units_that_came_are_paged(owner):
    line = OrderLineFactory(order=MakerOrderFactory(sent=True), count=60)
    to("maker-order-receive", line.order, owner, received_on=localdate(), all="yes")
    page = owner.get(line.order.get_absolute_url()).context["came"]
    assert (len(page), page.paginator.count) == (25, 60)


def test_the_owner_begins_a_draft_and_a_second_press_begins_no_second(owner):
    maker = VariantFactory().piece.base.maker
    form = {"maker": maker.pk, "note": "By post", "once": uuid.uuid4()}
    for _ in range(2):
        said = text_of(owner.post(reverse("maker-order-new"), form, follow=True))
        assert "A draft to Marrowick Atelier is begun" in said
    assert MakerOrder.objects.get().note == "By post"
    assert "Drafts that are open" in text_of(owner.get(reverse("maker-order-new")))


def test_a_draft_without_a_maker_is_refused_with_its_note_still_there(owner):
    nobody = MakerFactory(name="Moss End")  # has no piece
    for maker, sentence in [("", "Choose the maker."), (nobody.pk, "Choose one of the makers shown.")]:
        said = text_of(owner.post(reverse("maker-order-new"), {"maker": maker, "note": "By green post"}))
        assert sentence in said
        assert 'value="By green post"' in said
    assert not MakerOrder.objects.exists()


def test_a_piece_is_found_and_put_on_the_draft(owner, draft):
    other = VariantFactory(piece__name="Heron Low", piece__base__maker=draft.maker)
    VariantFactory(piece__name="Heron Far", piece__base__maker__name="Tarn & Loom")
    said = text_of(owner.get(draft.get_absolute_url(), {"q": "heron low"}))
    assert "None in the drawer, none on the way" in said
    assert "Heron Far" not in said
    said = text_of(
        to("maker-order-line", draft, owner, deed="add", variant=other.pk, count="3", purpose="sale", q="heron low")
    )
    assert "On the order: 3 × Heron Low" in said
    assert draft.lines.get(variant=other).count == 3


def test_what_can_not_be_put_on_is_said_beside_it_with_what_was_typed(owner, draft):
    line = draft.lines.get()
    wrong = [
        ({"variant": line.variant_id, "count": "2"}, "on the order already; change how many"),
        ({"variant": line.variant_id, "count": "six"}, "Write a whole number from 1 to 500."),
        ({"variant": line.variant_id, "count": "501"}, "Write a whole number from 1 to 500."),
        ({"variant": "", "count": "2"}, "Find the piece and press it."),
        ({"variant": "999999", "count": "2"}, "Find the piece and press it."),
    ]
    for typed, sentence in wrong:
        said = text_of(to("maker-order-line", draft, owner, deed="add", purpose="sale", q="heron", **typed))
        assert sentence in said.split("What stands on it")[0], f"{typed}: it is said where the page opens"
    assert 'value="heron"' in said
    assert draft.lines.count() == 1


def test_nothing_found_is_said(owner, draft):
    assert "has all these words" in text_of(owner.get(draft.get_absolute_url(), {"q": "nowhere"}))


def test_a_line_is_changed_and_taken_out(owner, draft):
    line = draft.lines.get()
    changed = {"count": "5", "purpose": "try-on", "cost_minor": "£512.50", "note": "The soft edge"}
    to("maker-order-line", draft, owner, deed="change", line=line.pk, **changed)
    line.refresh_from_db()
    assert (line.count, line.purpose, line.cost_minor, line.note) == (5, "try-on", 51250, "The soft edge")
    said = text_of(
        to("maker-order-line", draft, owner, deed="change", line=line.pk, **changed | {"cost_minor": "a lot"})
    )
    assert "“a lot” is not" in said
    assert 'value="a lot"' in said
    assert "is off the order" in text_of(to("maker-order-line", draft, owner, deed="take out", line=line.pk))
    assert "no longer on the order" in text_of(to("maker-order-line", draft, owner, deed="take out", line=line.pk))
    assert not OrderLine.objects.exists()


def test_costs_are_the_owners_alone(desk, draft):
    assert "£540.00" not in text_of(desk.get(draft.get_absolute_url()))
    desk.force_login(StylistFactory())
    assert "£540.00" not in text_of(desk.get(draft.get_absolute_url()))
    desk.force_login(OwnerFactory())
    assert "£540.00 each" in text_of(desk.get(draft.get_absolute_url()))
    assert "£1,080.00" in text_of(desk.get(draft.get_absolute_url()))


def test_the_file_for_the_maker_names_no_client_and_no_cost(desk, sent):
    response = desk.get(reverse("maker-order-csv", args=[sent.reference]))
    file = b"".join(response.streaming_content).decode()
    assert file.count("\n") == 3
    assert "Heron Weir" in file
    assert "Ashdown" not in file
    assert "540" not in file


def test_a_draft_is_sent_on_its_day(owner, draft):
    for day, sentence in [("yesterday", "Write the day as 2026-12-24."), ("2001-01-01", "1 January 2001 is over")]:
        assert sentence in text_of(to("maker-order-send", draft, owner, expected_on=day))
    said = text_of(to("maker-order-send", draft, owner, expected_on=localdate() + SOON))
    assert "is marked as sent" in said
    assert "sent already; only a draft can be changed" in text_of(to("maker-order-send", draft, owner))


def test_a_draft_is_dropped_once(owner, draft):
    assert "is dropped" in text_of(to("maker-order-drop", draft, owner))
    assert "only a draft can be changed" in text_of(to("maker-order-drop", draft, owner))


def test_the_desk_takes_a_parcel_in_by_parts(desk, sent):
    first, second = sent.lines.order_by("pk")
    typed = {f"count-{first.pk}": "1", f"already-{first.pk}": "0", f"already-{second.pk}": "0"}
    said = text_of(to("maker-order-receive", sent, desk, received_on=localdate(), **typed))
    assert "Taken in; each has a number of its own" in said
    assert "1 of 2 came" in said
    assert Unit.objects.get().number in said
    said = text_of(to("maker-order-receive", sent, desk, received_on=localdate(), all="yes", **typed))
    assert "Somebody took in" in said  # the same page, sent again
    assert Unit.objects.count() == 1
    said = text_of(to("maker-order-receive", sent, desk, received_on=localdate(), all="yes"))
    assert (Unit.objects.count(), Unit.objects.filter(reserved_for=second.for_client).count()) == (3, 1)
    assert "Closed" in said


def test_after_a_refusal_the_page_goes_on_from_what_is_here_now(desk, sent):
    first = sent.lines.order_by("pk")[0]
    typed = {f"count-{first.pk}": "1", f"already-{first.pk}": "0"}
    to("maker-order-receive", sent, desk, received_on=localdate(), **typed)
    page = to("maker-order-receive", sent, desk, received_on=localdate(), **typed).context["receive"]
    assert page[f"already-{first.pk}"].value() == 1
    assert page[f"count-{first.pk}"].value() == "1"


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({}, "Write how many came of at least one line."),
        ({"count": "3"}, "Write a whole number, up to 2."),
        ({"count": "-1"}, "Write a whole number, up to 2."),
        ({"count": "1.5"}, "Write a whole number, up to 2."),
        ({"count": "1", "received_on": ""}, "Write the day on which the pieces came in."),
        ({"count": "1", "received_on": "2001-01-01"}, "nothing came before that"),
        ({"count": "1", "received_on": f"{localdate() + timedelta(days=2)}"}, "That day is still to come."),
    ],
)
def test_a_parcel_that_can_not_be_is_refused(desk, sent, typed, sentence):
    first = sent.lines.order_by("pk")[0]
    count = typed.pop("count", "")
    said = text_of(
        to(
            "maker-order-receive",
            sent,
            desk,
            **{"received_on": f"{localdate()}"} | typed,
            **{f"count-{first.pk}": count},
        )
    )
    assert sentence in said
    assert not Unit.objects.exists()
    assert not count or f'value="{count}"' in said


def test_another_day_and_the_end_of_an_order(owner, sent):
    later = localdate() + timedelta(days=20)
    assert "The day is saved" in text_of(to("maker-order-expect", sent, owner, expected_on=later))
    assert "is over" in text_of(to("maker-order-expect", sent, owner, expected_on="2001-01-01"))
    assert "Write why nothing more will come." in text_of(to("maker-order-close", sent, owner, because=""))
    said = text_of(to("maker-order-close", sent, owner, because="No longer made"))
    assert ": No longer made." in said
    for name in ("maker-order-expect", "maker-order-close"):
        assert "closed" in text_of(to(name, sent, owner, because="Again", expected_on=later))


def test_an_order_that_is_not_there_is_no_page(owner, sent):
    for name in ("maker-order", "maker-order-csv"):
        assert owner.get(reverse(name, args=["M-0000000X"])).status_code == 404
    assert owner.post(reverse("maker-order-send", args=["M-0000000X"])).status_code == 404


def test_a_dropped_order_can_be_read(owner, draft):
    drop_order(order=draft, by=OwnerFactory(), at=now())
    said = text_of(owner.get(draft.get_absolute_url()))
    assert "Dropped on" in said
    assert "Heron Weir" in said
    assert draft.reference in text_of(owner.get(reverse("maker-orders"), {"show": "dropped"}))


def test_the_makers_own_pace_is_told_where_a_draft_is_sent(owner, draft):
    for days in (5, 6, 7, 8):
        piece = PieceFactory(base__maker=draft.maker)
        order = MakerOrderFactory(sent=True, drafted_at=now() - timedelta(days=days))
        line = OrderLineFactory(order=order, variant=VariantFactory(piece=piece), count=1)
        to("maker-order-receive", line.order, owner, received_on=localdate(), all="yes")
    assert "half of 4 parcels of this maker came within" in text_of(owner.get(draft.get_absolute_url()))
