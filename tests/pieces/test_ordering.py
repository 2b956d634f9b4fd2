"""Orders to makers: drafts, lines, sending, taking in by parts, closing and dropping."""

import uuid
from datetime import date, datetime, timedelta

import pytest
from django.core.exceptions import ValidationError
from django.utils.timezone import get_current_timezone, localdate, now

from pieces.models import MakerOrder, OrderLine, StockMovement, Unit
from pieces.ordering import (
    MOST_LINES,
    LineWanted,
    add_line,
    change_line,
    close_order,
    draft_order,
    draft_to_add_to,
    drop_order,
    expect_on,
    receive_against,
    remove_line,
    send_order,
)
from pieces.selling import LineAsked, cancel_sale
from tests.factories import ClientFactory, OwnerFactory
from tests.pieces.factories import (
    MakerFactory,
    MakerOrderFactory,
    OrderLineFactory,
    PieceFactory,
    SaleFactory,
    VariantFactory,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def who():
    return {"by": OwnerFactory(), "at": now()}


@pytest.fixture
def sent_line(who):
    """Three of a variant, sent yesterday."""
    order = MakerOrderFactory(sent=True, drafted_at=now() - timedelta(days=1), drafted_by=who["by"])
    return OrderLineFactory(order=order, count=3, variant__piece__base__maker=order.maker)


@pytest.fixture
def hers(who):
    """One variant, ordered for Ada and sent yesterday."""
    order = MakerOrderFactory(sent=True, drafted_at=now() - timedelta(days=1), drafted_by=who["by"])
    return OrderLineFactory(order=order, count=1, for_client=ClientFactory(), variant__piece__base__maker=order.maker)


def maker_of(variant):
    return variant.piece.base.maker


def received(line, who, count=1, received_on=None, **more):
    return receive_against(line=line, count=count, received_on=received_on or localdate(), **who, **more)


def test_a_draft_takes_the_catalogues_cost_unless_another_is_named(who):
    variant, other = VariantFactory(cost_minor=56000), VariantFactory(cost_minor=None)
    lines = [LineWanted(variant=variant, count=3), LineWanted(variant=other, cost_minor=41000, purpose="try-on")]
    order = draft_order(maker=maker_of(variant), lines=lines, note="  By  post ", **who)
    assert (order.state, order.currency, order.note) == ("draft", "GBP", "By post")
    rows = order.lines.order_by("pk").values_list("count", "purpose", "cost_minor", "received_count")
    assert [*rows] == [(3, "sale", 56000, 0), (1, "try-on", 41000, 0)]


def test_the_same_form_sent_twice_drafts_one_order(who):
    variant, key = VariantFactory(), uuid.uuid4()
    lines = [LineWanted(variant=variant)]
    drafted = {draft_order(maker=maker_of(variant), lines=lines, once=key, **who).pk for _ in range(2)}
    assert len(drafted) == OrderLine.objects.count() == 1


def test_what_cannot_be_ordered_is_said_and_nothing_is_kept(who):
    variant = VariantFactory()
    maker = maker_of(variant)
    refused = [
        (LineWanted(variant=VariantFactory(piece__base__maker__name="Tarn & Loom")), "made by Tarn & Loom; this order"),
        (LineWanted(variant=VariantFactory(currency="EUR")), "priced in EUR, this order in GBP"),
        (LineWanted(variant=VariantFactory(discontinued_on=date(2025, 1, 1))), "not been made since 1 January 2025"),
        (LineWanted(variant=variant), "on the order already; change how many"),
        (LineWanted(variant=VariantFactory(), count=501), "Write a number from 1 to 500|less than or equal to 500"),
        (LineWanted(variant=VariantFactory(), count=2, for_client=ClientFactory()), "for one piece, to be sold"),
        (LineWanted(variant=VariantFactory(), expected_on=date(2020, 1, 1)), "1 January 2020 is over"),
    ]
    for wanted, sentence in refused:
        with pytest.raises(ValidationError, match=sentence):
            draft_order(maker=maker, lines=[LineWanted(variant=variant), wanted], **who)
    assert not MakerOrder.objects.exists()
    with pytest.raises(ValidationError, match=f"up to {MOST_LINES} lines"):
        draft_order(maker=maker, lines=[LineWanted(variant=variant)] * (MOST_LINES + 1), **who)
    with pytest.raises(ValidationError, match="no piece of Moss End yet"):
        draft_order(maker=MakerFactory(name="Moss End"), **who)


def test_a_draft_is_added_to_changed_and_taken_from(who):
    variant = VariantFactory()
    order = draft_to_add_to(maker=maker_of(variant), **who)
    assert draft_to_add_to(maker=maker_of(variant), **who) == order
    line = add_line(order=order, wanted=LineWanted(variant=variant), at=who["at"])
    line = change_line(line=line, count=5, purpose="try-on", cost_minor=50000, note="the soft edge")
    assert (line.count, line.purpose, line.cost_minor, line.note) == (5, "try-on", 50000, "the soft edge")
    with pytest.raises(ValidationError, match="500"):
        change_line(line=line, count=501, purpose="sale", cost_minor=None)
    remove_line(line=line)
    assert not order.lines.exists()
    with pytest.raises(ValidationError, match="taken out of the order meanwhile"):
        remove_line(line=line)


def test_an_empty_draft_is_not_sent_and_a_sent_one_is_not_changed(who):
    variant = VariantFactory()
    order = draft_order(maker=maker_of(variant), **who)
    with pytest.raises(ValidationError, match="Nothing stands on this order yet"):
        send_order(order=order, expected_on=None, **who)
    line = add_line(order=order, wanted=LineWanted(variant=variant), at=who["at"])
    for day, sentence in [(localdate() - timedelta(days=1), "is over"), (date(2999, 1, 1), "two years ahead")]:
        with pytest.raises(ValidationError, match=sentence):
            send_order(order=order, expected_on=day, **who)
    order = send_order(order=order, expected_on=localdate() + timedelta(days=9), **who)
    assert (order.state, order.sent_by) == ("sent", who["by"])
    for deed in (
        lambda: send_order(order=order, expected_on=None, **who),
        lambda: add_line(order=order, wanted=LineWanted(variant=VariantFactory()), at=who["at"]),
        lambda: change_line(line=line, count=2, purpose="sale", cost_minor=None),
        lambda: remove_line(line=line),
        lambda: drop_order(order=order, **who),
    ):
        with pytest.raises(ValidationError, match="sent already; only a draft can be changed"):
            deed()


def test_what_is_no_longer_made_is_not_sent_for(who):
    variant = VariantFactory()
    order = draft_order(maker=maker_of(variant), lines=[LineWanted(variant=variant)], **who)
    variant.discontinued_on = localdate()
    variant.save()
    with pytest.raises(ValidationError, match="has not been made since"):
        send_order(order=order, expected_on=None, **who)


def test_units_come_in_by_parts_with_the_orders_cost_and_close_it_with_the_last(sent_line, who):
    first = received(sent_line, who, count=2)
    sent_line.refresh_from_db()
    order = sent_line.order
    assert (order.state, sent_line.received_count, sent_line.to_come) == ("part received", 2, 1)
    assert {(unit.state, unit.cost_minor, unit.variant) for unit in first} == {("drawer", 54000, sent_line.variant)}
    received(sent_line, who)
    order.refresh_from_db()
    assert (order.state, order.closed_by, order.closed_because) == ("closed", who["by"], "")
    assert StockMovement.objects.filter(order_line=sent_line, kind="received").count() == 3
    with pytest.raises(ValidationError, match="is closed"):
        received(sent_line, who)


def test_no_more_comes_in_than_was_ordered_nor_before_it_was_sent_nor_tomorrow(sent_line, who):
    for count, day, sentence in [
        (4, 0, "3 of 3 are still to come"),
        (0, 0, "3 of 3 are still to come"),
        (1, 1, "still to come. Write the day"),
        (1, -2, "nothing came before that"),
    ]:
        with pytest.raises(ValidationError, match=sentence):
            received(sent_line, who, count=count, received_on=localdate() + timedelta(days=day))
    assert not Unit.objects.exists()


def test_who_looked_before_somebody_else_took_some_in_is_told_so(sent_line, who):
    received(sent_line, who, already=0)
    with pytest.raises(ValidationError, match="meanwhile: 1 of 3 are here"):
        received(sent_line, who, already=0)
    assert Unit.objects.count() == 1


def test_more_than_fifty_of_a_line_come_in_together(who):
    line = OrderLineFactory(count=120, order=MakerOrderFactory(sent=True), cost_minor=None)
    assert len(received(line, who, count=120)) == Unit.objects.count() == 120


def test_a_draft_takes_nothing_in(who):
    line = OrderLineFactory()
    with pytest.raises(ValidationError, match="a draft, which has not been sent"):
        received(line, who)


def test_a_piece_ordered_for_her_is_set_aside_for_her(hers, who):
    [unit] = received(hers, who)
    unit.refresh_from_db()
    assert (unit.state, unit.reserved_for) == ("reserved", hers.for_client)
    assert [*unit.movements.in_order().values_list("kind", flat=True)] == ["received", "set aside"]


def test_a_piece_she_no_longer_wants_lies_in_the_drawer(hers, who):
    [unit] = received(hers, who, still_hers=False)
    unit.refresh_from_db()
    assert (unit.state, unit.reserved_for) == ("drawer", None)


def test_a_piece_ordered_for_her_fills_the_line_of_her_sale(hers, who):
    sale = SaleFactory(client=hers.for_client, lines=[LineAsked(order_line=hers)], by=who["by"])
    [unit] = received(hers, who)
    line = sale.lines.get()
    unit.refresh_from_db()
    assert (line.unit, unit.state, unit.reserved_for) == (unit, "reserved", hers.for_client)


def test_an_order_is_not_closed_dropped_or_taken_from_while_a_sale_waits_for_it(hers, who):
    sale = SaleFactory(client=hers.for_client, lines=[LineAsked(order_line=hers)], by=who["by"])
    with pytest.raises(ValidationError, match=f"Sale {sale} waits for this piece; cancel it, .* before it is closed"):
        close_order(order=hers.order, because="The maker gave up", **who)
    cancel_sale(sale=sale, because="Too late for her", by=who["by"], at=now())
    assert close_order(order=hers.order, because="The maker gave up", **who).state == "closed"


def test_closing_needs_a_reason_and_ends_what_was_to_come(sent_line, who):
    received(sent_line, who)
    with pytest.raises(ValidationError, match="Write why nothing more will come"):
        close_order(order=sent_line.order, because="  ", **who)
    closed = close_order(order=sent_line.order, because="No longer made", **who)
    assert (closed.state, closed.closed_because) == ("closed", "No longer made")
    assert not OrderLine.objects.still_to_come().exists()
    with pytest.raises(ValidationError, match="is closed"):
        close_order(order=sent_line.order, because="Again", **who)


def test_a_draft_is_dropped_and_can_still_be_read(who):
    line = OrderLineFactory()
    assert drop_order(order=line.order, **who).state == "dropped"
    assert line.order.lines.count() == 1
    with pytest.raises(ValidationError, match="is dropped; only a draft"):
        drop_order(order=line.order, **who)


def test_the_maker_names_another_day_for_all_or_for_one_line(who):
    order = MakerOrderFactory(sent=True)
    first, second = (OrderLineFactory(order=order, variant=VariantFactory(piece=PieceFactory())) for _ in range(2))
    later, latest = localdate() + timedelta(days=10), localdate() + timedelta(days=20)
    expect_on(order=order, expected_on=later, at=who["at"])
    expect_on(order=order, line=second, expected_on=latest, at=who["at"])
    assert [line.comes_on for line in order.lines.select_related("order").order_by("pk")] == [later, latest]
    with pytest.raises(ValidationError, match="is over"):
        expect_on(order=order, expected_on=localdate() - timedelta(days=1), at=who["at"])
    received(first, who, count=2)
    with pytest.raises(ValidationError, match="All of this line has come in"):
        expect_on(order=order, line=first, expected_on=latest, at=who["at"])
    close_order(order=order, because="Enough", **who)
    with pytest.raises(ValidationError, match="not on its way: closed"):
        expect_on(order=order, expected_on=later, at=who["at"])


def test_the_day_sent_is_the_salons_day(who):
    """Sent at half past eleven at night, received the same day: in UTC that may be two days."""
    night = datetime(2026, 6, 1, 23, 30, tzinfo=get_current_timezone())
    line = OrderLineFactory(order=MakerOrderFactory(sent=True, drafted_at=night), count=1)
    assert received(line, who, received_on=date(2026, 6, 1))


# Selling what is ordered for her


def agree(line, client=None):
    return SaleFactory(client=client or line.for_client, lines=[LineAsked(order_line=line)], by=OwnerFactory())


def test_what_is_ordered_for_her_is_sold_to_her_alone_and_once(hers):
    with pytest.raises(ValidationError, match="not ordered for her"):
        agree(hers, ClientFactory())
    agree(hers)
    with pytest.raises(ValidationError, match="in a sale already"):
        agree(hers)


def test_a_piece_for_the_drawer_is_sold_when_it_is_there(sent_line):
    with pytest.raises(ValidationError, match="not ordered for her"):
        agree(sent_line, ClientFactory())


def test_what_has_come_is_sold_as_its_unit_and_what_will_not_come_not_at_all(hers, who):
    other = OrderLineFactory(order=MakerOrderFactory(sent=True), count=1, for_client=hers.for_client)
    received(hers, who)
    with pytest.raises(ValidationError, match="has come in; choose its unit"):
        agree(hers)
    close_order(order=other.order, because="The maker gave up", by=who["by"], at=now())
    with pytest.raises(ValidationError, match="is closed; the piece will not come with it"):
        agree(other)


def test_after_a_cancelled_sale_the_same_special_order_is_sold_anew(hers, who):
    cancel_sale(sale=agree(hers), because="The wrong price", by=who["by"], at=now())
    sale = agree(hers)
    [unit] = received(hers, who)
    assert sale.lines.get().unit == unit
