"""Special orders: the piece stands on a draft, the desk awaits it, and both say the same from then on."""

from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError
from django.utils.timezone import localdate, now

from fittings.awaiting import await_piece, piece_came_in
from fittings.free_times import earliest_for
from fittings.models import AwaitedPiece
from fittings.ordered_in import (
    Arrived,
    Deposit,
    awaited_came_in,
    awaited_no_longer_wanted,
    awaited_on_another_day,
    close,
    drop,
    expect,
    order_specially,
    send,
    take_in,
    take_out,
)
from pieces.models import MakerOrder, OrderLine, Payment, Receipt, Unit
from pieces.selling import LineAsked
from salon.models import Salon
from tests.factories import ClientFactory, DeskFactory
from tests.fittings.factories import ServiceKindFactory
from tests.pieces.factories import SaleFactory, VariantFactory

pytestmark = pytest.mark.django_db
SOON, LATER = timedelta(days=6), timedelta(days=12)


@pytest.fixture
def who():
    return {"by": DeskFactory(), "at": now()}


@pytest.fixture
def ada():
    return ClientFactory()


def ordered(ada, who, **asked):
    asked = {"variant": VariantFactory(), "expected_on": localdate() + SOON} | asked
    return order_specially(client=ada, salon=Salon.objects.default(), **asked, **who)


@pytest.fixture
def on_its_way(ada, who):
    awaited = ordered(ada, who)
    send(order=awaited.order_line.order, expected_on=None, **who)
    awaited.order_line.refresh_from_db()
    return awaited


def kept(awaited):
    return AwaitedPiece.objects.select_related("order_line__order").get(pk=awaited.pk)


def arrives(awaited, who, **more):
    line = kept(awaited).order_line
    return take_in(order=line.order, arrived=[Arrived(line, 1)], received_on=localdate(), **who, **more)


def test_it_stands_on_a_draft_for_her_and_the_desk_expects_it(ada, who):
    awaited = ordered(ada, who)
    line = awaited.order_line
    assert (line.order.state, line.for_client, line.count) == ("draft", ada, 1)
    assert (awaited.client, awaited.variant, awaited.what) == (ada, line.variant, line.variant.told("metric"))
    assert awaited.expected_on == line.expected_on == localdate() + SOON


def test_two_of_one_maker_stand_on_one_draft(ada, who):
    first = ordered(ada, who)
    second = ordered(ClientFactory(), who, variant=VariantFactory())
    assert first.order_line.order == second.order_line.order
    assert MakerOrder.objects.count() == 1


def test_a_second_press_orders_nothing_twice_and_takes_no_second_deposit(ada, who):
    deposit = Deposit(20000, "card")
    awaited = ordered(ada, who, deposit=deposit)
    with pytest.raises(ValidationError, match="has been on its way for her since"):
        ordered(ada, who, variant=awaited.variant, deposit=deposit)
    assert OrderLine.objects.count() == Payment.objects.count() == Receipt.objects.count() == 1
    assert ordered(ada, who, variant=awaited.variant, note="the spare").what.endswith("the spare")


def test_her_deposit_is_held_for_her_with_a_receipt(ada, who):
    awaited = ordered(ada, who, deposit=Deposit(20000, "cash"))
    payment = Payment.objects.held().get()
    assert (payment.client, payment.amount_minor, payment.is_deposit) == (ada, 20000, True)
    assert payment.what_for == f"{awaited.variant.piece}, {awaited.variant.shade.name}, on order"


def test_what_the_desk_noted_in_words_becomes_the_order_and_stays_what_visits_wait_for(ada, who):
    noted = await_piece(client=ada, what="Heron, walnut", **who)
    awaited = ordered(ada, who, noted=noted)
    assert awaited == noted
    assert (kept(noted).variant, kept(noted).expected_on) == (awaited.order_line.variant, localdate() + SOON)
    with pytest.raises(ValidationError, match="is ordered already"):
        ordered(ada, who, noted=noted, variant=VariantFactory())
    others = await_piece(client=ClientFactory(), what="Heron, walnut", **who)
    with pytest.raises(ValidationError, match="for another client"):
        ordered(ada, who, noted=others, variant=VariantFactory())
    assert OrderLine.objects.count() == 1


def test_a_name_too_long_for_the_desk_is_cut(ada, who):
    variant = VariantFactory(piece__name="Heron " + "W" * 70, shade__code="walnut-" + "x" * 17)
    assert len(ordered(ada, who, variant=variant, note="n" * 200).what) == 120


def test_the_day_of_the_order_and_of_its_line_reach_the_desk(ada, who):
    awaited = ordered(ada, who, expected_on=None)
    order = awaited.order_line.order
    send(order=order, expected_on=localdate() + SOON, **who)
    assert kept(awaited).expected_on == localdate() + SOON
    expect(order=order, expected_on=localdate() + LATER, **who)
    assert kept(awaited).expected_on == localdate() + LATER
    awaited_on_another_day(awaited=kept(awaited), expected_on=localdate() + SOON, **who)
    assert kept(awaited).expected_on == kept(awaited).order_line.expected_on == localdate() + SOON


def test_a_fitting_waits_for_its_day_until_it_is_in(ada, on_its_way, who):
    wanted = {"kind": ServiceKindFactory(purpose="fitting"), "client": ada, "at": who["at"]}
    [wait] = earliest_for(**wanted)
    assert (localdate(wait.until), wait.because.split(" is expected")[0]) == (localdate() + SOON, on_its_way.what)
    arrives(on_its_way, who)
    assert earliest_for(**wanted) == []


def test_when_it_arrives_it_is_numbered_set_aside_for_her_and_awaited_no_longer(ada, on_its_way, who):
    [unit] = arrives(on_its_way, who)
    unit.refresh_from_db()
    assert (unit.state, unit.reserved_for) == ("reserved", ada)
    assert (kept(on_its_way).in_at, kept(on_its_way).in_by) == (who["at"], who["by"])
    assert kept(on_its_way).order_line.order.state == "closed"


def test_the_desks_press_takes_it_in_through_its_order(ada, on_its_way, who):
    with pytest.raises(ValidationError, match="take it in there"):
        piece_came_in(awaited=kept(on_its_way), **who)
    assert awaited_came_in(awaited=kept(on_its_way), **who).in_at == who["at"]
    assert Unit.objects.get().reserved_for == ada
    with pytest.raises(ValidationError, match="came in on"):
        awaited_came_in(awaited=kept(on_its_way), **who)
    assert Unit.objects.count() == 1


def test_nothing_comes_in_of_a_draft(ada, who):
    awaited = ordered(ada, who)
    with pytest.raises(ValidationError, match="a draft, which has not been sent"):
        awaited_came_in(awaited=kept(awaited), **who)
    assert kept(awaited).in_at is None


def test_one_no_longer_wanted_leaves_a_draft(ada, who):
    awaited = ordered(ada, who)
    given_up = awaited_no_longer_wanted(awaited=kept(awaited), **who)
    assert (given_up.given_up_at, given_up.order_line) == (who["at"], None)
    assert not OrderLine.objects.exists()


def test_one_no_longer_wanted_lies_in_the_drawer_when_it_comes(on_its_way, who):
    awaited_no_longer_wanted(awaited=kept(on_its_way), **who)
    [unit] = arrives(on_its_way, who)
    assert (unit.state, unit.reserved_for, kept(on_its_way).in_at) == ("drawer", None, None)


def test_a_piece_that_is_sold_to_her_is_not_given_up_behind_her_sale(ada, on_its_way, who):
    sale = SaleFactory(client=ada, lines=[LineAsked(order_line=on_its_way.order_line)], by=who["by"])
    for deed in (
        lambda: awaited_no_longer_wanted(awaited=kept(on_its_way), **who),
        lambda: close(order=on_its_way.order_line.order, because="Never came", **who),
    ):
        with pytest.raises(ValidationError, match=f"Sale {sale} waits for this piece"):
            deed()
    assert kept(on_its_way).given_up_at is None
    arrives(on_its_way, who)
    assert sale.lines.get().unit == Unit.objects.get()


def test_closing_dropping_and_taking_out_end_the_wait(ada, who):
    closed, dropped, out = (ordered(ClientFactory(), who, variant=VariantFactory()) for _ in range(3))
    take_out(line=out.order_line, **who)
    assert (kept(out).order_line, kept(out).given_up_by) == (None, who["by"])
    order = closed.order_line.order
    send(order=order, expected_on=None, **who)
    close(order=order, because="The maker gave up", **who)
    assert kept(closed).given_up_at == kept(dropped).given_up_at == who["at"]
    third = ordered(ada, who)
    drop(order=third.order_line.order, **who)
    assert kept(third).given_up_at == who["at"]


def test_a_parcel_is_taken_in_whole_or_not_at_all(ada, on_its_way, who):
    line = kept(on_its_way).order_line
    with pytest.raises(ValidationError) as refused:
        take_in(
            order=line.order,
            arrived=[Arrived(line, 1), Arrived(line, 1)],
            received_on=localdate(),
            **who,
        )
    assert "is closed" in str(refused.value)
    with pytest.raises(ValidationError, match="at least one line"):
        take_in(order=line.order, arrived=[], received_on=localdate(), **who)
    with pytest.raises(ValidationError) as refused:
        take_in(order=line.order, arrived=[Arrived(line, 2)], received_on=localdate(), **who)
    assert refused.value.message_dict == {f"count-{line.pk}": ["1 of 1 are still to come; write a number up to that."]}
    assert not Unit.objects.exists()
