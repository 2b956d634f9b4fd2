"""Matching shades zone by zone: weights, scales, zones left out, shades not measured, order."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from salon.colour.bands import Band, BandLimits
from salon.colour.cross_reading import CrossReading
from salon.colour.difference import ciede2000
from salon.colour.matching import Reading, ZoneWeights, hair_below, match_shades, ranked, zone_weights

LIMITS = BandLimits(disappears=2, close=4, shows=6)
ALIKE = ZoneWeights(1, 1, 1)
ROOT, MID, ENDS = (26.0, 4.0, 6.0), (30.0, 6.0, 10.0), (36.0, 8.0, 15.0)
OWN = {
    "root": Reading(ROOT, 0.5, "instrument"),
    "mid": Reading(MID, 0.5, "instrument"),
    "ends": Reading(ENDS, 0.5, "instrument"),
}
SAME = [ROOT, MID, ENDS]
LIGHTER_ENDS = [ROOT, MID, (46.0, 8.0, 20.0)]
LIGHTER_ROOT = [(36.0, 6.0, 11.0), MID, ENDS]
NOT_MEASURED = [(np.nan,) * 3] * 3


def matched(shades, readings=OWN, weights=ALIKE, **more):
    """Shades by scale, or a list of those an instrument measured."""
    by_scale = shades if isinstance(shades, dict) else {"instrument": shades}
    return match_shades(readings, by_scale, weights=weights, limits=LIMITS, **more)


def by_photo(lab=SAME, doubt=1.0, scale="card-1"):
    return {zone: Reading(colour, doubt, "card", scale) for zone, colour in zip(OWN, lab, strict=True)}


def lighter(by=30.0, residual=2.0, from_l=(0.0, 100.0)):
    """The way from a scale to another that reads everything so much lighter."""
    return CrossReading((1, 1, 1), (by, 0, 0), residual, 8, from_l)


def test_each_zone_is_compared_with_its_own():
    (match,) = matched([LIGHTER_ENDS])
    assert match.differences["root"] == match.differences["mid"] == 0
    assert match.differences["ends"] == pytest.approx(float(ciede2000(ENDS, LIGHTER_ENDS[2])))
    assert match.named.difference == pytest.approx(match.differences["ends"] / 3)


def test_what_shows_decides_which_shade_is_closest():
    shades = [LIGHTER_ENDS, LIGHTER_ROOT]
    only_roots = zone_weights(edge_shows=1, hangs_below=0)
    only_ends = zone_weights(edge_shows=0, hangs_below=1)
    assert ranked(matched(shades, weights=only_roots)) == [0, 1]
    assert ranked(matched(shades, weights=only_ends)) == [1, 0]


def test_a_zone_without_a_reading_is_left_out_and_said():
    (match,) = matched([LIGHTER_ENDS], readings={"root": OWN["root"], "mid": OWN["mid"]})
    assert match.named.difference == 0
    assert set(match.differences) == {"root", "mid"}
    assert match.words == "disappears (ΔE00 0.0, give or take 0.5); left out: ends (no reading)"


def test_only_zones_that_count_nothing_are_read_then_they_count_alike():
    (match,) = matched(
        [LIGHTER_ENDS], readings={"ends": OWN["ends"]}, weights=zone_weights(edge_shows=1, hangs_below=0)
    )
    assert match.named.difference == match.differences["ends"] > 0


def test_a_shade_not_measured_is_listed_and_never_ranked():
    matches = matched([NOT_MEASURED, LIGHTER_ENDS, [ROOT, (np.nan, 1.0, 1.0), ENDS], SAME])
    assert [match.is_measured for match in matches] == [False, True, False, True]
    assert matches[0].words == matches[2].words == "not measured"
    assert ranked(matches) == [3, 1]


def test_without_readings_nothing_is_compared_and_nothing_ranks():
    measured, unmeasured = matched([SAME, NOT_MEASURED], readings={})
    assert measured.words == "not compared: root (no reading), mid (no reading), ends (no reading)"
    assert unmeasured.words == "not measured"
    assert ranked([measured, unmeasured]) == []


@given(
    st.lists(
        st.tuples(*[st.tuples(st.floats(5, 95), st.floats(-20, 40), st.floats(-20, 60))] * 6), min_size=1, max_size=5
    )
)
def test_own_hair_and_shade_may_change_places(pairs):
    for pair in pairs:
        one, other = pair[:3], pair[3:]
        ((there,), (back,)) = (
            matched(
                [shade], readings={zone: Reading(lab, 1, "instrument") for zone, lab in zip(OWN, hair, strict=True)}
            )
            for hair, shade in ((one, other), (other, one))
        )
        assert there.differences == back.differences
        assert there.named == back.named


# scales


def test_a_photo_is_held_against_what_the_same_routine_read_of_the_ring():
    (match,) = matched({"instrument": [LIGHTER_ENDS], "card-1": [SAME]}, readings=by_photo())
    assert match.named.difference == 0
    assert match.colours == dict(zip(OWN, SAME, strict=True))
    assert match.crossed == {}


def test_a_shade_not_read_the_way_her_hair_was_is_not_measured():
    other_way, not_at_all = matched({"instrument": [SAME, NOT_MEASURED]}, readings=by_photo())
    assert other_way.words == "not measured the way her hair was read"
    assert not_at_all.words == "not measured"
    assert ranked([other_way, not_at_all]) == []
    newer = matched({"card-1": [SAME]}, readings=by_photo(scale="card-2"))[0]
    assert not newer.is_measured


def test_each_zone_is_compared_on_the_scale_of_its_own_reading():
    photo = [(56.0, 4.0, 6.0), (60.0, 6.0, 10.0), (66.0, 8.0, 15.0)]
    readings = OWN | {"root": by_photo(photo)["root"]}
    (match,) = matched({"instrument": [SAME], "card-1": [photo]}, readings=readings)
    assert match.differences == {"root": 0, "mid": 0, "ends": 0}
    assert match.colours == {"root": photo[0], "mid": MID, "ends": ENDS}


def test_a_zone_read_another_way_is_left_out_and_said():
    (match,) = matched([SAME], readings=OWN | {"root": by_photo()["root"]})
    assert match.left_out == {"root": "not measured the way her hair was read"}
    assert set(match.differences) == {"mid", "ends"}
    assert match.is_measured


def test_a_shade_compared_in_part_ranks_after_those_compared_whole():
    shades = {"instrument": [SAME, LIGHTER_ENDS], "card-1": [NOT_MEASURED, SAME]}
    matches = matched(shades, readings=OWN | {"root": by_photo()["root"]})
    assert matches[0].named.difference < matches[1].named.difference
    assert ranked(matches) == [1, 0]


def test_a_shade_is_carried_over_where_the_salons_own_shades_lead():
    readings = by_photo([(56.0, 4.0, 6.0), (60.0, 6.0, 10.0), (66.0, 8.0, 15.0)], doubt=1.5)
    shades = {"instrument": [SAME, SAME], "card-1": [NOT_MEASURED, [reading.lab for reading in readings.values()]]}
    crossed, direct = matched(shades, readings=readings, crossings={("instrument", "card-1"): lighter()})
    assert crossed.named.difference == direct.named.difference == 0
    assert crossed.named.doubt == 2.5  # 1.5 and the residual of 2.0 in quadrature
    assert direct.named.doubt == 1.5
    assert crossed.words == (
        "close (ΔE00 0.0, give or take 2.5); "
        "shade carried over from an instrument by 8 shades read both ways, give or take 2.0"
    )
    assert direct.crossed_words == ""
    assert crossed.colours["root"] == pytest.approx((56.0, 4.0, 6.0))
    assert ranked([crossed, direct]) == [1, 0]


def test_of_several_ways_the_surest_is_taken_and_one_that_leads_elsewhere_is_not():
    ways = {
        ("chart-1", "card-1"): lighter(by=1, residual=1.0),
        ("instrument", "card-1"): lighter(residual=3.0),
        ("card-1", "instrument"): lighter(by=-30),
    }
    both, instrument_only = matched(
        {"instrument": [SAME, SAME], "chart-1": [SAME, NOT_MEASURED]}, readings=by_photo(), crossings=ways
    )
    assert {crossed.from_scale for crossed in both.crossed.values()} == {"chart-1"}
    assert {crossed.from_scale for crossed in instrument_only.crossed.values()} == {"instrument"}


def test_nothing_is_carried_over_for_hair_much_lighter_than_any_shade_read_both_ways():
    ways = {("instrument", "card-1"): lighter(from_l=(10.0, 28.0))}
    (match,) = matched([SAME], readings=by_photo(), crossings=ways)
    assert set(match.differences) == {"root", "mid"}
    assert match.left_out == {"ends": "not measured the way her hair was read"}


def test_the_larger_of_her_readings_doubt_and_the_shades_own_counts():
    shades = {"card-1": [SAME, SAME, SAME]}
    matches = matched(shades, readings=by_photo(doubt=1.0), shade_doubts={"card-1": [0.4, 3.0, np.nan]})
    assert [match.named.doubt for match in matches] == [1.0, 3.0, 1.0]


def test_a_reading_by_eye_stands_on_the_scale_of_the_shade_it_names():
    eye = {"root": Reading(ROOT, 2.0, "by eye", "card-1")}
    assert matched({"card-1": [SAME]}, readings=eye)[0].differences == {"root": 0.0}
    assert not matched({"instrument": [SAME]}, readings=eye)[0].is_measured


# doubt and bands


def test_the_doubt_of_the_zones_reaches_the_band():
    sure, unsure = (matched([SAME], readings={"root": Reading(ROOT, doubt, "by eye")})[0].named for doubt in (0.5, 3.0))
    assert (sure.band, unsure.band) == (Band.DISAPPEARS, Band.CLOSE)


def test_what_full_cover_lets_pass_is_handed_on_to_the_band():
    off = [(ROOT[0] + 10, *ROOT[1:]), MID, ENDS]
    weights = zone_weights(edge_shows=1, hangs_below=0)
    alone, covered = (matched([off], weights=weights, widened_by=bands)[0].named for bands in (0, 1))
    assert alone.band is covered.band is Band.SHOWS
    assert (alone.passes, covered.passes) == (False, True)


def test_thousands_of_shades_give_what_one_at_a_time_gives():
    random = np.random.default_rng(9)
    shades = random.uniform([15, 0, 0], [90, 15, 30], (2000, 3, 3))
    weights = zone_weights(edge_shows=0.6, hangs_below=0.9)
    together = matched(shades, weights=weights)
    for place in (0, 77, 1999):
        (alone,) = matched(shades[place : place + 1], weights=weights)
        assert alone.named.difference == pytest.approx(together[place].named.difference, rel=1e-12)
    closest = [together[place].named.difference for place in ranked(together)]
    assert closest == sorted(closest)


@pytest.mark.parametrize(
    ("own_mm", "piece_mm", "share"), [(300, 300, 1), (450, 300, 1), (225, 300, 0.5), (150, 300, 0), (0, 300, 0)]
)
def test_own_hair_hangs_below_the_piece_as_far_as_it_is_long(own_mm, piece_mm, share):
    assert hair_below(own_mm, piece_mm) == share


def test_where_nothing_shows_all_zones_count_alike():
    assert zone_weights(edge_shows=0, hangs_below=0) == ZoneWeights(1, 1, 1)


def test_mid_lengths_count_as_the_mean_of_roots_and_ends():
    assert zone_weights(edge_shows=0.4, hangs_below=1) == ZoneWeights(0.4, 0.7, 1)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: matched(np.zeros((2, 3))), r"shades have shape \(n, 3 zones, 3 of L\*a\*b\*\), got \(2, 3\)"),
        (lambda: matched({"instrument": [SAME], "card-1": [SAME, SAME]}), "every scale tells of the same shades"),
        (lambda: matched({}), "shades are handed in by scale"),
        (lambda: matched([SAME], readings={"tips": OWN["ends"]}), "unknown zone 'tips'; the zones are root, mid, ends"),
        (
            lambda: matched([SAME], readings={"root": Reading((np.nan, 0, 0), 1, "by eye")}),
            "reading of the root needs finite",
        ),
        (lambda: matched([SAME], readings={"root": Reading(ROOT, -1, "by eye")}), "a doubt of zero or more"),
        (lambda: zone_weights(edge_shows=1.2, hangs_below=0), "edge_shows is a share from 0 to 1, got 1.2"),
        (lambda: ZoneWeights(1, -1, 0), "a zone counts zero or more"),
        (lambda: hair_below(100, 0), "hair lengths are above zero"),
    ],
)
def test_what_makes_no_sense_is_refused_in_words(call, words):
    with pytest.raises(ValueError, match=words):
        call()
