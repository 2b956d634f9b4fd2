"""Two shades together and the share of grey: least squares in linear light, checked against general libraries."""

import itertools

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import nnls

from salon.colour import mixing
from salon.colour.bands import Band, BandLimits
from salon.colour.cross_reading import CrossReading
from salon.colour.difference import ciede2000
from salon.colour.lab import lab_from_xyz, xyz_from_lab
from salon.colour.matching import Reading, ZoneWeights, match_shades, ranked
from salon.colour.mixing import GreyShare, Mix, best_mix, closest_mix, grey_share, pair_shares

LIMITS = BandLimits(disappears=2, close=4, shows=6)
ALIKE = ZoneWeights(1, 1, 1)
ZONES = ("root", "mid", "ends")
DARK = np.array([[24.0, 4.0, 6.0], [26.0, 5.0, 8.0], [29.0, 6.0, 10.0]])
LIGHT = np.array([[52.0, 8.0, 22.0], [56.0, 8.5, 24.0], [60.0, 8.0, 26.0]])

colours = st.tuples(st.floats(8, 90), st.floats(-2, 15), st.floats(-2, 35))
hair = st.tuples(colours, colours, colours)
some_shades = st.lists(hair, min_size=2, max_size=9).map(np.array)
zone_counts = st.tuples(*[st.floats(0.05, 1)] * 3)


def read(lab, doubt=0.6, **more):
    return {zone: Reading(tuple(colour), doubt, "instrument", **more) for zone, colour in zip(ZONES, lab, strict=True)}


def together(share, one=DARK, other=LIGHT):
    return lab_from_xyz(share * xyz_from_lab(one) + (1 - share) * xyz_from_lab(other))


def closest(own, shades, weights=ALIKE, **more):
    return closest_mix(read(own), {"instrument": shades}, weights=weights, limits=LIMITS, **more)


def distance_in_xyz(lab, own, counts):
    apart = xyz_from_lab(lab) - xyz_from_lab(own)
    return float(np.sqrt((apart**2).sum(axis=-1) @ np.array(counts)))


def by_nnls(own, one, other, counts):
    """The share of `one` by scipy.optimize.nnls; that the two add up to 1 is a row that outweighs the others."""
    rows = np.sqrt(np.repeat(counts, 3))
    heavy = 1e4
    columns = np.stack([np.append(xyz_from_lab(shade).ravel() * rows, heavy) for shade in (one, other)], axis=1)
    shares, _ = nnls(columns, np.append(xyz_from_lab(own).ravel() * rows, heavy))
    return shares[0]


# two shades


def test_hair_mixed_of_two_shades_is_found_again_with_its_shares():
    mix = closest(together(0.7), [LIGHT, DARK, np.add(LIGHT, [15, 0, 0])])
    assert mix.shades == (1, 0)
    assert mix.shares == pytest.approx((0.7, 0.3))
    assert mix.named.difference == pytest.approx(0, abs=1e-6)
    assert mix.in_words("Peat", "Straw") == "about two parts of Peat to one of Straw (70 % and 30 %)"
    np.testing.assert_allclose([mix.colours[zone] for zone in ZONES], together(0.7))


@given(hair, hair, hair, zone_counts)
def test_the_shares_are_those_of_non_negative_least_squares(own, one, other, counts):
    own, one, other = (np.array(lab) for lab in (own, one, other))
    if abs(xyz_from_lab(one) - xyz_from_lab(other)).max() < 1e-3:
        return  # two shades of one colour have any share
    ours = pair_shares(*(xyz_from_lab(lab) for lab in (one, other, own)), np.array(counts))
    assert ours == pytest.approx(by_nnls(own, one, other, counts), abs=1e-4)


def test_a_mix_of_light_is_what_colour_science_makes_of_it():
    # colour-science 0.4.7: XYZ of both by Lab_to_XYZ for D65, averaged, and back
    colour = pytest.importorskip("colour.models")
    white = np.array([0.9505, 1.0, 1.089])
    chromaticity = white[:2] / white.sum()
    half = (colour.Lab_to_XYZ(DARK, chromaticity) + colour.Lab_to_XYZ(LIGHT, chromaticity)) / 2
    np.testing.assert_allclose(together(0.5), colour.XYZ_to_Lab(half, chromaticity), atol=1e-6)
    mix = closest(colour.XYZ_to_Lab(half, chromaticity), [DARK, LIGHT])
    assert mix.shares == pytest.approx((0.5, 0.5))
    assert mix.in_words("A", "B").startswith("about equal parts of ")


@given(hair, some_shades, zone_counts)
def test_shares_add_up_to_one_and_are_never_negative(own, shades, counts):
    mix = closest(own, shades, ZoneWeights(*counts))
    if mix:
        assert sum(mix.shares) == pytest.approx(1)
        assert mix.shares[0] >= mix.shares[1] >= mixing.LEAST_SHARE - 1e-9


@given(hair, some_shades, zone_counts)
def test_a_mix_is_never_further_in_xyz_than_the_better_of_its_shades(own, shades, counts):
    mix = closest(own, shades, ZoneWeights(*counts))
    if mix:
        mixed = np.array([mix.colours[zone] for zone in ZONES])
        alone = min(distance_in_xyz(shades[place], own, counts) for place in mix.shades)
        assert distance_in_xyz(mixed, own, counts) <= alone + 1e-9


@given(hair, some_shades, st.randoms(use_true_random=False))
def test_the_order_of_the_shades_changes_nothing(own, shades, random):
    order = random.sample(range(len(shades)), len(shades))
    mix, again = closest(own, shades), closest(own, shades[order])
    assert bool(mix) is bool(again)
    if mix:
        assert again.named.difference == pytest.approx(mix.named.difference)
        assert again.alone.difference == pytest.approx(mix.alone.difference)


def test_of_all_pairs_the_one_that_looks_closest_is_taken():
    random = np.random.default_rng(12)
    shades = random.uniform([15, 0, 0], [85, 12, 30], (12, 1, 3)) + random.normal(0, 1.5, (12, 3, 3))
    own = together(0.4, shades[3], shades[7]) + 0.5
    tried = []
    for one, other in itertools.combinations(range(12), 2):
        share = by_nnls(own, shades[one], shades[other], (1, 1, 1))
        if mixing.LEAST_SHARE <= share <= 1 - mixing.LEAST_SHARE:
            tried.append((ciede2000(together(share, shades[one], shades[other]), own).mean(), {one, other}))
    least, pair = min(tried, key=lambda row: row[0])
    mix = closest(own, shades)
    assert set(mix.shades) == pair
    assert mix.named.difference == pytest.approx(least, abs=1e-3)


def test_many_shades_in_blocks_give_what_one_block_gives(monkeypatch):
    random = np.random.default_rng(13)
    shades = random.uniform([15, 0, 0], [85, 12, 30], (40, 3, 3))
    own = random.uniform([30, 2, 5], [50, 8, 20], (3, 3))
    whole = closest(own, shades)
    for pairs in (1, 37, 100):
        monkeypatch.setattr(mixing, "PAIRS_AT_A_TIME", pairs)
        assert closest(own, shades) == whole


def test_what_shows_counts_in_the_share():
    own = np.array([*together(0.5)[:2], LIGHT[2]])
    alike, roots = closest(own, [DARK, LIGHT]), closest(own, [DARK, LIGHT], ZoneWeights(1, 0.001, 0.001))
    assert roots.shares == pytest.approx((0.5, 0.5), abs=0.01)
    assert alike.shades[0] == 1


def test_a_single_shade_is_preferred_unless_the_mix_is_a_band_better():
    own = together(0.5)
    near = np.add(own, [0.5, 0.2, 0.0])
    told = {"weights": ALIKE, "limits": LIMITS}
    assert best_mix(read(own), {"instrument": [DARK, LIGHT, near]}, **told) is None
    mix = best_mix(read(own), {"instrument": [DARK, LIGHT, np.add(own, [5, 1, 0])]}, **told)
    assert (mix.alone.band, mix.named.band) == (Band.SHOWS, Band.DISAPPEARS)
    assert mix.single == 2


def test_the_single_shade_beside_the_mix_is_the_one_that_ranks_first():
    random = np.random.default_rng(14)
    shades = random.uniform([15, 0, 0], [85, 12, 30], (30, 3, 3))
    own = together(0.5)
    matches = match_shades(read(own), {"instrument": shades}, weights=ALIKE, limits=LIMITS)
    mix = closest(own, shades)
    assert mix.single == ranked(matches)[0]
    assert mix.alone == matches[mix.single].named


def test_a_shade_not_measured_takes_no_part():
    assert closest(together(0.5), [DARK, np.full((3, 3), np.nan)]) is None
    mix = closest(together(0.5), [np.full((3, 3), np.nan), DARK, LIGHT])
    assert set(mix.shades) == {1, 2}


def test_no_readings_and_no_two_shades_give_no_mix():
    told = {"weights": ALIKE, "limits": LIMITS}
    assert closest_mix({}, {"instrument": [DARK, LIGHT]}, **told) is None
    assert closest(DARK, [DARK]) is None
    assert closest(DARK, [LIGHT, LIGHT]) is None


def test_shades_carried_over_bring_their_residual_into_the_doubt():
    as_read = CrossReading((1, 1, 1), (0, 0, 0), 2.0, 8, (0, 100))
    mix = closest_mix(
        read(together(0.5), doubt=1.5, scale="card-1"),
        {"instrument": [DARK, LIGHT]},
        weights=ALIKE,
        limits=LIMITS,
        crossings={("instrument", "card-1"): as_read},
    )
    assert mix.named.doubt == pytest.approx(2.5)


@pytest.mark.parametrize(
    ("share", "words"),
    [
        (0.52, "about equal parts of A and B (52 % and 48 %)"),
        (0.6, "about three parts of A to two of B (60 % and 40 %)"),
        (0.74, "about three parts of A to one of B (74 % and 26 %)"),
        (0.89, "about nine parts of A to one of B (89 % and 11 %)"),
    ],
)
def test_shares_are_said_in_parts(share, words):
    assert Mix((0, 1), (share, 1 - share), {}, None, {}, 0, None).in_words("A", "B") == words


# grey

PIGMENTED, GREY = (24.0, 4.0, 6.0), (72.0, 0.5, 5.0)


@given(st.floats(0, 1))
def test_the_share_of_grey_is_found_again(share):
    mixed = together(1 - share, np.array(PIGMENTED), np.array(GREY))
    found = grey_share(mixed, PIGMENTED, GREY)
    assert found.share == pytest.approx(share, abs=1e-9)
    assert found.residual == pytest.approx(0, abs=1e-6)


def test_the_share_of_grey_is_that_of_non_negative_least_squares():
    mixed = np.array([46.0, 3.5, 8.0])
    found = grey_share(mixed, PIGMENTED, GREY)
    assert found.share == pytest.approx(by_nnls(mixed, np.array(GREY), np.array(PIGMENTED), (1,)), abs=1e-4)
    mix = together(found.share, np.array(GREY), np.array(PIGMENTED))
    assert found.residual == pytest.approx(float(ciede2000(mix, mixed)))
    assert found.residual > 1


@given(colours, colours, colours, st.floats(0, 5))
def test_a_share_of_grey_is_a_share_and_lies_in_its_range(mixed, pigmented, grey, doubt):
    if ciede2000(pigmented, grey) >= mixing.TOO_ALIKE:
        found = grey_share(mixed, pigmented, grey, doubt=doubt)
        assert 0 <= found.low <= found.share <= found.high <= 1


def test_darker_or_lighter_than_both_is_none_or_all_of_it_and_the_residual_says_so():
    assert grey_share((15.0, 3.0, 4.0), PIGMENTED, GREY).share == 0
    lighter = grey_share((85.0, 0.5, 5.0), PIGMENTED, GREY)
    assert lighter.share == 1
    assert lighter.residual > 5


def test_the_range_of_the_share_widens_with_the_doubt():
    mixed = together(0.65, np.array(PIGMENTED), np.array(GREY))
    sure, unsure = (grey_share(mixed, PIGMENTED, GREY, doubt=doubt) for doubt in (0.5, 4.0))
    assert unsure.low < sure.low < 0.35 < sure.high < unsure.high


def test_nine_shares_in_ten_lie_in_the_range_of_the_doubt():
    random = np.random.default_rng(15)
    within = 0
    for share in random.uniform(0.1, 0.9, 300):
        mixed = together(1 - share, np.array(PIGMENTED), np.array(GREY))
        read_as = mixed + random.normal(0, 1.0, 3)
        errors = ciede2000(mixed + random.normal(0, 1.0, (200, 3)), mixed)
        found = grey_share(read_as, PIGMENTED, GREY, doubt=float(np.quantile(errors, 0.9)))
        within += found.low <= share <= found.high
    assert within >= 270


def test_the_share_is_said_with_its_range_and_what_it_leaves():
    assert (
        GreyShare(0.352, 0.84, 0.3, 0.41).words
        == "about 35 % grey (30 to 41 %), with ΔE00 0.8 between such a mix and the reading"
    )
    assert GreyShare(0.35, 0.8, 0.35, 0.35).words.startswith("about 35 % grey, ")


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: grey_share(GREY, PIGMENTED, (26.0, 4.0, 6.0)), "too alike to tell a share"),
        (lambda: grey_share(GREY, PIGMENTED, (np.nan, 0, 0)), "three finite numbers"),
        (lambda: grey_share([GREY], PIGMENTED, GREY), "three finite numbers"),
        (lambda: grey_share(GREY, PIGMENTED, GREY, doubt=-1), "doubt is zero or more"),
    ],
)
def test_what_makes_no_sense_is_refused_in_words(call, words):
    with pytest.raises(ValueError, match=words):
        call()
