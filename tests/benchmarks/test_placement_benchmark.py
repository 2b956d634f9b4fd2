"""How much faster is ranking by the raster than by plain masks, and does it find the same winners?

The plain way is written here from the words of the rules alone: for every base and every seat a mask over the cells of
the map, |t − side shift| ≤ w(s − set-back), and sums under it; the margin is asked of the ellipse that was thinned, not
of the map. 1,000 distinct bases, every set-back, shift and way round, both ways in the same run. Prints the ratio;
asserts the winners, never a time.
"""

import time
from itertools import product

import numpy as np
import pytest

from clients.scalp.grid import INSIDE
from clients.scalp.head import Head
from clients.scalp.loss_map import LossMap
from fittings.placement.house_rules import HouseRules
from fittings.placement.ranking import rank
from pieces.bases.construction import BaseShape, Clip
from pieces.bases.outline import BaseOutline

RULES = HouseRules()
KINDS = ("oval", "rounded_rectangle", "tapered_front", "tapered_back")
WITHIN = 0.01
MARGINS = (RULES.margin_mm, 12, 9, 6, 3, 0)


class PlainMasks:
    """One head and map, every seat of a base tried cell by cell."""

    def __init__(self, head, loss_map, edge_mm):
        self.s, self.t = head.cell_tape_coordinates[INSIDE].T
        self.length = head.tapes_mm.front_to_nape_mm
        self.area, density = head.cell_areas_cm2[INSIDE], loss_map.density[INSIDE]
        self.lost, self.own = self.area * (100 - density) / 100, self.area * density / 100
        self.edge_s, self.edge_t = edge_mm

    def tried(self, base):
        """Every seat: cover, clips that hold, hidden hair, set-back, shift, turned."""
        found, length = [], base.outline.length_mm
        for turned in (False, True) if base.two_way else (False,):
            for set_back in np.arange(0, max(self.length - length, 0) + 1e-9, 5.0):
                u = self.s - set_back
                half_width = base.outline.half_width_mm(length - u if turned else u)
                for shift in (-10.0, 0.0, 10.0):
                    v = self.t - shift
                    under = np.abs(v) <= half_width
                    cover, hidden = self.lost[under].sum() / self.lost.sum(), self.own[under].sum()
                    holding = sum(self.holds(clip, base.outline, u, v, turned) for clip in base.clips)
                    found.append((cover, holding, hidden, set_back, shift, turned))
        return found

    def margin(self, outline, set_back, shift, turned):
        """The widest of MARGINS that the base keeps on all sides; -1 where thinning sticks out."""
        u, out = self.edge_s - set_back, np.abs(self.edge_t - shift)
        u = outline.length_mm - u if turned else u
        for margin in MARGINS:
            lengthwise = np.minimum(outline.half_width_mm(u - margin), outline.half_width_mm(u + margin))
            if (out <= np.minimum(outline.half_width_mm(u) - margin, lengthwise)).all():
                return margin
        return -1

    def holds(self, clip, outline, u, v, turned):
        at_u, at_v = (outline.length_mm - clip.u_mm, -clip.v_mm) if turned else (clip.u_mm, clip.v_mm)
        beside = outline.width_mm / 2 - abs(at_v) < min(at_u, outline.length_mm - at_u)
        along, across = (clip.length_mm / 2, 5) if beside else (5, clip.length_mm / 2)
        gripped = (np.abs(u - at_u) <= along) & (np.abs(v - at_v) <= across)
        return self.own[gripped].sum() >= RULES.clip_hold_percent / 100 * self.area[gripped].sum() > 0

    def best(self, base):
        """The seat that the order of `fittings.placement.searching` picks, and the margin it keeps."""
        seats = self.tried(base)
        seats = least(seats, [-seat[0] for seat in seats], WITHIN)
        seats = least(seats, [-seat[1] for seat in seats])
        seats = least(seats, [-self.margin(base.outline, *seat[3:]) for seat in seats])
        seats = least(seats, [seat[2] for seat in seats], WITHIN * self.own.sum())
        seats = least(seats, [abs(seat[4]) for seat in seats])
        best = least(seats, [abs(seat[3] - RULES.set_back_mm) for seat in seats])[0]
        return best, self.margin(base.outline, *best[3:])


def least(seats, measures, slack=0.0):
    """The seats whose measure is the smallest of all, or within the slack of it."""
    smallest = min(measures)
    return [seat for seat, measure in zip(seats, measures, strict=True) if measure <= smallest + slack]


def a_thousand_bases():
    """Every outline at the sizes a catalogue might hold, with clips at the front, the sides and the back."""
    sizes = [(length, width) for length in range(60, 220, 10) for width in range(55, 215, 10)]
    bases = []
    for index, (kind, (length, width)) in enumerate(product(KINDS, sizes)):
        clips = (
            Clip(6, width * 0.2, 30),
            Clip(6, -width * 0.2, 30),
            Clip(length * 0.55, width / 2 - 6, 30),
            Clip(length * 0.55, 6 - width / 2, 30),
            Clip(length - 6, 0, 30),
        )
        outline = BaseOutline.named(kind, length_mm=length, width_mm=width)
        bases.append(BaseShape(str(index), outline, clips, two_way=index % 2 == 0))
    return bases[:1000]


@pytest.mark.slow
def test_the_raster_finds_the_winners_of_plain_masks():
    head = Head.from_tapes()
    crown = LossMap.from_tape_coordinates(
        head, lambda s, t: np.where(((s - 170) / 65) ** 2 + (t / 45) ** 2 < 1, 20, 100)
    )
    bases = a_thousand_bases()
    rank(head, crown, bases[:1])  # loads the libraries and lays out the head, for both ways

    started = time.process_time()
    around = np.linspace(0, 2 * np.pi, 400)
    masks = PlainMasks(head, crown, (170 + 65 * np.cos(around), 45 * np.sin(around)))
    plain = {base.key: masks.best(base) for base in bases}
    plain_took = time.process_time() - started
    started = time.process_time()
    ranked = rank(head, LossMap(crown.density), bases)
    raster_took = time.process_time() - started
    seats = sum(len(masks.tried(base)) for base in bases[:10]) / 10
    print(
        f"\n1,000 bases, about {seats:.0f} seats each: plain masks {plain_took:.2f} s, raster {raster_took:.2f} s, "
        f"{plain_took / raster_took:.0f} times faster"
    )

    covering = [entry.base.key for entry in ranked if entry.covers_with_margin]
    by_area = sorted(
        (base for base in bases if plain[base.key][1] == RULES.margin_mm), key=lambda base: base.outline.area_cm2
    )
    assert covering[:10] == [base.key for base in by_area[:10]]
    in_doubt = set(covering) ^ {base.key for base in by_area}
    assert len(in_doubt) <= 10  # of 1,000, where the margin is the house's to a millimetre
    differences = [abs(entry.placement.cover - plain[entry.base.key][0][0]) for entry in ranked]
    assert np.mean(differences) < WITHIN
