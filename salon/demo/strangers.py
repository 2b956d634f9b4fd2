"""Draws by lot who came to the demo salon in its first years, when, with what hair, and how a sold piece went on.

Pure and alike for one seed. One effect is planted in it, so that it is known what the owner's review should find: a
piece that reaches less than `SHORT_MARGIN_MM` past the thinning comes back `TIMES_AS_OFTEN` times as often as another.
Nothing else that is measured has to do with it. `trade` lets it happen by the deeds of the pages.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from random import Random
from typing import Final

from salon.demo.painting import Painting

VISITS_A_YEAR: Final = 140
LOOKED_AT: Final = 10  # pieces of the catalogue at hand in one visit
SHORT_MARGIN_MM: Final = 10.0
TIMES_AS_OFTEN: Final = 3.0
COMES_BACK: Final = 0.12  # of those with room to spare
TAKES_ONE: Final = 0.8
WORN_FOR_DAYS: Final = {
    "standard": (110, 260),
    "heat_friendly": (150, 380),
    "blend": (220, 480),
    "human": (320, 800),
}
"""After how long a piece of each fibre is worn out: the first of them, and the last."""

# fmt: off
GIVEN = (
    "Adela", "Beata", "Cosima", "Dagny", "Elspeth", "Fenella", "Greta", "Hesper", "Isolde", "Jorun", "Katrin",
    "Lavinia", "Maren", "Nerys", "Ottilie", "Perpetua", "Ragna", "Sunniva", "Thora", "Ursel", "Verity", "Wenna",
    "Ysolt", "Zelda",
)
FAMILY = (
    "Ashlarby", "Birkenshaw", "Coldwick", "Dunfallow", "Eskerton", "Farrowdale", "Gantry", "Hollisway", "Ivelmoor",
    "Jessamy", "Kelderby", "Lorrimer", "Marchwood", "Netherby", "Ormsgate", "Pellerin", "Quaylan", "Rushcombe",
    "Silverbourne", "Thackwell", "Umberton", "Varley", "Withershaw", "Yarrowby",
)
# fmt: on
STORIES = (
    "Noticed it on holiday, in a photograph from above.",
    "Thinner every winter; her mother's was the same.",
    "Her hairdresser told her, kindly, two years ago.",
    "It came after a long illness and stayed.",
    "Always fine, and now the parting is wide.",
)
PAINTINGS = (("part", 1.0), ("top-1", 0.65), ("top-2", 0.5), ("top-2", 0.62), ("top-3", 0.5), ("front", 0.62))
HAIR = (
    {"root": (22.6, 4.1, 6.4), "mid": (23.1, 4.2, 6.9), "ends": (24.3, 4.4, 7.6)},
    {"root": (31.4, 6.2, 12.1), "mid": (33.1, 6.5, 13.2), "ends": (35.7, 6.6, 14.4)},
    {"root": (33.6, 13.1, 19.0), "mid": (34.1, 13.2, 19.6), "ends": (35.2, 13.5, 20.6)},
    {"root": (45.2, 1.2, 3.6), "mid": (45.8, 1.3, 4.0), "ends": (47.0, 1.4, 4.8)},
    {"root": (51.0, 6.0, 20.5), "mid": (53.2, 6.2, 22.0), "ends": (56.4, 6.1, 23.4)},
)
CURLS = ("straight", "straight", "wavy", "wavy", "curly")


@dataclass(frozen=True)
class Stranger:
    """One who came for a consult, `days_ago`, to one of the two stylists; lengths in mm, colours in L*a*b*."""

    number: int
    days_ago: int
    hour: int
    stylist: str
    given_name: str
    family_name: str
    phone: str
    age: int
    story: str
    tapes: tuple[int, int, int]
    painting: Painting
    hair: Mapping[str, tuple[float, float, float]]
    curl: str
    grey_percent: int
    own_hair_length_mm: int
    shown: int
    """How many pieces she tries on."""
    draw: Random
    """What is left to chance in her story."""


def strangers(seed: int, *, days: int) -> Iterator[Stranger]:
    """All who came within so many days, the longest ago first; the last month is left out, as her story goes on."""
    lot = Random(seed)  # noqa: S311  # a story, not a secret
    count = round(VISITS_A_YEAR * days / 365)
    came = sorted((lot.randint(30, days) for _ in range(count)), reverse=True)
    for number, days_ago in enumerate(came):
        pattern, size = lot.choice(PAINTINGS)
        yield Stranger(
            number=number,
            days_ago=days_ago,
            hour=lot.randint(9, 16),
            stylist=lot.choice(("stylist", "stylist2")),
            given_name=lot.choice(GIVEN),
            family_name=lot.choice(FAMILY),
            phone=f"01632 960 {number % 1000:03d}",
            age=lot.randint(24, 78),
            story=lot.choice(STORIES),
            tapes=(lot.randint(540, 575), lot.randint(344, 362), lot.randint(334, 350)),
            painting=Painting(
                pattern,
                size=size * lot.uniform(0.9, 1.3),
                strength=lot.uniform(0.9, 1.05),
                to_the_left=lot.uniform(-0.15, 0.15),
                phase=lot.uniform(0, 6),
            ),
            hair=lot.choice(HAIR),
            curl=lot.choice(CURLS),
            grey_percent=lot.choice((0, 0, 10, 30, 60, 90)),
            own_hair_length_mm=lot.choice((160, 220, 280, 320, 380)),
            shown=lot.choice((1, 2, 2, 3)),
            draw=Random(lot.random()),  # noqa: S311  # her own, so that nobody's story hangs on another's
        )


def comes_back(margin_mm: float | None, draw: Random) -> bool:
    """Whether a sold piece is brought back: the planted effect."""
    short = margin_mm is not None and margin_mm < SHORT_MARGIN_MM
    return draw.random() < COMES_BACK * (TIMES_AS_OFTEN if short else 1)


def worn_out_after(fibre: str, draw: Random) -> int:
    """Days from the day she took it home."""
    first, last = WORN_FOR_DAYS[fibre]
    return draw.randint(first, last)
