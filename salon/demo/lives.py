"""How the demo's clients lived with their pieces: how each is worn and washed, what check-ups found, how it ended.

Days count from the day a piece became hers. `years` lets it happen.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from clients.models import Product
from clients.models.assessment import YesNo
from fittings.models import OwnedPiece, Service, Wear

Kind = Service.Kind

WITH_ACRYLATE: Mapping[str, object] = {"contains": ["acrylate adhesive"], "contains_read": True}
PRODUCTS: tuple[tuple[str, str, Mapping[str, object]], ...] = (
    (
        "Skin tape, clear, for polyurethane",
        Product.Sort.TAPE,
        {"contains": ["acrylate adhesive"], "contains_read": True},
    ),
    ("Thin tape for lace, blue liner", Product.Sort.TAPE, {"contains": ["acrylate adhesive"], "contains_read": True}),
    ("Lace tape, strong hold", Product.Sort.TAPE, {"contains": ["acrylate adhesive"], "contains_read": True}),
    ("Tape remover with alcohol", Product.Sort.REMOVER, {"flammable": True, "contains_read": True}),
    ("Peat brown, demi", Product.Sort.COLOUR, {"oxidative": True, "test_valid_days": 7}),
    ("Ash veil toner", Product.Sort.TONER, {"oxidative": False}),
    ("Mild shampoo", Product.Sort.CARE, {}),
    ("Conditioner for ends", Product.Sort.CARE, {}),
)


@dataclass(frozen=True)
class Done:
    """One service at a check-up."""

    kind: str
    facts: Mapping[str, object] = field(default_factory=dict)
    details: Mapping[str, object] = field(default_factory=dict)
    note: str = ""
    price_minor: int = 0
    on_piece: bool = True


@dataclass(frozen=True)
class CheckUp:
    """A visit so many days after the piece became hers: how its parts were, and what was done."""

    after_days: int
    grades: Mapping[str, int]
    note: str = ""
    done: tuple[Done, ...] = ()
    strand_of: str = ""
    """The product tried on a strand first."""


@dataclass(frozen=True)
class Years:
    """How one chosen piece went on."""

    client: str
    brought: str = ""
    """The piece she brought instead, by its name, so many days ago."""
    brought_days_ago: int = 0
    days_per_week: int = 5
    hours_per_day: float = 9
    worn_to_bed: str = YesNo.NO
    swum_in: str = YesNo.NO
    water: str = "soft"
    washed_every_days: int = 12
    by_her_own_address: bool = False
    check_ups: tuple[CheckUp, ...] = ()
    repaired_after_days: int | None = None
    ended_after_days: int | None = None
    ended: str = ""
    ended_note: str = ""


COLOURED_OFF_THE_HEAD = {
    "planned_colour": "deposit",
    "colour_on": "piece detached",
    "colour_touches_base": "no",
    "colour_touches_skin": "no",
    "unit_coloured": "no",
    "unit_lightened_before": "no",
}
GLAZED = Done(
    Kind.COLOUR,
    COLOURED_OFF_THE_HEAD,
    {
        "lines": [
            {"product": "Peat brown, demi", "parts": 2, "lot": "PB-118"},
            {"product": "Ash veil toner", "parts": 1, "lot": "AV-093"},
        ],
        "developer_percent": 1.9,
        "developer_parts": 6,
        "minutes": 12,
        "along": ["lengths", "ends"],
    },
    note="two fingers below the base, rinsed until clear",
    price_minor=4500,
)
WASHED = Done(Kind.WASH, {}, {"product": "Mild shampoo", "conditioner": "Conditioner for ends"}, price_minor=3500)
DEEPLY = Done(Kind.WASH, {}, {"product": "Mild shampoo", "deep_care": True}, price_minor=4500)
RETAPED = Done(
    Kind.TAPE,
    {"planned_fixing": ["tape"], "adhesive_contains": ["acrylate adhesive"]},
    {"product": "Skin tape, clear, for polyurethane", "lot": "CT-2291", "where": ["front", "left", "right"]},
    price_minor=1200,
)
LIGHT, MARKED = Wear.LIGHT, Wear.MARKED

YEARS = (
    Years(
        "rosalind",
        days_per_week=5,
        hours_per_day=7,
        washed_every_days=11,
        by_her_own_address=True,
        check_ups=(
            CheckUp(35, {"fibre": 0, "shedding": 0, "clips": 0}, "Sits as on the first day.", (WASHED,)),
            CheckUp(119, {"fibre": 0, "shedding": LIGHT, "clips": 0}, "", (DEEPLY,)),
            CheckUp(
                210,
                {"fibre": LIGHT, "shedding": LIGHT, "colour": LIGHT, "clips": LIGHT},
                "The colour has faded a little at the ends.",
                (WASHED,),
            ),
            CheckUp(301, {"fibre": LIGHT, "shedding": LIGHT, "base": LIGHT, "clips": LIGHT}, "", (DEEPLY,)),
            CheckUp(385, {"fibre": MARKED, "shedding": MARKED, "base": LIGHT, "clips": LIGHT}, "Dry ends."),
        ),
        repaired_after_days=240,
    ),
    Years(
        "yvette",
        days_per_week=7,
        hours_per_day=11,
        water="hard",
        washed_every_days=9,
        check_ups=(
            CheckUp(35, {"fibre": LIGHT, "shedding": 0, "clips": 0}),
            CheckUp(112, {"fibre": MARKED, "shedding": LIGHT, "clips": LIGHT}, "Frizz where the collar rubs."),
        ),
        ended_after_days=190,
        ended=OwnedPiece.Ended.WORN_OUT,
        ended_note="Matted at the nape; she kept it for the garden.",
    ),
    Years(
        "yvette",
        brought="Lantern Court",
        brought_days_ago=185,
        days_per_week=4,
        hours_per_day=7,
        water="hard",
        washed_every_days=15,
        check_ups=(
            CheckUp(21, {"fibre": 0, "shedding": 0, "clips": 0}, "", (GLAZED,), strand_of="Peat brown, demi"),
            CheckUp(110, {"fibre": 0, "colour": LIGHT, "clips": 0}, "The glaze has washed out.", (WASHED, GLAZED)),
        ),
    ),
    Years(
        "maud",
        days_per_week=3,
        hours_per_day=6,
        washed_every_days=24,
        check_ups=(CheckUp(42, {"fibre": 0, "elastic": 0}),),
    ),
    Years(
        "josephine",
        days_per_week=4,
        washed_every_days=16,
        swum_in=YesNo.YES,
        check_ups=(
            CheckUp(28, {"fibre": 0, "clips": 0}),
            CheckUp(112, {"fibre": LIGHT, "clips": LIGHT}, "", (WASHED,)),
        ),
    ),
    Years(
        "henrike",
        days_per_week=6,
        washed_every_days=10,
        check_ups=(
            CheckUp(14, {"base": 0}, "", (RETAPED,)),
            CheckUp(28, {"base": 0, "fibre": 0}, "", (RETAPED, WASHED)),
            CheckUp(42, {"base": LIGHT}, "", (RETAPED,)),
        ),
    ),
    Years("amara", days_per_week=5, hours_per_day=8, worn_to_bed=YesNo.YES, washed_every_days=13),
)
