"""A stocktake: what is met is counted once, what differs from the books is listed and put right with a reason."""

from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError
from django.utils.timezone import now

from pieces.counting import (
    begin_stocktake,
    count_unit,
    differences,
    finish_stocktake,
    number_in,
    put_right_difference,
)
from pieces.models import StockMovement, Stocktake, StocktakeScan
from pieces.stock import hand_over_unit, receive_units, reserve_unit, take_in_unit, write_off
from tests.factories import DeskFactory, OwnerFactory
from tests.pieces.factories import MakerFactory, UnitFactory

pytestmark = pytest.mark.django_db
BEGAN = now() - timedelta(hours=2)


@pytest.fixture
def owner():
    return OwnerFactory()


@pytest.fixture
def lain():
    """Three units that lay here before anybody counted."""
    units = UnitFactory.create_batch(3)
    StockMovement.objects.all()._raw_delete("default")  # the ledger itself can't be changed: it is begun anew, earlier
    StockMovement.objects.bulk_create(
        StockMovement(unit=unit, seq=0, kind="before", to_state="drawer", at=BEGAN - timedelta(days=1))
        for unit in units
    )
    return units


def counted(stocktake, unit, by, minutes=10, how="typed"):
    at = BEGAN + timedelta(minutes=minutes)
    return count_unit(stocktake=stocktake, number=unit.number, how=how, by=by, at=at)


def numbers(rows):
    return sorted(unit.number for unit in rows)


def test_what_was_not_met_is_missing_and_what_was_met_is_not(lain, owner):
    stocktake = begin_stocktake(by=owner, at=BEGAN)
    assert counted(stocktake, lain[0], DeskFactory(), how="camera").says == f"{lain[0].number} is counted."
    assert numbers(differences(stocktake).missing) == numbers(lain[1:])
    assert StocktakeScan.objects.get().how == "camera"


def test_a_unit_is_counted_once_however_often_it_is_met(lain, owner):
    stocktake = begin_stocktake(by=owner, at=BEGAN)
    counted(stocktake, lain[0], owner)
    again = counted(stocktake, lain[0], owner)
    assert (again.again, again.says) == (True, f"{lain[0].number} was counted before.")
    assert stocktake.scans.count() == 1


def test_what_somebody_had_in_hand_since_it_began_is_not_missing_but_what_was_set_aside_on_paper_is(lain, owner):
    stocktake = begin_stocktake(by=owner, at=BEGAN)
    later = {"by": owner, "at": BEGAN + timedelta(minutes=5)}
    [came] = receive_units(variant=lain[0].variant, count=1, purpose="sale", received_on=BEGAN.date(), **later)
    hand_over_unit(unit=lain[0], **later)
    take_in_unit(unit=lain[0], **later)
    reserve_unit(unit=lain[1], **later)
    assert numbers(differences(stocktake).missing) == numbers(lain[1:])
    assert came.number not in numbers(differences(stocktake).missing)


def test_what_was_met_and_sold_afterwards_is_no_difference(lain, owner):
    stocktake = begin_stocktake(by=owner, at=BEGAN)
    for unit in lain:
        counted(stocktake, unit, owner, minutes=5)
    hand_over_unit(unit=lain[0], by=owner, at=BEGAN + timedelta(minutes=9))
    assert differences(stocktake).count() == 0


def test_what_is_met_though_the_books_say_it_is_elsewhere_is_told_and_listed(lain, owner):
    before = {"by": owner, "at": BEGAN - timedelta(hours=1)}
    write_off(unit=lain[0], because="Torn", **before)
    hand_over_unit(unit=lain[1], **before)
    stocktake = begin_stocktake(by=owner, at=BEGAN)
    assert "By the books it is written off." in counted(stocktake, lain[0], owner).says
    assert "By the books it is with a client." in counted(stocktake, lain[1], owner).says
    differ = differences(stocktake)
    assert (numbers(differ.written_off_but_met), numbers(differ.out_but_met)) == ([lain[0].number], [lain[1].number])


def test_a_missing_unit_and_one_found_again_are_put_right_with_a_reason_by_movements_that_name_the_stocktake(
    lain, owner
):
    write_off(unit=lain[0], because="Lost in the spring", by=owner, at=BEGAN - timedelta(hours=1))
    stocktake = begin_stocktake(by=owner, at=BEGAN)
    counted(stocktake, lain[0], owner)
    counted(stocktake, lain[1], owner)
    right = {"stocktake": stocktake, "by": owner, "at": BEGAN + timedelta(hours=1)}
    assert put_right_difference(unit=lain[0], because="Behind the drawer", **right).state == "drawer"
    assert put_right_difference(unit=lain[2], because="Nowhere to be found", **right).state == "gone"
    assert list(stocktake.movements.order_by("pk").values_list("kind", "because")) == [
        ("found", "Behind the drawer"),
        ("not found", "Nowhere to be found"),
    ]
    assert differences(stocktake).count() == 0
    done = finish_stocktake(stocktake=stocktake, by=owner, at=BEGAN + timedelta(hours=2))
    assert (done.expected_count, done.found_count, done.is_open) == (2, 2, False)


def test_nothing_is_put_right_without_a_reason_or_where_nothing_differs(lain, owner):
    hand_over_unit(unit=lain[2], by=owner, at=BEGAN - timedelta(hours=1))
    stocktake = begin_stocktake(by=owner, at=BEGAN)
    counted(stocktake, lain[0], owner)
    counted(stocktake, lain[2], owner)
    right = {"stocktake": stocktake, "by": owner, "at": BEGAN + timedelta(hours=1)}
    with pytest.raises(ValidationError, match="Write why"):
        put_right_difference(unit=lain[1], because=" ", **right)
    with pytest.raises(ValidationError, match="differs from the books no longer"):
        put_right_difference(unit=lain[0], because="Seen", **right)
    with pytest.raises(ValidationError, match="Take it back where it was sold, lent or taken home"):
        put_right_difference(unit=lain[2], because="Seen", **right)
    assert not stocktake.movements.exists()


def test_it_is_finished_with_differences_only_when_they_are_left_knowingly(lain, owner):
    stocktake = begin_stocktake(by=owner, at=BEGAN)
    counted(stocktake, lain[0], owner)
    with pytest.raises(ValidationError, match="2 units differ from the books"):
        finish_stocktake(stocktake=stocktake, by=owner, at=now())
    done = finish_stocktake(stocktake=stocktake, by=owner, at=now(), leaves=True)
    assert (done.expected_count, done.found_count) == (3, 1)
    for deed in (
        lambda: counted(stocktake, lain[1], owner),
        lambda: put_right_difference(stocktake=stocktake, unit=lain[1], because="Gone", by=owner, at=now()),
        lambda: finish_stocktake(stocktake=stocktake, by=owner, at=now()),
    ):
        with pytest.raises(ValidationError, match="is finished"):
            deed()


def test_one_is_open_at_a_time(owner):
    begin_stocktake(by=owner, at=BEGAN)
    with pytest.raises(ValidationError, match="A stocktake is open already"):
        begin_stocktake(by=owner, at=BEGAN)
    assert Stocktake.objects.count() == 1


def test_one_makers_stocktake_counts_that_makers_units_alone(lain, owner):
    other = UnitFactory(variant__piece__base__maker=MakerFactory(name="Osterfen Hairworks"))
    stocktake = begin_stocktake(maker=lain[0].variant.piece.base.maker, by=owner, at=BEGAN)
    assert numbers(differences(stocktake).missing) == numbers(lain)
    with pytest.raises(
        ValidationError, match="is by Osterfen Hairworks; this stocktake goes through Marrowick Atelier"
    ):
        counted(stocktake, other, owner)


@pytest.mark.parametrize("written", ["{0}", " {0} ", "{1}", "https://salon.example/u/{0}/", "http://127.0.0.1/u/{0}"])
def test_a_number_is_read_as_typed_and_as_a_label_holds_it(written):
    number = UnitFactory().number
    assert number_in(written.format(number, number.lower().replace("-", " "))) == number


@pytest.mark.parametrize(
    ("written", "says"),
    [
        ("", "is not a reference"),
        ("https://elsewhere.example/offer", "not one of our labels"),
        ("https://salon.example/u/U-00000000/", "has a slip in it"),
        ("C-7K2M9QAV", "those begin with U"),
        ("x" * 5000, "too long for a reference"),
        ("U-\x00", "is not a reference"),
    ],
)
def test_what_is_no_number_is_told_in_a_sentence(lain, owner, written, says):
    stocktake = begin_stocktake(by=owner, at=BEGAN)
    with pytest.raises(ValidationError, match=says):
        count_unit(stocktake=stocktake, number=written, how="typed", by=owner, at=now())
    assert not stocktake.scans.exists()


def test_a_number_of_nothing_is_told(owner):
    with pytest.raises(ValidationError, match="There is no unit U-"):
        count_unit(
            stocktake=begin_stocktake(by=owner, at=BEGAN),
            number=UnitFactory.build().number,
            how="typed",
            by=owner,
            at=now(),
        )
