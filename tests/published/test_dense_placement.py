"""Cover and hidden hair by the raster against 640,000 points, each asked by itself.

The dense reference knows no map, no cells and no sums: it lays an 800 × 800 lattice over the disk, asks the density of
every point on the scalp, and takes or leaves it by |t − side shift| ≤ w(s − set-back). Agreement within 1 % is asked.
"""

import numpy as np
import pytest

from clients.scalp.head import Head
from clients.scalp.loss_map import LossMap
from fittings.placement.placing import place
from pieces.bases.outline import OUTLINE_KINDS, BaseOutline

SIDE = 800
HEADS = {
    "average": Head.from_tapes(),
    "small": Head.from_tapes(508, 330, 305),
    "large": Head.from_tapes(600, 360, 390),
}


class Dense:
    def __init__(self, head):
        middles = 1 - (2 * np.arange(SIDE) + 1) / SIDE
        x, y = (axis.ravel() for axis in np.meshgrid(middles, middles, indexing="ij"))
        x, y = x[np.hypot(x, y) <= 1], y[np.hypot(x, y) <= 1]
        r2 = x**2 + y**2
        normals = np.stack([x * np.sqrt(2 - r2), y * np.sqrt(2 - r2), 1 - r2], axis=-1)
        a, b, c = head.semi_axes_mm
        self.s, self.t = head.tape_coordinates(normals * head.semi_axes_mm).T
        self.area_cm2 = 2 * (2 / SIDE) ** 2 * np.linalg.norm(normals * (b * c, a * c, a * b), axis=-1) / 100

    def cover_and_hidden(self, density_at, outline, set_back, shift):
        loss = 100 - density_at(self.s, self.t)
        under = np.abs(self.t - shift) <= outline.half_width_mm(self.s - set_back)
        cover = (self.area_cm2 * loss)[under].sum() / (self.area_cm2 * loss).sum()
        return cover, (self.area_cm2 * (100 - loss) / 100)[under].sum()


PATTERNS = {
    "crown with a hard edge": lambda s, t: np.where(np.hypot(s - 235, t) < 45, 0, 100),
    "crown with a soft edge": lambda s, t: 100 - 90 * np.exp(-(((s - 220) / 60) ** 2) - (t / 45) ** 2),
    "wide parting": lambda s, t: np.where((np.abs(t) < 8 + s / 20) & (s > 10) & (s < 200), 30, 100),
    "front hairline": lambda s, t: np.where((s < 70) & (np.abs(t) < 65), 10, 100),
    "temples": lambda s, t: np.where((s < 50) & (np.abs(np.abs(t) - 60) < 20), 20, 100),
    "a spot to the left": lambda s, t: np.where(((s - 150) / 25) ** 2 + ((t - 40) / 20) ** 2 < 1, 0, 100),
    "sides": lambda s, t: np.where(np.abs(t) > 90, 15, 100),
    "evenly thin": lambda s, t: np.full_like(s, 55),
}


@pytest.fixture(scope="module")
def dense():
    return {name: Dense(head) for name, head in HEADS.items()}


@pytest.mark.slow
@pytest.mark.parametrize("name", HEADS)
@pytest.mark.parametrize("pattern", PATTERNS)
def test_cover_and_hidden_hair_agree_within_a_percent(dense, name, pattern):
    head, density_at = HEADS[name], PATTERNS[pattern]
    loss_map = LossMap.from_tape_coordinates(head, density_at)
    rng = np.random.default_rng(7)
    for kind in OUTLINE_KINDS:
        outline = BaseOutline.named(kind, length_mm=rng.uniform(60, 220), width_mm=rng.uniform(60, 200))
        set_back, shift = rng.uniform(0, 120), rng.uniform(-12, 12)
        cover, hidden = dense[name].cover_and_hidden(density_at, outline, set_back, shift)
        placement = place(head, loss_map, outline, set_back_mm=set_back, side_shift_mm=shift)
        assert placement.cover == pytest.approx(cover, abs=0.01)
        assert placement.own_hair_hidden_cm2 == pytest.approx(hidden, abs=0.01 * head.area_cm2)
        turned = place(head, loss_map, outline, set_back_mm=set_back, side_shift_mm=shift, turned=True)
        cover, _ = dense[name].cover_and_hidden(density_at, outline.reversed(), set_back, shift)
        assert turned.cover == pytest.approx(cover, abs=0.01)
