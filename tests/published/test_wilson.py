"""The interval of a rate against Newcombe's table and a case of Fagerland, Lydersen and Laake."""

import csv
from pathlib import Path

import numpy as np
import pytest

from pieces.review.rates import rate_of

HERE = Path(__file__).parent
WHOLE_TABLE = HERE.parents[2] / "shared" / "reference" / "wilson_newcombe.csv"


@pytest.mark.parametrize("row", np.loadtxt(HERE / "wilson.csv", delimiter=",").tolist())
def test_the_interval_is_the_published_one(row):
    x, n, low, high = row
    rate = rate_of(int(x), int(n))
    assert (rate.low, rate.high) == pytest.approx((low, high), abs=5e-5)  # printed to four decimals
    assert rate.share == x / n


def test_it_is_so_for_every_row_of_the_table():
    if not WHOLE_TABLE.exists():
        pytest.skip("../shared/reference/wilson_newcombe.csv is not beside this checkout")
    with WHOLE_TABLE.open() as table:
        rows = [row for row in csv.DictReader(table) if row["method"].startswith("3 ")]
    assert len(rows) == 5
    for row in rows:
        rate = rate_of(int(row["x"]), int(row["n"]))
        recomputed = float(row["lower_recomputed"]), float(row["upper_recomputed"])
        assert (rate.low, rate.high) == pytest.approx(recomputed, abs=1e-6)
