"""Photos of a chart, a grey card and a lock of hair by cameras made up at random, with the colours that were there.

The scene is drawn in linear light and known exactly; a camera then does to it what phones and lamps do. What each
camera does is drawn from the ranges that the colour reading promises to stand up to:

* channels that see each other's light: rows of I + N(0, 0.08), each row divided by its sum, so that grey stays grey;
* white balance: red and blue 0.7 to 1.4 times green; exposure 0.5 to 1.0;
* what is left of a tone curve: linear light to the power of 0.9 to 1.15;
* vignetting up to 8 % in the corners, noise of 0.008 (one standard deviation of a channel that runs from 0 to 1),
  a JPEG of quality 85 to 98.

The hair is warm, L* 12 to 70, with 5 % texture, gloss on some strands and gaps between others. The chart's colours are
its maker's (`salon.colour.charts`), which tests/published holds against a general library's table.
"""

import io
from dataclasses import dataclass

import numpy as np
from PIL import Image

from salon.colour.charts import COLUMNS, Edition, chart_xyz
from salon.colour.lab import LINEAR_RGB_OF_XYZ, srgb_from_lab, srgb_from_linear, xyz_from_lab
from salon.colour.marks import CardMark, ChartMark, Marks, Spot, marks_to_json

WIDTH, HEIGHT = 640, 420  # of the scene, in units; `scale` says how many pixels a unit has

CHART_LEFT, CHART_TOP, PITCH, PATCH = 30, 40, 46, 42
CARD = (260, 40, 80, 120)  # top, left, height, width
LOCK = (20, 370, 380, 220)
ZONES = {"root": 85, "mid": 210, "ends": 335}  # the height on the photo around which a zone has its own colour
STEADY = 45  # as far above and below; in between the colours run into each other
SPOT_RADIUS = 15
SPOT_PLACES = (410, 480, 550)

WALL, FRAME, GREY_CARD = 0.35, 0.035, 0.18  # reflectances


@dataclass(frozen=True)
class Camera:
    """What a camera and the lamp do to linear light, and how the JPEG is kept."""

    crosstalk: np.ndarray
    white_balance: np.ndarray
    exposure: float
    tone: float
    vignetting: float
    noise: float
    quality: int


PERFECT = Camera(np.eye(3), np.ones(3), 1.0, 1.0, 0.0, 0.0, 98)


@dataclass(frozen=True)
class Picture:
    """One photo: its JPEG, the marks a careful stylist would place (as JSON), and the hair's true L*a*b* by zone."""

    jpeg: bytes
    with_chart: str
    with_card: str
    labs: dict[str, tuple[float, float, float]]


def random_camera(random) -> Camera:
    crosstalk = np.eye(3) + random.normal(0, 0.08, (3, 3))
    return Camera(
        crosstalk=crosstalk / crosstalk.sum(axis=1, keepdims=True),
        white_balance=np.array([random.uniform(0.7, 1.4), 1.0, random.uniform(0.7, 1.4)]),
        exposure=random.uniform(0.5, 1.0),
        tone=random.uniform(0.9, 1.15),
        vignetting=random.uniform(0, 0.08),
        noise=0.008,
        quality=int(random.integers(85, 99)),
    )


def random_hair(random) -> tuple[float, float, float]:
    """A warm colour of hair that a screen can show, L* 12 to 70; dark hair has less chroma than light hair."""
    while True:
        lightness, hue = random.uniform(12, 70), np.radians(random.uniform(50, 85))
        chroma = random.uniform(2, 24) * (0.4 + 0.6 * min(lightness / 45, 1))
        lab = (float(lightness), float(chroma * np.cos(hue)), float(chroma * np.sin(hue)))
        if srgb_from_lab(lab).min() >= 0:
            return lab


def take_picture(
    seed: int,
    *,
    hair: dict[str, tuple[float, float, float]] | None = None,
    camera: Camera | None = None,
    scale: float = 1.0,
    edition: Edition = "after",
) -> Picture:
    """One photo; hair (by zone) and camera are random unless given. scale 1 gives 640 × 420 pixels."""
    random = np.random.default_rng(seed)
    labs = hair or {zone: random_hair(random) for zone in ZONES}
    scene = draw_scene(random, labs, scale, edition)
    jpeg = photograph(random, scene, camera or random_camera(random))
    spots = {
        zone: tuple(
            Spot(x / WIDTH, (middle + random.uniform(-20, 20)) / HEIGHT, SPOT_RADIUS / WIDTH) for x in SPOT_PLACES
        )
        for zone, middle in ZONES.items()
    }
    return Picture(
        jpeg,
        with_chart=marks_to_json(Marks(chart_mark(), spots)),
        with_card=marks_to_json(Marks(card_mark(), spots)),
        labs=labs,
    )


def chart_mark() -> ChartMark:
    left, top = CHART_LEFT + PATCH / 2, CHART_TOP + PATCH / 2
    right, bottom = left + 5 * PITCH, top + 3 * PITCH
    corners = ((left, top), (right, top), (right, bottom), (left, bottom))
    return ChartMark(tuple((x / WIDTH, y / HEIGHT) for x, y in corners))


def card_mark() -> CardMark:
    top, left, height, width = CARD
    return CardMark(Spot((left + width / 2) / WIDTH, (top + height / 2) / HEIGHT, 0.4 * height / WIDTH))


def draw_scene(random, labs, scale, edition) -> np.ndarray:
    """The scene in linear sRGB, shape (height, width, 3): a wall, the chart, the card and the lock."""
    scene = np.full((round(HEIGHT * scale), round(WIDTH * scale), 3), WALL)

    def fill(top, left, height, width, colour):
        rows = slice(round(top * scale), round((top + height) * scale))
        scene[rows, round(left * scale) : round((left + width) * scale)] = colour

    fill(CHART_TOP - 8, CHART_LEFT - 8, 4 * PITCH + 12, COLUMNS * PITCH + 12, FRAME)
    for patch, colour in enumerate(np.maximum(chart_xyz(edition) @ LINEAR_RGB_OF_XYZ.T, 0)):
        row, column = divmod(patch, COLUMNS)
        fill(CHART_TOP + row * PITCH, CHART_LEFT + column * PITCH, PATCH, PATCH, colour)
    fill(*CARD, GREY_CARD)
    top, left, height, width = (round(value * scale) for value in LOCK)
    scene[top : top + height, left : left + width] = draw_lock(random, labs, height, width, scale)
    return scene


def draw_lock(random, labs, height, width, scale) -> np.ndarray:
    """Hair in linear sRGB, (height, width, 3): strands that wander a little, some with gloss, gaps beside some."""
    down = np.arange(height) / scale + LOCK[0]
    knots = np.concatenate([[middle - STEADY, middle + STEADY] for middle in ZONES.values()])
    colours = np.repeat([xyz_from_lab(labs[zone]) @ LINEAR_RGB_OF_XYZ.T for zone in ZONES], 2, axis=0)
    body = np.stack([np.interp(down, knots, channel) for channel in colours.T], axis=-1)

    wander = 3 * scale * np.sin(down / 60 + random.uniform(0, 6))
    strand = (np.arange(width) + wander[:, None]).astype(int) % width
    texture = 1 + 0.05 * (0.8 * random.standard_normal(width)[strand] + 0.6 * random.standard_normal((height, width)))
    shining = (random.random(width) < 0.08)[strand]
    light = sum(np.exp(-(((down - middle - random.uniform(-20, 20)) / 16) ** 2)) for middle in ZONES.values())
    gaps = (random.random(width) < 0.08)[strand]
    hair = body[:, None] * texture[..., None] + 0.25 * (shining * light[:, None])[..., None]
    return hair * (1 - 0.7 * gaps[..., None])


def photograph(random, scene, camera: Camera) -> bytes:
    """The JPEG of a scene in linear light through a camera."""
    height, width = scene.shape[:2]
    down, across = np.linspace(-1, 1, height)[:, None], np.linspace(-1, 1, width)
    fall_off = 1 - camera.vignetting * (down**2 + across**2) / 2
    light = (scene @ camera.crosstalk.T) * camera.white_balance * camera.exposure * fall_off[..., None]
    shown = srgb_from_linear(np.clip(light, 0, 1) ** camera.tone)
    shown = shown + camera.noise * random.standard_normal(shown.shape)
    file = io.BytesIO()
    Image.fromarray(np.rint(np.clip(shown, 0, 1) * 255).astype(np.uint8)).save(file, "JPEG", quality=camera.quality)
    return file.getvalue()
