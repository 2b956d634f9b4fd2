"""What a group of stock is worth, from sums that fold."""

from functools import reduce

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pieces.review.worth import Held, worth_of

HELD = Held(
    at_start=10,
    came=10,
    sold=9,
    came_back=1,
    takings_minor=900_000,
    costed=7,
    costed_takings_minor=700_000,
    cost_minor=280_000,
    lying=12,
    lain_days=1_200,
    lying_costed=10,
    lying_minor=400_000,
    dead=3,
    dead_minor=120_000,
)


def test_the_figures():
    worth = worth_of(HELD)
    assert (worth.sell_through.x, worth.sell_through.n) == (8, 20)
    assert worth.days_in_drawer == 100
    assert (worth.margin_minor, worth.margin_share, worth.margin_of) == (420_000, 0.6, 7)
    assert (worth.tied_up_minor, worth.tied_up_of) == (400_000, 10)
    assert (worth.dead.x, worth.dead.n, worth.dead_minor) == (3, 12, 120_000)


def test_without_anything_nothing_is_known():
    worth = worth_of(Held())
    assert worth.sell_through.share is None
    assert worth.dead.share is None
    assert worth.days_in_drawer is worth.margin_minor is worth.margin_share is None
    assert worth.tied_up_minor == 0


def test_a_margin_may_be_a_loss_and_a_gift_has_no_share():
    assert worth_of(Held(costed=1, costed_takings_minor=100, cost_minor=150)).margin_share == -0.5
    gift = worth_of(Held(costed=1, cost_minor=150))
    assert (gift.margin_minor, gift.margin_share) == (-150, None)


def test_a_special_order_handed_over_after_the_span_it_came_in_is_borne():
    assert worth_of(Held(sold=2)).sell_through.share == 1


@given(st.lists(st.builds(Held, at_start=st.integers(0, 9), sold=st.integers(0, 9), lain_days=st.integers(0, 9))))
def test_sums_fold_in_any_order(parts):
    one = reduce(Held.__add__, parts, Held())
    assert one == reduce(Held.__add__, parts[::-1], Held())
    assert one.sold == sum(part.sold for part in parts)


def test_no_column_is_lost_in_adding():
    assert HELD + Held() == HELD
    assert (HELD + HELD).dead_minor == pytest.approx(2 * HELD.dead_minor)
