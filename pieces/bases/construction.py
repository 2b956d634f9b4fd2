"""What is a base made of that decides how it sits and holds: clips, tape, the front edge, whether it turns round?

Positions are on the flat base: u from its front edge backwards, v from its midline, left positive. Millimetres.
Whether a clip holds on one head is `fittings.placement`'s to say.
"""

from dataclasses import dataclass
from typing import Final, Literal

from pieces.bases.outline import BaseOutline

FrontEdge = Literal["plain", "polyurethane", "lace"]
FRONT_EDGES: Final[tuple[FrontEdge, ...]] = ("plain", "polyurethane", "lace")


@dataclass(frozen=True)
class Clip:
    """A clip by its middle and its length; it lies along the edge of the base that is nearest to it."""

    u_mm: float
    v_mm: float
    length_mm: float


@dataclass(frozen=True)
class TapeArea:
    """A strip across the base, from `from_mm` to `to_mm` behind its front edge, that takes tape."""

    from_mm: float
    to_mm: float


@dataclass(frozen=True)
class BaseShape:
    """All that placing needs of a base; `key` is the caller's own name for it. Lace makes a hairline by itself."""

    key: str
    outline: BaseOutline
    clips: tuple[Clip, ...] = ()
    tape_areas: tuple[TapeArea, ...] = ()
    front_edge: FrontEdge = "plain"
    two_way: bool = False
