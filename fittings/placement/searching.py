"""Where does one base sit best on this head?

Tried are set-backs in 5 mm steps from the hairline to where the base ends at the nape, shifts of 10 mm to either side,
and both ways round where the base allows it. Of those within 1 % of the best cover, the most clips that hold win; then
one that keeps the house margin on every side, where any does; then least own hair hidden, to a square centimetre; then
the front edge nearest the house set-back. Last, so that the answer never hangs on rounding: the smaller end to the
front, the smaller shift, the smaller set-back. A lace front on loss that reaches the hairline sits at the hairline.

The order is the trade's (common practice); the numbers behind it are `raster`'s. Millimetres, cm².
"""

from collections.abc import Callable, Sequence
from functools import lru_cache
from typing import Final, NamedTuple, Protocol

import numpy as np
from numpy.typing import NDArray

from clients.scalp.grid import Floats
from clients.scalp.head import Head
from clients.scalp.loss_map import LossMap
from fittings.placement.house_rules import HouseRules
from fittings.placement.margin import thinning
from fittings.placement.raster import ROWS, Outline, Profile, ScalpRaster, scalp_raster
from pieces.bases.construction import Clip, TapeArea

SET_BACK_STEP_MM: Final = 5.0
SIDE_SHIFTS_MM: Final = (-10.0, 0.0, 10.0)
COVER_WITHIN: Final = 0.01  # covers nearer to the best than this are as good as the best

_NOWHERE = -1e6  # half-width in mm of what no base reaches


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
    keeps_margin: NDArray[np.bool_]
    own_hair_hidden_cm2: Floats


class SeatSearch:
    """Everything about one head, map and set of house rules that the search of any base needs."""

    def __init__(self, raster: ScalpRaster, house_rules: HouseRules) -> None:
        """Takes some ten milliseconds; each base then a fraction of one."""
        self.raster, self.house_rules = raster, house_rules
        reach = raster.reach_mm + max(SIDE_SHIFTS_MM)
        self._widest = int(np.ceil(reach / raster.width_step_mm))
        widths = np.arange(self._widest + 1, dtype=float) * raster.width_step_mm
        self._sums = raster.loss_and_own_hair(widths, SIDE_SHIFTS_MM).reshape(-1, len(SIDE_SHIFTS_MM))
        self._set_backs = np.arange(0, raster.length_mm, SET_BACK_STEP_MM)
        first = np.ceil(self._set_backs / raster.row_mm - 0.5).astype(np.int32)
        rows = np.arange(ROWS, dtype=np.int32)[:, None] + first  # of a base whose front edge is at each set-back
        self._rows = np.minimum(rows, ROWS)
        self._sums_of_row = self._rows * (self._widest + 1)
        self._profile_index = raster.profile_index((rows + 0.5) * raster.row_mm - self._set_backs)
        thin = thinning(raster.head, raster.loss_map, house_rules.loss_below_percent)
        self.reaches_hairline = thin.reaches_hairline
        self._left, self._right = (self._furthest(thin.edge_mm[:, 0], sign * thin.edge_mm[:, 1]) for sign in (1, -1))
        self._edge_rows = np.flatnonzero(np.isfinite(self._left))

    def best_seat(self, base: Base) -> Seat:
        """The best seat of one base, by the order in the module's docstring."""
        ways = (False, True) if base.two_way else (False,)
        profiles = [self.raster.profile(base.outline, turned=turned) for turned in ways]
        length = profiles[0].length_mm
        at_hairline = self.reaches_hairline and base.front_edge == "lace"
        count = 1 if at_hairline else int(max(self.raster.length_mm - length, 0) / SET_BACK_STEP_MM + 1e-9) + 1
        set_backs = self._set_backs[:count]
        tried = [
            self._try(profile, self._clips_holding(base, set_backs, turned), count)
            for profile, turned in zip(profiles, ways, strict=True)
        ]
        cover, clips, keeps, hidden = (np.stack(part) for part in zip(*tried, strict=True))
        way, step, shift = np.nonzero(cover >= cover.max() - COVER_WITHIN)
        large_end_first = np.array([_large_end_first(profile) and not self.reaches_hairline for profile in profiles])
        preferred: tuple[Callable[[], NDArray[np.generic]], ...] = (
            lambda: -clips[way, step, shift],
            lambda: ~keeps[way, step, shift],
            lambda: np.rint(hidden[way, step, shift]),
            lambda: np.abs(set_backs[step] - self.house_rules.set_back_mm),
            lambda: large_end_first[way],
            lambda: np.abs(shift - len(SIDE_SHIFTS_MM) // 2),
            lambda: set_backs[step],
        )
        for measure in preferred:
            found = measure()
            least = found == found.min()
            way, step, shift = way[least], step[least], shift[least]
        return Seat(float(set_backs[step[0]]), SIDE_SHIFTS_MM[shift[0]], ways[way[0]])

    def _try(self, profile: Profile, clips_holding: NDArray[np.intp], count: int) -> _Tried:
        spanned = min(int(profile.length_mm / self.raster.row_mm) + 2, ROWS)
        index = self._profile_index[:spanned, :count]
        steps = np.minimum(self.raster.width_steps(profile.half_widths_mm), self._widest)
        width = _beyond_the_end(steps, 0)[np.minimum(index, len(steps))]
        found = self._sums.take(self._sums_of_row[:spanned, :count] + width, axis=0).sum(axis=0)
        loss = self.raster.total.loss
        cover = found.real / loss if loss > 0 else np.ones(found.shape)
        return _Tried(cover, clips_holding, self._keeps_margin(profile, index), found.imag)

    def _clips_holding(self, base: Base, set_backs: Floats, turned: bool) -> NDArray[np.intp]:
        density = self.raster.density_under_clips(base.clips, base.outline, set_backs, SIDE_SHIFTS_MM, turned=turned)
        return np.asarray((density >= self.house_rules.clip_hold_percent).sum(axis=0))

    def _keeps_margin(self, profile: Profile, index: NDArray[np.int32]) -> NDArray[np.bool_]:
        """Whether all thinning lies under the base shrunk by the margin, shape (set-backs, shifts)."""
        shifts, (spanned, count) = np.array(SIDE_SHIFTS_MM), index.shape
        if not len(self._edge_rows):
            return np.ones((count, len(shifts)), dtype=bool)
        shrunk = self._shrunk(profile)
        within = _beyond_the_end(shrunk, _NOWHERE)[np.minimum(index, len(shrunk))]
        rows = self._rows[:spanned, :count]
        left, right = ((within - furthest[rows]).min(axis=0)[:, None] for furthest in (self._left, self._right))
        reached = (rows[0] <= self._edge_rows[0]) & (rows[-1] >= self._edge_rows[-1])
        return np.asarray(reached[:, None] & (left + shifts >= 0) & (right - shifts >= 0))

    def _shrunk(self, profile: Profile) -> Floats:
        """Half-widths of the base without the house margin at its sides and its ends.

        Where loss reaches the hairline only a base set there can cover it, and there is no margin to keep in front.
        """
        margin, widths = self.house_rules.margin_mm, profile.half_widths_mm
        away = min(int(np.ceil(margin / profile.step_mm)), len(widths))
        nowhere = np.full(away, _NOWHERE)
        further_back = np.concatenate([widths[away:], nowhere])
        further_front = widths if self.reaches_hairline else np.concatenate([nowhere, widths[: len(widths) - away]])
        return np.asarray(np.minimum(widths - margin, np.minimum(further_back, further_front)))

    def _furthest(self, s_mm: Floats, t_mm: Floats) -> Floats:
        """The largest t of the thinning in each row, minus infinity where there is none."""
        found = np.full(ROWS + 1, -np.inf)
        np.maximum.at(found, np.minimum((s_mm / self.raster.row_mm).astype(int), ROWS - 1), t_mm)
        return found


@lru_cache(maxsize=8)
def seat_search(head: Head, loss_map: LossMap, house_rules: HouseRules) -> SeatSearch:
    """The search on one head and map; the last few are kept, for one consult asks for the same again and again."""
    return SeatSearch(scalp_raster(head, loss_map), house_rules)


def _large_end_first(profile: Profile) -> bool:
    half = len(profile.half_widths_mm) // 2
    return bool(profile.half_widths_mm[:half].sum() > profile.half_widths_mm[::-1][:half].sum() * (1 + 1e-9))


def _beyond_the_end(samples: NDArray, value: float) -> NDArray:  # type: ignore[type-arg]  # ints and floats alike
    """The samples with one more that stands for everything behind the base."""
    return np.append(samples, np.asarray(value, dtype=samples.dtype))
