"""What is held against every printed paper with Poppler's tools; a test skips where they are not installed."""

import subprocess

import pytest
from PIL import Image

DOTS_AN_INCH, EDGE_MM = 40, 8


def read_by_poppler(pdf, tmp_path):
    """The text as pdftotext reads it, in its own order."""
    file = _written(pdf, tmp_path)
    return _run(["pdftotext", file, "-"]).stdout


def assert_nothing_hangs_over_the_edge(pdf, tmp_path):
    """Rendered in black and white: the outermost 8 mm left and right stay empty."""
    _run(["pdftoppm", "-r", str(DOTS_AN_INCH), "-gray", _written(pdf, tmp_path), tmp_path / "page"])
    edge = round(EDGE_MM / 25.4 * DOTS_AN_INCH)
    for picture in sorted(tmp_path.glob("page*.pgm")):
        page = Image.open(picture)
        for box in ((0, 0, edge, page.height), (page.width - edge, 0, page.width, page.height)):
            assert page.crop(box).getextrema()[0] > 250, picture.name


def _written(pdf, tmp_path):
    file = tmp_path / "paper.pdf"
    file.write_bytes(pdf)
    return file


def _run(command):
    try:
        return subprocess.run(command, check=True, capture_output=True, text=True)
    except FileNotFoundError:
        pytest.skip(f"{command[0]} (poppler-utils) is not installed")
