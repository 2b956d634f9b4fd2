"""The colours of the 24-patch chart against a general library's table and against the same values under D65."""

from pathlib import Path

import numpy as np
import pytest

from salon.colour.charts import CHART_LAB_D50, MIDDLE_GREY, OUTSIDE_SRGB, PATCHES, chart_xyz
from salon.colour.lab import lab_from_xyz, srgb_from_xyz

TABLE = np.loadtxt(Path(__file__).parent / "chart_values.csv", delimiter=",").reshape(2, 24, 12)
OF_EDITION = {int(rows[0, 0]): rows for rows in TABLE}
EDITIONS = [("before", OF_EDITION[0]), ("after", OF_EDITION[1])]


@pytest.mark.filterwarnings("ignore:.*API features are not available")  # colour-science misses its optional plotting
@pytest.mark.parametrize("edition", ["before", "after"])
def test_a_general_library_has_the_same_values(edition):
    # colour-science 0.4.7: the chart maker's data of 2016. READ
    from colour import CCS_COLOURCHECKERS, XYZ_to_Lab, xyY_to_XYZ

    theirs = CCS_COLOURCHECKERS[f"ColorChecker24 - {edition.capitalize()} November 2014"]
    lab = XYZ_to_Lab(xyY_to_XYZ(list(theirs.data.values())), theirs.illuminant)
    np.testing.assert_allclose(CHART_LAB_D50[edition], lab, rtol=0, atol=1e-3)
    hues = [name for name in theirs.data if name.islower() and "(" not in name]
    assert hues == list(PATCHES[: len(hues)])
    assert len(hues) == 18


@pytest.mark.parametrize(("edition", "table"), EDITIONS)
def test_under_d65_they_are_what_an_independent_script_made_of_them(edition, table):
    xyz = chart_xyz(edition)
    np.testing.assert_allclose(xyz, table[:, 2:5], rtol=0, atol=2e-4)  # their white of D65 has more digits than ours
    np.testing.assert_allclose(lab_from_xyz(xyz), table[:, 5:8], rtol=0, atol=0.02)
    codes = np.rint(np.clip(srgb_from_xyz(xyz), 0, 1) * 255)
    assert np.abs(codes - table[:, 8:11]).max() <= 1


@pytest.mark.parametrize(("edition", "table"), EDITIONS)
def test_only_the_cyan_patch_lies_outside_srgb(edition, table):
    outside = np.flatnonzero((srgb_from_xyz(chart_xyz(edition)) < 0).any(axis=1))
    assert tuple(outside) == OUTSIDE_SRGB == tuple(np.flatnonzero(table[:, 11] == 0))
    assert PATCHES[OUTSIDE_SRGB[0]] == "cyan"


def test_the_middle_grey_patch_reflects_about_as_much_as_a_grey_card():
    for edition in ("before", "after"):
        assert chart_xyz(edition)[MIDDLE_GREY, 1] == pytest.approx(0.191, abs=0.001)
