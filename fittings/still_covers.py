"""Which of a client's own pieces still cover, by her newest map?

Each piece she has now is placed where it is worn: the set-back and shift it was chosen at, or the set-back noted when
it was put on; a piece whose place was never recorded is taken at its best one. Its clips are those it has now. The map
it was chosen by and the newest are both laid on the same head, so that what differs is hair. Reads, writes nothing.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from enum import Enum
from math import isinf

from django.db.models import Prefetch

from clients.models import Client
from clients.scalp.head import Head
from clients.scalp.loss_map import LossMap
from fittings.house_numbers import placement_rules
from fittings.models import OwnedPiece, TryOn
from fittings.placement.placing import Placement, best_placement, place
from fittings.placement.ranking import covers_with_margin
from fittings.placement.still import EdgesMoved, edges_moved, margins_in_seat
from pieces.bases.construction import BaseShape, Clip
from salon.common.lengths import LengthUnit, format_length


class Covers(Enum):
    """How a piece stands to the newest map; the words are for the screen."""

    STILL = "Still covers"
    JUST = "Only just covers"
    NO_LONGER = "No longer covers"


@dataclass(frozen=True)
class OnAMap:
    """One piece in its seat on one map."""

    placement: Placement
    margins: dict[str, float]

    @property
    def showing(self) -> list[str]:
        """The sides on which thinning reaches past the base."""
        return [side for side, margin in self.margins.items() if margin < 0]


@dataclass(frozen=True)
class StillCovers:
    """One of her pieces at the newest map, and at the one it was chosen by where that is known."""

    owned: OwnedPiece
    shape: BaseShape
    covers: Covers
    now: OnAMap
    then: OnAMap | None
    moved: EdgesMoved | None
    seat_is_known: bool

    @property
    def margin_mm(self) -> float | None:
        """None where nothing counts as thinning, so that no edge can be measured from."""
        margin = self.now.placement.margin_mm
        return None if isinf(margin) else margin

    def sentences(self, unit: LengthUnit) -> list[str]:
        """What has become of it, in plain words."""
        return [*self._where_it_shows(unit), *self._how_it_holds(), *self._where_it_sits()]

    def _where_it_shows(self, unit: LengthUnit) -> list[str]:
        placement, showing = self.now.placement, self.now.showing
        told = []
        if placement.loss_reaches_hairline and not placement.front_edge_fits:
            told.append("Thinning reaches the front hairline, and this base makes no hairline there.")
        if not showing:
            if self.margin_mm is not None:
                reach = format_length(self.margin_mm, unit)
                told.append(f"It reaches past the thinning by {reach} at the least, {_at((placement.margin_side,))}.")
            return told
        furthest = format_length(-min(self.now.margins.values()), unit)
        before = set(self.then.showing if self.then else ())
        begun = [side for side in showing if side not in before]
        if not begun or self.then is None:
            as_then = ", as it did when she chose it" if self.then else ""
            told.append(f"This base shows {_at(showing)}{as_then}: thinning reaches up to {furthest} past it.")
            return told
        why = f"{_edges(self.moved.outwards)}; this" if self.moved and self.moved.outwards else "This"
        told.append(f"{why} base now shows {_at(begun)}: thinning reaches up to {furthest} past it.")
        if still := [side for side in showing if side in before]:
            told.append(f"It showed {_at(still)} when she chose it, and does so now.")
        return told

    def _how_it_holds(self) -> list[str]:
        now, then = self.now.placement, self.then.placement if self.then else None
        if not now.clips_total:
            return []
        if then is None:
            return [f"{_clips(now)} {_hold(now)} now."]
        if then.clips_holding == now.clips_holding:
            return [f"{_clips(now)} {_hold(now)}, as when she chose it."]
        return [f"{_clips(then)} held when she chose it; {now.clips_holding} of {now.clips_total} {_hold(now)} now."]

    def _where_it_sits(self) -> list[str]:
        if self.seat_is_known:
            return []
        return ["Where it is worn was not recorded; this is reckoned at the place where it does best."]


def still_covers(client: Client, newest: LossMap, head: Head, numbers: Mapping[str, float]) -> list[StillCovers]:
    """Every piece she has now, newest first, in a fixed number of queries."""
    return [_on_her_head(owned, newest, head, numbers) for owned in _pieces_of(client)]


def _pieces_of(client: Client) -> list[OwnedPiece]:
    worn = TryOn.objects.exclude(outcome=TryOn.Outcome.TRIED).filter(set_back_mm__isnull=False)
    pieces = OwnedPiece.objects.current().filter(client=client).with_what_they_are()
    return list(
        pieces.select_related("candidate__assessment").prefetch_related(
            "unit__variant__piece__base__clips",
            "unit__variant__piece__base__tape_areas",
            Prefetch("candidate__try_ons", worn, to_attr="worn"),
        )
    )


def _on_her_head(owned: OwnedPiece, newest: LossMap, head: Head, numbers: Mapping[str, float]) -> StillCovers:
    rules, shape, chosen = placement_rules(numbers), _shape(owned), owned.candidate
    if chosen is None:
        placed = best_placement(head, newest, shape, rules)
        seat = (placed.set_back_mm, placed.side_shift_mm, placed.turned)
    else:
        worn = [float(try_on.set_back_mm) for try_on in chosen.worn]  # type: ignore[attr-defined]  # prefetched so
        seat = (worn[-1] if worn else chosen.set_back_mm, chosen.side_shift_mm, chosen.turned)

    def on(loss_map: LossMap) -> OnAMap:
        placement = place(
            head,
            loss_map,
            shape.outline,
            set_back_mm=seat[0],
            side_shift_mm=seat[1],
            turned=seat[2],
            clips=shape.clips,
            tape_areas=shape.tape_areas,
            front_edge=shape.front_edge,
            house_rules=rules,
        )
        return OnAMap(placement, margins_in_seat(head, loss_map, shape.outline, placement, rules))

    now, then, moved = on(newest), None, None
    if chosen is not None and chosen.assessment.map_painted:
        chosen_by = LossMap.from_hex(chosen.assessment.density_hex)
        then, moved = on(chosen_by), edges_moved(head, chosen_by, newest, rules.loss_below_percent)
    if covers_with_margin(now.placement, rules):
        covers = Covers.STILL
    elif _just_covers(now, numbers):
        covers = Covers.JUST
    else:
        covers = Covers.NO_LONGER
    return StillCovers(owned, shape, covers, now, then, moved, seat_is_known=chosen is not None)


def _just_covers(now: OnAMap, numbers: Mapping[str, float]) -> bool:
    """Nothing shows past it, though it reaches less far than the house margin."""
    placement = now.placement
    makes_the_front = placement.front_edge_fits or not placement.loss_reaches_hairline
    return makes_the_front and not now.showing and placement.cover >= numbers["cover_least_percent"] / 100


def _shape(owned: OwnedPiece) -> BaseShape:
    """The base as it was when she chose it, with the clips it has now; those it was made with while none are noted."""
    shape = owned.candidate.kept.shape if owned.candidate else owned.unit.variant.piece.base.shape()
    if not owned.clips and not owned.tape:
        return shape
    clips = (Clip(float(clip["u_mm"]), float(clip["v_mm"]), float(clip["length_mm"])) for clip in owned.clips)
    return replace(shape, clips=tuple(clips))


_ON: dict[str, str] = {"front": "at the front", "back": "at the back", "left": "on the left", "right": "on the right"}


def _at(sides: list[str] | tuple[str, ...]) -> str:
    """“at the front”, “on the left and on the right”."""
    words = [_ON[side] for side in sides]
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def _edges(sides: tuple[str, ...]) -> str:
    """“The front edge has moved”, “The front and left edges have moved”."""
    if len(sides) == 1:
        return f"The {sides[0]} edge has moved"
    return f"The {', '.join(sides[:-1])} and {sides[-1]} edges have moved"


def _clips(placement: Placement) -> str:
    return f"{placement.clips_holding} of {placement.clips_total} clips"


def _hold(placement: Placement) -> str:
    return "holds" if placement.clips_holding == 1 else "hold"
