"""CIEDE2000 of a million pairs against two general libraries in the same run; ratios are printed, none is asserted."""

from time import perf_counter

import numpy as np
import pytest

from salon.colour.difference import ciede2000

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
def test_200_readings_against_5000_shades_is_one_call(capsys):
    readings, shades = (
        all_colours[:count] for all_colours, count in zip(colours((15, 0, 0), (90, 15, 30)), (200, 5000), strict=True)
    )
    seconds, found = best_of_three(lambda: ciede2000(readings[:, None], shades))
    with capsys.disabled():
        print(f"\nCIEDE2000, 200 readings × 5,000 shades: {seconds * 1000:.0f} ms")
    assert found.shape == (200, 5000)
    assert found[17, 4321] == pytest.approx(float(ciede2000(readings[17], shades[4321])), rel=1e-13)
