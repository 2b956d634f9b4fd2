"""Matching shades zone by zone: weights, zones left out, shades not measured, order."""

import numpy as np
import pytest

from salon.colour.bands import Band, BandLimits
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
    return match_shades(readings, shades, weights=weights, limits=LIMITS, **more)


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


def test_a_photo_is_not_held_against_an_instrument():
    photo = Reading(ROOT, 1.0, "photo")
    (match,) = matched([SAME], readings={**OWN, "root": photo})
    assert match.left_out == {"root": "read by photo, the shade by instrument"}
    (match,) = matched([SAME], readings={"root": photo}, shade_method="photo")
    assert "root" in match.differences


def test_a_reading_by_eye_is_a_shades_own_value_and_goes_with_either():
    (match,) = matched([SAME], readings={"root": Reading(ROOT, 2.0, "by eye")})
    assert match.differences == {"root": 0.0}


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
