"""CIEDE2000 and the best mix of two shades against general libraries in the same run; no time is asserted."""

import tracemalloc
from time import perf_counter

import numpy as np
import pytest

from salon.colour.bands import BandLimits
from salon.colour.difference import ciede2000
from salon.colour.lab import xyz_from_lab
from salon.colour.matching import ZONES, Reading, ZoneWeights, match_shades
from salon.colour.mixing import closest_mix, pair_shares

A_MILLION = 1_000_000


def colours(low, high):
    random = np.random.default_rng(1_000_000)
    return tuple(random.uniform(low, high, (A_MILLION, 3)) for _ in range(2))


def best_of_three(deed):
    seconds, found = [], None
    for _ in range(3):
        began = perf_counter()
        found = deed()
        seconds.append(perf_counter() - began)
    return min(seconds), found


@pytest.mark.slow
@pytest.mark.filterwarnings("ignore:.*API features are not available")  # colour-science misses its optional plotting
@pytest.mark.parametrize(
    ("name", "low", "high"),
    [("any colour", (0, -60, -60), (100, 60, 60)), ("colours of hair", (15, 0, 0), (90, 15, 30))],
)
def test_a_million_pairs_against_the_general_libraries(name, low, high, capsys):
    from colour.difference import delta_E_CIE2000
    from skimage.color import deltaE_ciede2000

    one, other = colours(low, high)
    ours, found = best_of_three(lambda: ciede2000(one, other))
    theirs = {
        "colour-science": best_of_three(lambda: delta_E_CIE2000(one, other)),
        "scikit-image": best_of_three(lambda: deltaE_ciede2000(one, other)),
    }
    with capsys.disabled():
        print(f"\nCIEDE2000, {A_MILLION:,} pairs of {name}: {ours * 1000:.0f} ms")
        for library, (seconds, _) in theirs.items():
            print(f"  {library}: {seconds * 1000:.0f} ms, {seconds / ours:.1f} times as long")
    for _, same in theirs.values():
        np.testing.assert_allclose(found, same, rtol=0, atol=1e-9)


@pytest.mark.slow
@pytest.mark.filterwarnings("ignore:.*API features are not available")  # colour-science misses its optional plotting
def test_200_readings_against_5000_shades_is_one_call(capsys):
    from colour.difference import delta_E_CIE2000
    from skimage.color import deltaE_ciede2000

    readings, shades = (
        all_colours[:count] for all_colours, count in zip(colours((15, 0, 0), (90, 15, 30)), (200, 5000), strict=True)
    )
    each, all_shades = readings[:, None], shades[None]
    ours, found = best_of_three(lambda: ciede2000(each, all_shades))
    theirs = {
        "colour-science": best_of_three(lambda: delta_E_CIE2000(each, all_shades)),
        "scikit-image": best_of_three(lambda: deltaE_ciede2000(each, all_shades)),
    }
    with capsys.disabled():
        print(f"\nCIEDE2000, 200 readings × 5,000 shades: {ours * 1000:.0f} ms")
        for library, (seconds, _) in theirs.items():
            print(f"  {library}: {seconds * 1000:.0f} ms, {seconds / ours:.1f} times as long")
    assert found.shape == (200, 5000)
    for _, same in theirs.values():
        np.testing.assert_allclose(found, same, rtol=0, atol=1e-9)


@pytest.mark.slow
def test_the_best_mix_of_300_shades_against_a_loop_of_non_negative_least_squares(capsys):
    """scipy.optimize.nnls takes one pair at a time; so that it need not take minutes, it is given every hundredth."""
    from scipy.optimize import nnls

    random = np.random.default_rng(300)
    shades = random.uniform((15, 0, 0), (90, 15, 30), (300, 1, 3)) + random.normal(0, 1.5, (300, 3, 3))
    own = shades[:40].mean(axis=0)
    readings = {zone: Reading(tuple(lab), 0.6, "instrument") for zone, lab in zip(ZONES, own, strict=True)}
    counts = ZoneWeights(1, 1, 1)
    limits = BandLimits(disappears=2, close=4, shows=6)
    ours, mix = best_of_three(lambda: closest_mix(readings, {"instrument": shades}, weights=counts, limits=limits))
    wanted, xyz = xyz_from_lab(own), xyz_from_lab(shades)
    first, second = (side[::100] for side in np.triu_indices(300, k=1))
    heavy = 1e4  # a row that outweighs the others keeps the two shares at a sum of 1

    def loop():
        target = np.append(wanted, heavy)
        return [
            nnls(np.stack([np.append(xyz[i], heavy), np.append(xyz[j], heavy)], axis=1), target)[0]
            for i, j in zip(first, second, strict=True)
        ]

    theirs, shares = best_of_three(loop)
    theirs *= 300 * 299 / 2 / len(first)
    many = {"instrument": np.tile(shades, (17, 1, 1))[:5000]}
    thousands, _ = best_of_three(lambda: match_shades(readings, many, weights=counts, limits=limits))
    with capsys.disabled():
        print(f"\nBest mix of 300 shades, 44,850 pairs in three zones: {ours * 1000:.0f} ms")
        print(f"  scipy.optimize.nnls pair by pair: {theirs * 1000:.0f} ms, {theirs / ours:.0f} times as long")
        print(f"  one reading of three zones matched with 5,000 shades: {thousands * 1000:.0f} ms")
    assert mix is not None
    closed = pair_shares(xyz[first], xyz[second], wanted, counts.as_array())
    np.testing.assert_allclose(closed, [of_first for of_first, _ in shares], atol=1e-4)


@pytest.mark.slow
def test_the_best_mix_of_thousands_of_shades_keeps_its_memory_small(capsys):
    random = np.random.default_rng(5000)
    readings = {zone: Reading((45.0, 8.0, 18.0), 0.6, "instrument") for zone in ZONES}
    peaks = []
    for count in (500, 2000):
        shades = random.uniform((15, 0, 0), (90, 15, 30), (count, 3, 3))
        tracemalloc.start()
        closest_mix(readings, {"instrument": shades}, weights=ZoneWeights(1, 1, 1), limits=BandLimits(2, 4, 6))
        peaks.append(tracemalloc.get_traced_memory()[1] / 2**20)
        tracemalloc.stop()
    with capsys.disabled():
        print(f"\nBest mix of 500 shades took {peaks[0]:.0f} MB at most, of 2,000 shades {peaks[1]:.0f} MB")
    assert peaks[1] < 64
