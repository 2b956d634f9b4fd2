"""Where does one base sit best on this head?

Tried are set-backs in 5 mm steps from the hairline to where the base ends at the nape, shifts of 10 mm to either side,
and both ways round where the base allows it. Of those within 1 % of the best cover, the most clips that hold win; then
the house margin kept on every side or, where no seat keeps it, as much of it as can be; then least own hair hidden, to
1 % of all own hair; then the smaller shift; then the front edge nearest the house set-back. Last, so
that the answer never hangs on rounding: the smaller end to the front (unless the loss is there), the smaller set-back.
A lace front on loss that reaches the hairline sits at the hairline.

The order is the trade's (common practice); the numbers behind it are `raster`'s. Millimetres, cm².
"""

from collections.abc import Sequence
from functools import lru_cache
from typing import Final, NamedTuple, Protocol, TypeVar

import numpy as np
from numpy.typing import NDArray

from clients.scalp.grid import Floats
from clients.scalp.head import Head
from clients.scalp.loss_map import LossMap
from fittings.placement.house_rules import HouseRules
from fittings.placement.margin import AT_HAIRLINE_MM, first_reaching, thinning
from fittings.placement.raster import NOTHING_CM2, ROWS, Outline, Profile, ScalpRaster, scalp_raster
from pieces.bases.construction import Clip, TapeArea

SET_BACK_STEP_MM: Final = 5.0
SIDE_SHIFTS_MM: Final = (-10.0, 0.0, 10.0)
WITHIN: Final = 0.01  # of cover, and of all own hair: what is nearer to the best than this is as good

Number = TypeVar("Number", np.float64, np.int32)

_NOWHERE = -1e6  # half-width in mm of what no base reaches
_MARGIN_STEP_MM = 3.0  # less than a map cell: finer differences are none


class Base(Protocol):
    """What placing asks of a base; `pieces.bases.construction.BaseShape` is one."""

    @property
    def outline(self) -> Outline: ...
    @property
    def clips(self) -> Sequence[Clip]: ...
    @property
    def tape_areas(self) -> Sequence[TapeArea]: ...
    @property
    def front_edge(self) -> str: ...
    @property
    def two_way(self) -> bool: ...


class Seat(NamedTuple):
    """Where a base sits, and which way round."""

    set_back_mm: float
    side_shift_mm: float
    turned: bool


class _Tried(NamedTuple):
    """What every seat of one way round gives, each of shape (set-backs, shifts)."""

    cover: Floats
    clips_holding: NDArray[np.intp]
    margin_kept: Floats
    own_hair_hidden_cm2: Floats


class SeatSearch:
    """Everything about one head, map and set of house rules that the search of any base needs."""

    def __init__(self, raster: ScalpRaster, house_rules: HouseRules) -> None:
        """Takes some ten milliseconds; each base then a fraction of one."""
        self.raster, self.house_rules = raster, house_rules
        self.thinning = thinning(raster.head, raster.loss_map, house_rules.loss_below_percent)
        self._set_backs = np.arange(0, raster.length_mm, SET_BACK_STEP_MM)
        self._widest = int(np.ceil((raster.reach_mm + max(SIDE_SHIFTS_MM)) / raster.width_step_mm))
        widths = np.arange(self._widest + 1, dtype=float) * raster.width_step_mm
        self._sums = raster.loss_and_own_hair(widths, SIDE_SHIFTS_MM).reshape(-1, len(SIDE_SHIFTS_MM))
        first = np.ceil(self._set_backs / raster.row_mm - 0.5).astype(np.int32)
        rows = np.arange(ROWS, dtype=np.int32)[:, None] + first  # under a base whose front edge is at each set-back
        self._sums_of_row = np.minimum(rows, ROWS) * (self._widest + 1)
        self._profile_index = raster.profile_index((rows + 0.5) * raster.row_mm - self._set_backs)
        self._edge_s, self._edge_t = self.thinning.edge_mm.T[:, :, None]
        edge_u = self._edge_s - self._set_backs
        self._edge_index = np.where(edge_u >= 0, raster.profile_index(edge_u), np.iinfo(np.int32).max)

    def best_seat(self, base: Base) -> Seat:
        """The best seat of one base, by the order in the module's docstring."""
        ways = (False, True) if base.two_way else (False,)
        profiles = [self.raster.profile(base.outline, turned=turned) for turned in ways]
        at_hairline = self.thinning.reaches_hairline and base.front_edge == "lace"
        room = 0.0 if at_hairline else max(self.raster.length_mm - profiles[0].length_mm, 0.0)
        set_backs = self._set_backs[: int(room / SET_BACK_STEP_MM + 1e-9) + 1]
        tried = [self._try(base, *way, set_backs) for way in zip(profiles, ways, strict=True)]
        cover, clips, margin, hidden = (np.array(part) for part in zip(*tried, strict=True))
        seats = np.flatnonzero(cover >= cover.max() - WITHIN)
        for measure, slack in (
            (-clips, 0),
            (-margin, 0),
            (hidden, WITHIN * self.raster.total.own_hair),
        ):
            found = measure.ravel()[seats]
            seats = seats[found <= found.min() + slack]
        way, step, shift = np.unravel_index(seats, cover.shape)
        large_end_first = np.array([not self.thinning.reaches_hairline and _large_end_first(one) for one in profiles])
        from_house = np.abs(set_backs - self.house_rules.set_back_mm)
        best = np.lexsort((set_backs[step], large_end_first[way], from_house[step], np.abs(SIDE_SHIFTS_MM)[shift]))[0]
        return Seat(float(set_backs[step[best]]), SIDE_SHIFTS_MM[shift[best]], ways[way[best]])

    def _try(self, base: Base, profile: Profile, turned: bool, set_backs: Floats) -> _Tried:
        raster, count = self.raster, len(set_backs)
        spanned = min(int(profile.length_mm / raster.row_mm) + 2, ROWS)
        steps = _ending_in(np.minimum(raster.width_steps(profile.half_widths_mm), self._widest), 0)
        width = steps.take(self._profile_index[:spanned, :count], mode="clip")
        sums = self._sums.take(self._sums_of_row[:spanned, :count] + width, axis=0).sum(axis=0)
        cover = sums.real / raster.total.loss if raster.total.loss > NOTHING_CM2 else np.ones(sums.shape)
        density = raster.density_under_clips(base.clips, base.outline, set_backs, SIDE_SHIFTS_MM, turned=turned)
        holding = (density >= self.house_rules.clip_hold_percent).sum(axis=0)
        return _Tried(cover, holding, self._margin_kept(profile, set_backs), sums.imag)

    def _margin_kept(self, profile: Profile, set_backs: Floats) -> Floats:
        """How much of the house margin every seat keeps, shape (set-backs, shifts), in steps too coarse to split hairs.

        Infinite where the whole of it is kept, -1 where thinning sticks out; between them in steps of 3 mm. The margin
        is `margin.margin_to_edge`'s, of all seats at once: sideways it moves with the shift, lengthwise with the
        set-back.
        """
        shifts, rule = np.array(SIDE_SHIFTS_MM), self.house_rules.margin_mm
        if not len(self._edge_s):
            return np.full((len(set_backs), len(shifts)), np.inf)
        widths, length = profile.half_widths_mm, profile.length_mm
        within = _ending_in(widths, _NOWHERE).take(self._edge_index[:, : len(set_backs)], mode="clip")
        left = (within - self._edge_t).min(axis=0)[:, None] + shifts
        right = (within + self._edge_t).min(axis=0)[:, None] - shifts
        out = np.abs(self._edge_t - shifts)
        front = (self._edge_s - first_reaching(widths, out) * profile.step_mm).min(axis=0) - set_backs[:, None]
        back = (length - first_reaching(widths[::-1], out) * profile.step_mm - self._edge_s).min(axis=0)
        back = back + set_backs[:, None]
        front[0] = np.where(front[0] >= 0, np.inf, front[0])  # the first set-back is the hairline
        at_nape = (set_backs + length >= self.raster.length_mm - AT_HAIRLINE_MM)[:, None]
        back = np.where(at_nape & (back >= 0), np.inf, back)
        margin = np.minimum(np.minimum(left, right), np.minimum(front, back))
        return np.where(margin >= rule, np.inf, np.where(margin < 0, -1.0, np.floor(margin / _MARGIN_STEP_MM)))


@lru_cache(maxsize=4)
def seat_search(head: Head, loss_map: LossMap, house_rules: HouseRules) -> SeatSearch:
    """The search on one head and map; the last few are kept, for one consult asks for the same again and again."""
    return SeatSearch(scalp_raster(head, loss_map), house_rules)


def _ending_in(samples: NDArray[Number], value: float) -> NDArray[Number]:
    """The samples of a base, and one more for all that lies behind it."""
    found = np.empty(len(samples) + 1, dtype=samples.dtype)
    found[:-1], found[-1] = samples, value
    return found


def _large_end_first(profile: Profile) -> bool:
    half = len(profile.half_widths_mm) // 2
    return bool(profile.half_widths_mm[:half].sum() > profile.half_widths_mm[::-1][:half].sum() * (1 + 1e-9))
