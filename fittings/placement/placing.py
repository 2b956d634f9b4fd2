"""What does a base do on this head, where it sits?

`place` reports one seat; `best_placement` finds the seat (`searching` says by which order) and reports it;
`placements_by_set_back` reports the row of seats that a stylist slides through. Which of many bases to take is
`ranking`'s to say. Millimetres, cm², density and loss in percent, cover and shares from 0 to 1.

A map cell is under the base when |t − side shift| ≤ w(s − set-back), w the half-width of the outline; turned, the base
lies the other way round, its back edge to the front, its left to the right. How cells on the edge are shared is said in
`raster`. What counts as thinning, as holding and as margin are house rules (common practice).
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from clients.scalp.head import Head
from clients.scalp.loss_map import LossMap
from fittings.placement.house_rules import HouseRules
from fittings.placement.margin import Thinning, margin_to_edge, thinning
from fittings.placement.raster import NOTHING_CM2, REGIONS, Outline, Profile, ScalpRaster, scalp_raster
from fittings.placement.searching import SET_BACK_STEP_MM, Base, Seat, SeatSearch, seat_search
from pieces.bases.construction import BaseShape, Clip, TapeArea
from pieces.bases.outline import BaseOutline

HOUSE_START: Final = HouseRules()

_FRONT_CLIP_MM = 5.0  # clips this near to the foremost one are front clips too
_FRONT_THIRD = 1 / 3


@dataclass(frozen=True)
class ClipHold:
    """One clip (where it is on the base), the remaining hair under it in percent, and whether that holds it."""

    clip: Clip
    density: float
    holds: bool


@dataclass(frozen=True)
class TapeHold:
    """One tape area, the remaining hair on the skin under it in percent, and whether tape will stick there."""

    area: TapeArea
    density: float
    holds: bool


@dataclass(frozen=True)
class Placement:
    """One base in one seat: what it covers, how it holds, what of the own hair it hides and leaves to be seen."""

    set_back_mm: float
    side_shift_mm: float
    turned: bool
    cover: float
    """Share of the lost hair that lies under the base; 1 when nothing is lost."""
    cover_by_region: dict[str, float]
    """The same for each of `raster.REGIONS`."""
    loss_by_region_cm2: dict[str, float]
    """Lost hair of each region, covered or not: area times the share lost."""
    uncovered_cm2: float
    """Lost hair outside the base: area times the share lost."""
    margin_mm: float
    """How far the base reaches past the thinning where it reaches least; negative where thinning sticks out, infinite
    when nothing counts as thinning."""
    margin_side: str
    """Where that is: "front", "back", "left", "right", or "" when nothing counts as thinning."""
    clips: tuple[ClipHold, ...]
    tapes: tuple[TapeHold, ...]
    front_clip_holds: bool | None
    """Whether all clips at the front edge hold; None for a base without any there."""
    loss_reaches_hairline: bool
    front_edge_needed: str
    """"lace" when loss reaches the front hairline; else "clip" when the front clip holds or "tape"."""
    front_edge_fits: bool
    """Whether the front of this base can be worn here: lace at the hairline, or own hair left before it."""
    set_back_to_blend_mm: float | None
    """The set-back that leaves the most own hair in front and still keeps the house margin before the thinning; None
    when loss reaches the hairline or nothing counts as thinning."""
    own_hair_hidden_cm2: float
    """Own hair under the base: area times the share that remains."""
    own_hair_showing_cm2: float
    """Own hair outside the base; it decides how exact the colour has to be."""
    scalp_under_base_cm2: float

    @property
    def clips_holding(self) -> int:
        """How many clips hold."""
        return sum(hold.holds for hold in self.clips)

    @property
    def clips_total(self) -> int:
        """How many clips the base has."""
        return len(self.clips)

    @property
    def showing_share(self) -> float:
        """Share of the own hair that stays to be seen; 0 when there is none."""
        own = self.own_hair_hidden_cm2 + self.own_hair_showing_cm2
        return self.own_hair_showing_cm2 / own if own > NOTHING_CM2 else 0.0


@dataclass(frozen=True)
class _Worn:
    """What `place` is given of a base, in the shape that a report reads."""

    outline: Outline
    clips: tuple[Clip, ...]
    tape_areas: tuple[TapeArea, ...]
    front_edge: str
    two_way: bool = False


def place(
    head: Head,
    loss_map: LossMap,
    outline: Outline,
    *,
    set_back_mm: float,
    side_shift_mm: float = 0.0,
    turned: bool = False,
    clips: Sequence[Clip] = (),
    tape_areas: Sequence[TapeArea] = (),
    front_edge: str = "plain",
    house_rules: HouseRules = HOUSE_START,
) -> Placement:
    """Report a base whose front edge sits `set_back_mm` behind the front hairline, shifted to the left if positive.

    outline: anything with half_width_mm(u), length_mm and width_mm; what hangs over hairline or nape covers nothing.
    Raises ValueError for a set-back or shift that is not finite, or an outline without length.
    """
    if not (np.isfinite(set_back_mm) and np.isfinite(side_shift_mm)):
        raise ValueError(f"a base sits at a finite set-back and shift, got {set_back_mm:g} and {side_shift_mm:g} mm")
    base = _Worn(outline, tuple(clips), tuple(tape_areas), front_edge)
    seat = Seat(float(set_back_mm), float(side_shift_mm), turned)
    thin = thinning(head, loss_map, house_rules.loss_below_percent)
    return _report(scalp_raster(head, loss_map), thin, base, seat, house_rules)


def best_placement(
    head: Head, loss_map: LossMap, base: Base | BaseOutline, house_rules: HouseRules = HOUSE_START
) -> Placement:
    """The report of the best seat of a base; a bare outline is a base without clips."""
    return best_in(seat_search(head, loss_map, house_rules), base)


def best_in(search: SeatSearch, base: Base | BaseOutline) -> Placement:
    """The same for one of many bases on the head that a search was made for."""
    shape = _shape(base)
    return _report(search.raster, search.thinning, shape, search.best_seat(shape), search.house_rules)


def placements_by_set_back(
    head: Head, loss_map: LossMap, base: Base | BaseOutline, house_rules: HouseRules = HOUSE_START
) -> list[Placement]:
    """The reports of a base at every 5 mm of set-back, at its best shift and way round, from the hairline backwards."""
    search, shape = seat_search(head, loss_map, house_rules), _shape(base)
    best = search.best_seat(shape)
    furthest = max(head.tapes_mm.front_to_nape_mm - shape.outline.length_mm, 0)
    return [
        _report(search.raster, search.thinning, shape, best._replace(set_back_mm=set_back), house_rules)
        for set_back in np.arange(0, furthest + 1e-6, SET_BACK_STEP_MM).tolist()
    ]


def _shape(base: Base | BaseOutline) -> Base:
    return BaseShape(key="", outline=base) if isinstance(base, BaseOutline) else base


def _report(raster: ScalpRaster, thin: Thinning, base: Base, seat: Seat, house_rules: HouseRules) -> Placement:
    profile = raster.profile(base.outline, turned=seat.turned)
    under, total = raster.under(profile, seat.set_back_mm, seat.side_shift_mm), raster.total
    lost_in = dict(zip(REGIONS, total.loss_by_region.tolist(), strict=True))
    covered_in = zip(REGIONS, under.loss_by_region.tolist(), strict=True)
    margin, side = margin_to_edge(thin.edge_mm, profile, seat.set_back_mm, seat.side_shift_mm, raster.length_mm)
    densities = raster.density_under_clips(
        base.clips, base.outline, [seat.set_back_mm], [seat.side_shift_mm], turned=seat.turned
    )
    holds = tuple(
        ClipHold(clip, density, density >= house_rules.clip_hold_percent)
        for clip, density in zip(base.clips, densities.ravel().tolist(), strict=True)
    )
    front_clip_holds = _front_clip_holds(holds, profile.length_mm, seat.turned)
    at_hairline, front = thin.reaches_hairline, thin.front_mm
    return Placement(
        **seat._asdict(),
        cover=_share(under.loss, total.loss),
        cover_by_region={region: _share(covered, lost_in[region]) for region, covered in covered_in},
        loss_by_region_cm2=lost_in,
        uncovered_cm2=max(total.loss - under.loss, 0.0),
        margin_mm=margin,
        margin_side=side,
        clips=holds,
        tapes=tuple(_tape_hold(raster, profile, seat, area, house_rules) for area in base.tape_areas),
        front_clip_holds=front_clip_holds,
        loss_reaches_hairline=at_hairline,
        front_edge_needed="lace" if at_hairline else "clip" if front_clip_holds else "tape",
        front_edge_fits=base.front_edge == "lace" or (seat.set_back_mm > 0 and not at_hairline),
        set_back_to_blend_mm=None if at_hairline or front is None else max(front - house_rules.margin_mm, 0.0),
        own_hair_hidden_cm2=under.own_hair,
        own_hair_showing_cm2=max(total.own_hair - under.own_hair, 0.0),
        scalp_under_base_cm2=under.scalp,
    )


def _front_clip_holds(holds: Sequence[ClipHold], length_mm: float, turned: bool) -> bool | None:
    """Whether the clips nearest the front edge hold, if any sits in the front third of the base."""
    behind = [length_mm - hold.clip.u_mm if turned else hold.clip.u_mm for hold in holds]
    foremost = min(behind, default=length_mm)
    if foremost > length_mm * _FRONT_THIRD:
        return None
    return all(hold.holds for hold, u in zip(holds, behind, strict=True) if u <= foremost + _FRONT_CLIP_MM)


def _tape_hold(raster: ScalpRaster, profile: Profile, seat: Seat, area: TapeArea, house_rules: HouseRules) -> TapeHold:
    u = profile.length_mm - profile.u_mm if seat.turned else profile.u_mm
    strip = np.where((u >= area.from_mm) & (u <= area.to_mm), profile.half_widths_mm, 0.0)
    under = raster.under(replace(profile, half_widths_mm=strip), seat.set_back_mm, seat.side_shift_mm)
    on_scalp = under.scalp > NOTHING_CM2
    density = round(100 * under.own_hair / under.scalp, 6) if on_scalp else 0.0
    return TapeHold(area, density, on_scalp and density <= house_rules.tape_hold_percent)


def _share(part: float, whole: float) -> float:
    """part / whole from 0 to 1, and 1 for a whole of nothing; what rounding leaves of a full share is given back."""
    if whole <= NOTHING_CM2:
        return 1.0
    return 1.0 if whole - part <= NOTHING_CM2 * max(whole, 1) else max(part / whole, 0.0)
