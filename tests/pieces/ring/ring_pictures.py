"""Photos of shades with the grey card and the chart, through a camera that is perfect unless told otherwise.

One shade is the scene of `tests.salon.colour.synthetic_cameras`; a row of swatches is drawn here, below a card, on the
same wall, each with 3 % texture.
"""

import io
import json
from functools import cache

import numpy as np
from PIL import Image

from salon.colour.lab import LINEAR_RGB_OF_XYZ, srgb_from_linear, xyz_from_lab
from tests.salon.colour.synthetic_cameras import GREY_CARD, PERFECT, WALL, take_picture

WARM = {"root": (24.0, 6.0, 9.0), "mid": (28.0, 7.0, 12.0), "ends": (34.0, 8.0, 16.0)}
ROW_WIDTH, ROW_HEIGHT = 640, 320
SWATCH, GAP = 40, 12


@cache
def one_shade():
    """A picture of one shade whose colours by zone are known: `.jpeg`, `.with_card`, `.with_chart` (marks as JSON)."""
    return take_picture(4, hair=WARM, camera=PERFECT)


def marks_without(marks, region):
    told = json.loads(marks)
    del told["spots"][region]
    return json.dumps(told)


def without_reference(marks):
    return json.dumps(json.loads(marks) | {"reference": None})


def row_of_swatches(labs, *, seed=7):
    """(JPEG, card's mark, a spot on each swatch in order) of swatches of one colour each."""
    random = np.random.default_rng(seed)
    scene = np.full((ROW_HEIGHT, ROW_WIDTH, 3), WALL)
    scene[20:100, 20:220] = GREY_CARD
    spots = []
    for number, lab in enumerate(labs):
        left = 20 + number * (SWATCH + GAP)
        texture = 1 + 0.03 * random.standard_normal((160, SWATCH, 1))
        scene[130:290, left : left + SWATCH] = (xyz_from_lab(lab) @ LINEAR_RGB_OF_XYZ.T) * texture
        spots.append({"x": (left + SWATCH / 2) / ROW_WIDTH, "y": 210 / ROW_HEIGHT, "radius": 15 / ROW_WIDTH})
    file = io.BytesIO()
    codes = np.rint(np.clip(srgb_from_linear(np.clip(scene, 0, 1)), 0, 1) * 255).astype(np.uint8)
    Image.fromarray(codes).save(file, "JPEG", quality=97)
    card = {"kind": "card", "x": 120 / ROW_WIDTH, "y": 60 / ROW_HEIGHT, "radius": 30 / ROW_WIDTH}
    return file.getvalue(), card, spots


def row_marks(shades, card, spots):
    """The marks' JSON of a row, as the page sends it for these shades."""
    placed = {f"shade-{shade.pk}": [spot] for shade, spot in zip(shades, spots, strict=True)}
    return json.dumps({"reference": card, "spots": placed})


def pixels_in(jpeg):
    return np.array(Image.open(io.BytesIO(jpeg)))
