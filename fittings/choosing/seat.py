"""One piece at one set-back, drawn and counted for its card: what the slider moves."""

from __future__ import annotations

import json
from dataclasses import dataclass

from django.utils.safestring import SafeString, mark_safe

from fittings.candidates import Ground, Proposal
from fittings.consult.map_form import ZONE_TEXT
from fittings.house_numbers import placement_rules
from fittings.placement.drawing import clips_in_tape, draw_candidate, outline_in_tape
from fittings.placement.placing import Placement, place

STEP_MM = 5


@dataclass(frozen=True)
class Seat:
    """What a card shows of one place: the drawing, the numbers, and how far the slider goes."""

    placement: Placement
    drawing: SafeString
    furthest_mm: int
    is_best: bool

    @property
    def set_back_mm(self) -> int:
        return round(self.placement.set_back_mm)

    @property
    def margin_mm(self) -> float | None:
        """None where nothing counts as thinning, so that no edge can be measured from."""
        return self.placement.margin_mm if abs(self.placement.margin_mm) < 1000 else None


def turning_head(ground: Ground, proposal: Proposal) -> dict[str, str]:
    """What the head that turns is given: her axes and map, and this base in its best place, in tape coordinates."""
    shape, placement = proposal.piece.base.shape(), proposal.placement
    clips = zip(clips_in_tape(shape, placement).round(1).tolist(), placement.clips, strict=True)
    base = {
        "label": str(proposal.piece),
        "outline": outline_in_tape(shape, placement).round(1).tolist(),
        "clips": [[s_mm, t_mm, hold.holds] for (s_mm, t_mm), hold in clips],
    }
    return {
        "axes": ",".join(f"{axis:.4f}" for axis in ground.head.semi_axes_mm),
        "zones": ZONE_TEXT,
        "assumed": " ".join(ground.head.assumed),
        "density_hex": ground.loss_map.to_hex(),
        "bases": json.dumps([base]),
    }


def seat_shown(ground: Ground, proposal: Proposal, set_back: str | None) -> Seat:
    """The best place, or the one at the set-back asked for (text from the address; nonsense means the best)."""
    best = proposal.placement
    shape = proposal.piece.base.shape()
    furthest = max(int(ground.head.tapes_mm.front_to_nape_mm - shape.outline.length_mm) // STEP_MM * STEP_MM, 0)
    placement = best
    if set_back is not None and set_back.isdecimal():
        placement = place(
            ground.head,
            ground.loss_map,
            shape.outline,
            set_back_mm=float(min(int(set_back[:4]), furthest)),
            side_shift_mm=best.side_shift_mm,
            turned=best.turned,
            clips=shape.clips,
            tape_areas=shape.tape_areas,
            front_edge=shape.front_edge,
            house_rules=placement_rules(ground.numbers),
        )
    covered, hold = round(100 * placement.cover), "holds" if placement.clips_holding == 1 else "hold"
    holding = f"{placement.clips_holding} of {placement.clips_total} clips {hold}"
    title = f"{proposal.piece} on her head from above: covers {covered} %, {holding}"
    drawing = draw_candidate(ground.head, ground.loss_map, shape, placement, title=title)
    return Seat(
        placement=placement,
        drawing=mark_safe(drawing),  # noqa: S308  # our own drawing; the title is escaped there
        furthest_mm=furthest,
        is_best=placement is best,
    )
