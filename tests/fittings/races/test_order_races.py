"""Several people at one order at the same moment: nothing comes in twice, and nobody is refused by a lock."""

from collections import Counter
from datetime import timedelta

import pytest
from django.db.models import F
from django.utils.timezone import now

from fittings.models import AwaitedPiece
from fittings.ordered_in import order_specially, send
from pieces.models import AskedFor, MakerOrder, OrderLine, SaleLine, StockMovement, Unit
from pieces.selling import LineAsked
from salon.models import Salon
from tests.factories import ClientFactory, DeskFactory, OwnerFactory
from tests.pieces.factories import MakerOrderFactory, OrderLineFactory, SaleFactory, VariantFactory
from tests.pieces.ledger.broken import broken

AT_ONCE, ROUNDS = 6, 6
DEEDS = "tests.fittings.races.order_deeds"
pytestmark = [pytest.mark.slow, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def who():
    return {"by": DeskFactory().pk, "at": now()}


def line_of(count):
    order = MakerOrderFactory(sent=True, drafted_at=now() - timedelta(days=1))
    return OrderLineFactory(order=order, count=count)


def told(outcomes):
    assert [outcome for outcome in outcomes if outcome.what == "broke"] == []
    return Counter(outcome.what for outcome in outcomes)


def test_of_all_who_take_in_the_same_parcel_one_does(who, racers):
    for _ in range(ROUNDS):
        line = line_of(4)
        outcomes = racers.race([(f"{DEEDS}.parcel", {"order_line": line.pk, "count": 4} | who)] * AT_ONCE)
        assert told(outcomes) == {"done": 1, "refused": AT_ONCE - 1}
        assert Unit.objects.filter(movements__order_line=line).count() == 4
        line.refresh_from_db()
        assert (line.received_count, line.order.state) == (4, "closed")
    assert broken() == []


def test_a_part_is_taken_in_once_by_those_who_saw_the_same_page(who, racers):
    for _ in range(ROUNDS):
        line = line_of(6)
        seen = {"order_line": line.pk, "count": 2, "already": 0}
        outcomes = racers.race([(f"{DEEDS}.parcel", seen | who)] * AT_ONCE)
        assert told(outcomes) == {"done": 1, "refused": AT_ONCE - 1}
        assert all("Look again" in outcome.says for outcome in outcomes if outcome.what == "refused")
        unseen = {"order_line": line.pk, "count": 1}
        assert told(racers.race([(f"{DEEDS}.parcel", unseen | who)] * AT_ONCE)) == {"done": 4, "refused": 2}
        assert StockMovement.objects.filter(order_line=line, kind="received").count() == 6
    assert broken() == []


def test_special_orders_at_once_stand_on_one_draft_and_once_for_each_client(who, racers):
    salon = Salon.objects.default().pk
    for number in range(ROUNDS):
        variant = VariantFactory(piece__base__maker__name=f"Maker {number}")
        clients = [ClientFactory(by=OwnerFactory()).pk for _ in range(AT_ONCE // 2)] * 2
        asked = {"variant_key": variant.pk, "salon": salon} | who
        outcomes = racers.race([(f"{DEEDS}.order_for", {"client": client} | asked) for client in clients])
        assert told(outcomes) == {"done": AT_ONCE // 2, "refused": AT_ONCE // 2}
        assert MakerOrder.objects.get(maker=variant.piece.base.maker).lines.count() == AT_ONCE // 2
    assert AwaitedPiece.objects.count() == ROUNDS * AT_ONCE // 2


def test_parcels_sales_days_and_closings_at_once_never_wait_for_each_other_in_a_ring(who, racers):
    """Two lines of one order, each sold: taken in forwards and backwards while the rest happens to the same rows."""
    salon, owner = Salon.objects.default(), OwnerFactory()
    for _ in range(2 * ROUNDS):
        lines, sold = [], []
        for _ in range(3):
            her, variant = ClientFactory(by=owner), VariantFactory()
            awaited = order_specially(client=her, variant=variant, salon=salon, by=owner, at=now())
            lines.append(awaited.order_line)
        for line in lines[:2]:
            sold.append(SaleFactory(client=line.for_client, lines=[LineAsked(order_line=line)], by=owner))
        send(order=lines[0].order, expected_on=None, by=owner, at=now())
        here = {"order_line": lines[0].pk} | who | {"at": now()}
        third = {"client": lines[2].for_client_id, "salon": salon.pk, "order_line": lines[2].pk, "at": now()}
        outcomes = racers.race(
            [
                (f"{DEEDS}.whole_parcel", here | {"backwards": False}),
                (f"{DEEDS}.whole_parcel", here | {"backwards": True}),
                (f"{DEEDS}.close_all", here),
                (f"{DEEDS}.another_day", here),
                ("tests.fittings.races.till_deeds.sell_what_is_ordered", third | {"by": who["by"]}),
                ("pieces.selling.cancel_sale", {"sale": sold[0].pk, "because": "She rang"} | who | {"at": now()}),
            ]
        )
        told(outcomes)
        assert broken() == []
        assert not OrderLine.objects.filter(received_count__gt=F("count")).exists()
        in_step()


def test_a_draft_is_sent_dropped_and_taken_from_at_once_without_a_ring(who, racers):
    salon, owner = Salon.objects.default(), OwnerFactory()
    for _ in range(2 * ROUNDS):
        ordered = {"variant": VariantFactory(), "salon": salon, "by": owner, "at": now()}
        lines = [order_specially(client=ClientFactory(by=owner), **ordered).order_line for _ in range(4)]
        deeds = ["send_it", "drop_it", "take_it_out", "not_wanted", "take_it_out", "not_wanted"]
        about = [lines[0], lines[1], lines[0], lines[1], lines[2], lines[3]]
        at = who | {"at": now()}
        told(
            racers.race([(f"{DEEDS}.{d}", {"order_line": line.pk} | at) for d, line in zip(deeds, about, strict=True)])
        )
        for awaited in AwaitedPiece.objects.filter(order_line__isnull=True):
            assert awaited.given_up_at
        MakerOrder.objects.filter(state="draft").update(state="dropped", closed_at=now(), closed_by=owner)


def test_what_a_visit_missed_is_written_down_once_however_many_press(who, racers):
    for number in range(ROUNDS):
        visit = {"visit_reference": f"F-0000000{number}"} | who
        asked = {"variant": None, "words": "Short fringe", "length_mm": 200 if number % 2 else None}
        assert told(racers.race([("pieces.asking.note_asked_for", visit | asked)] * AT_ONCE)) == {"done": AT_ONCE}
    assert AskedFor.objects.count() == ROUNDS


def in_step():
    """What came is in for the desk, what was agreed has its unit, and what is set aside is set aside for her."""
    for line in OrderLine.objects.filter(for_client__isnull=False).select_related("awaited", "order"):
        assert bool(line.awaited.in_at) == bool(line.received_count)
        assert bool(line.awaited.given_up_at) == bool(line.order.closed_at and not line.received_count)
    for line in SaleLine.objects.filter(order_line__received_count=1, is_live=True):
        assert line.unit is not None
        assert line.unit.reserved_for == line.sale.client
