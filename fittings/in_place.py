"""What do the rules have to know of a piece where it sits on her head, in the place it was chosen for or as worn?

Which pieces there are to choose from, each in its best place, is for `candidates`.
"""

from __future__ import annotations

from fittings.candidates import Ground, facts_of, match_of
from fittings.house_numbers import placement_rules
from fittings.models import Candidate
from fittings.placement.clip_zones import zones_under_clips
from fittings.placement.placing import Placement, place
from fittings.plan_facts import Facts
from pieces.bases.construction import BaseShape
from pieces.models import Variant


def placed_as_chosen(ground: Ground, shape: BaseShape, chosen: Candidate, *, set_back_mm: float) -> Placement:
    """Shifted and turned as it was chosen, so many millimetres behind the hairline."""
    return place(
        ground.head,
        ground.loss_map,
        shape.outline,
        set_back_mm=set_back_mm,
        side_shift_mm=chosen.side_shift_mm,
        turned=chosen.turned,
        clips=shape.clips,
        tape_areas=shape.tape_areas,
        front_edge=shape.front_edge,
        house_rules=placement_rules(ground.numbers),
    )


def facts_in_place(ground: Ground, variant: Variant, shape: BaseShape, placement: Placement) -> Facts:
    """Everything the rules may ask about it there. `variant` is fetched by `with_all_that_is_read`."""
    match = match_of(ground, placement, [variant])[0]
    zones = zones_under_clips(ground.head, shape, placement)
    length_mm = float(variant.length_mm)
    return facts_of(ground, variant.piece, length_mm, placement, match, clip_zones=zones, smaller=False)
