"""What is proposed to be ordered: how many suffice, what is here already, and what consults asked for in vain."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from pieces.review.reordering import SERVICE, Stocked, propose, suffices

YEAR = 365


def lines(*stocked, **more):
    return propose(stocked, span_days=YEAR, **more).lines


def variant(key="a", size="M", shade="brown", **more):
    return Stocked(key, size, shade, **more)


def test_what_sells_is_filled_up_to_what_suffices():
    [line] = lines(variant(sold=24, in_drawer=1, on_the_way=1, lead_days=30))
    assert line.enough == suffices(24, YEAR, 60)
    assert line.count == line.enough - 2
    assert line.wanted == pytest.approx(24 * 60 / YEAR)


def test_what_lies_here_or_comes_anyway_is_not_ordered_again():
    enough = suffices(24, YEAR, 60)
    assert not lines(variant(sold=24, in_drawer=enough, lead_days=30))
    assert not lines(variant(sold=24, on_the_way=enough, lead_days=30))


def test_what_came_back_was_no_demand():
    assert not lines(variant(sold=2, came_back=2))
    assert lines(variant(sold=8, came_back=1))[0].enough == suffices(7, YEAR, 58)


def test_twice_a_year_is_kept_and_once_is_not():
    assert [line.count for line in lines(variant(sold=2))] == [1]
    assert not lines(variant(sold=1))


def test_one_that_was_asked_for_in_vain_is_kept_and_comes_first():
    asked, sold = lines(variant("sold", sold=20), variant("asked", shade="red", asked=1))
    assert (asked.key, asked.count, asked.asked) == ("asked", 1, 1)
    assert sold.key == "sold"


def test_what_is_no_longer_made_is_not_ordered_but_its_like_is():
    gone = variant("gone", asked=2, sold=9, can_be_ordered=False)
    slow, like = variant("slow"), variant("like", sold=1)
    other_shade, other_size = variant("red", shade="red"), variant("large", size="L")
    [line] = lines(gone, slow, like, other_shade, other_size)
    assert (line.key, line.asked, line.asked_for_others) == ("like", 0, 2)


def test_what_is_no_longer_made_and_lies_here_serves_those_who_asked():
    last = variant("last", asked=1, in_drawer=1, can_be_ordered=False)
    proposal = propose([last, variant("like")], span_days=YEAR)
    assert not proposal.lines
    assert (proposal.found_now.x, proposal.found_now.n) == (1, 1)


def test_it_says_how_many_of_those_who_asked_would_find_it_then():
    stocked = [
        variant("here", asked=2, in_drawer=2),
        variant("red", shade="red", asked=3),
        variant("coming", shade="grey", asked=1, on_the_way=1),
        variant("gone", shade="blue", asked=4, can_be_ordered=False),
    ]
    proposal = propose(stocked, span_days=YEAR)
    assert (proposal.found_now.x, proposal.found_now.n) == (2, 10)
    assert (proposal.found_then.x, proposal.found_then.n) == (6, 10)


def test_nothing_stocked_gives_nothing():
    proposal = propose([], span_days=30)
    assert proposal.lines == []
    assert proposal.found_now.share is None


@pytest.mark.parametrize(
    "wrong", [{"span_days": 0}, {"span_days": 9, "review_days": -1}, {"span_days": 9, "service": 1}]
)
def test_what_cannot_be_reckoned_with_is_refused(wrong):
    with pytest.raises(ValueError, match="one day or more"):
        propose([], **wrong)


# the predictive distribution of a Poisson count whose rate has a gamma distribution, integrated here the long way
@pytest.mark.parametrize(
    ("demand", "span_days", "ahead_days"), [(0, 90, 40), (3, 365, 58), (24, 365, 60), (80, 180, 20)]
)
def test_it_suffices_as_often_as_it_says_and_one_less_does_not(demand, span_days, ahead_days):
    rates = stats.gamma(demand + 0.5, scale=1 / span_days)
    shares = (np.arange(20_000) + 0.5) / 20_000
    enough = suffices(demand, span_days, ahead_days)
    for count, is_enough in ((enough, True), (enough - 1, False)):
        met = stats.poisson.cdf(count, rates.ppf(shares) * ahead_days).mean()
        assert (met >= SERVICE - 1e-4) == is_enough


def test_over_many_variants_the_drawer_suffices_as_often_as_it_says():
    """Demand that truly is Poisson, its rates spread as in a drawer; seen for a year, then 58 days ahead."""
    rng = np.random.default_rng(4)
    rates = rng.gamma(0.5, 8, 4000) / YEAR
    seen, then = rng.poisson(rates * YEAR), rng.poisson(rates * 58)
    met = [suffices(int(count), YEAR, 58) >= wanted for count, wanted in zip(seen, then, strict=True)]
    assert SERVICE <= np.mean(met) < 0.97  # whole pieces: more than asked for, for one can't order half


@given(st.integers(0, 200), st.integers(1, 800), st.integers(0, 200))
def test_more_demand_or_a_longer_wait_never_needs_fewer(demand, span_days, ahead_days):
    enough = suffices(demand, span_days, ahead_days)
    assert suffices(demand + 1, span_days, ahead_days) >= enough
    assert suffices(demand, span_days, ahead_days + 10) >= enough


@given(
    st.lists(
        st.builds(
            Stocked,
            key=st.uuids(),
            size=st.sampled_from("SML"),
            shade=st.sampled_from("xyz"),
            sold=st.integers(0, 40),
            came_back=st.integers(0, 5),
            asked=st.integers(0, 4),
            in_drawer=st.integers(0, 4),
            on_the_way=st.integers(0, 4),
            can_be_ordered=st.booleans(),
        ),
        max_size=25,
        unique_by=lambda one: one.key,
    )
)
def test_a_proposal_orders_only_what_can_be_ordered_and_never_leaves_fewer_served(stocked):
    proposal = propose(stocked, span_days=YEAR)
    by_key = {one.key: one for one in stocked}
    assert all(line.count > 0 and by_key[line.key].can_be_ordered for line in proposal.lines)
    assert len({line.key for line in proposal.lines}) == len(proposal.lines)
    assert proposal.found_now.x <= proposal.found_then.x <= proposal.found_then.n
    asked = [line.asked + line.asked_for_others for line in proposal.lines]
    assert asked == sorted(asked, reverse=True)
