"""What the demo's stylists heard, measured, painted and saw, by client; invented, with values that real heads have.

Lengths in mm, colours in L*a*b*, money in pence. The field names are those of `clients.models.Assessment`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from clients.models.health import Substance
from salon.demo.painting import Painting

Lab = tuple[float, float, float]

SOUND = {"referral_signs_asked": True, "chemotherapy": "none", "scalp_condition": "sound", "traction_signs": "no"}


@dataclass(frozen=True)
class Examination:
    """`tapes`: circumference, front to nape, ear to ear (None: not taken). `by_instrument` holds readings by zone,
    `by_chart` what an instrument would read of the hair that is photographed with the chart, by zone and strand,
    `by_eye` the codes of the shades they were read as."""

    told: Mapping[str, object]
    tapes: tuple[float | None, float | None, float | None]
    painting: Painting
    seen: Mapping[str, object] = field(default_factory=dict)
    wished: Mapping[str, object] = field(default_factory=dict)
    by_instrument: Mapping[str, Lab] = field(default_factory=dict)
    by_chart: Mapping[str, Lab] = field(default_factory=dict)
    by_eye: Mapping[str, str] = field(default_factory=dict)
    reacts_to: tuple[Substance, ...] = ()


MARGUERITE = Examination(
    told=SOUND
    | {
        "story": "Noticed it in a lift mirror. The parting has widened for years; the front is still her own. She "
        "wants to wear her hair up at her daughter's wedding in spring.",
        "losing_since": "about six years",
    },
    tapes=(556, 352, 340),
    painting=Painting("top-2", size=0.52, strength=1.0, to_the_left=0.10, phase=0.4),
    seen={
        "own_hair_length_mm": 310,
        "curl_pattern": "wavy",
        "thickness": "fine",
        "hair_condition": "natural",
        "grey_percent": 15,
        "hair_behind_ears": "yes",
    },
    by_chart={"root": (31.2, 6.1, 12.4), "mid": (33.4, 6.5, 13.5), "ends": (36.0, 6.4, 14.6)},
    wished={
        "wants_heat": "yes",
        "wants_colour": "no",
        "washes_per_month": 4,
        "parting": "left",
        "parting_offset_mm": 35,
        "wants_fringe": "no",
        "wished_length_mm": 350,
        "days_per_week": 6,
        "worn_to_bed": "no",
        "budget_minor": 120000,
        "wishes": "Something she forgets she is wearing. Her own colour, not a younger one.",
    },
    reacts_to=(Substance.NICKEL,),
)

ROSALIND_FIRST = Examination(
    told=SOUND | {"story": "Thinner every year on top, like her mother's was.", "losing_since": "her late forties"},
    tapes=(548, 349, 338),
    painting=Painting("top-2", size=0.5, strength=0.95, phase=1.1),
    seen={
        "own_hair_length_mm": 220,
        "curl_pattern": "straight",
        "thickness": "fine",
        "hair_condition": "natural",
        "grey_percent": 80,
        "hair_behind_ears": "yes",
    },
    by_instrument={"root": (44.1, 1.2, 3.6), "mid": (45.0, 1.3, 3.9), "ends": (46.8, 1.4, 4.7)},
    wished={
        "wants_heat": "no",
        "wants_colour": "no",
        "washes_per_month": 3,
        "parting": "right",
        "parting_offset_mm": 30,
        "wished_length_mm": 250,
        "days_per_week": 5,
        "worn_to_bed": "no",
        "budget_minor": 90000,
        "wishes": "Easy to wash, easy to put on with stiff fingers.",
    },
)

ROSALIND_NOW = Examination(
    told=SOUND | {"story": "The first piece has worn well; the loss has moved on towards the crown and past its edge."},
    tapes=(548, 349, 338),
    painting=Painting("top-3", size=0.55, strength=0.92, phase=1.1),
    seen={"grey_percent": 95},
    by_instrument={"root": (46.3, 1.0, 3.1), "mid": (46.6, 1.1, 3.4), "ends": (47.5, 1.2, 4.1)},
    wished={"wishes": "The same look as the first, only reaching further back."},
)

HENRIKE = Examination(
    told=SOUND
    | {
        "story": "Thinnest behind the forehead, narrower towards the crown. A belt buckle gave her a rash once, and a "
        "watch.",
        "losing_since": "three years",
    },
    tapes=(571, 361, 350),
    painting=Painting("front", size=0.62, strength=0.95, phase=2.3),
    seen={
        "own_hair_length_mm": 380,
        "curl_pattern": "straight",
        "thickness": "medium",
        "hair_condition": "coloured",
        "grey_percent": 30,
        "hair_behind_ears": "yes",
    },
    by_eye={"root": "linseed", "mid": "hayrick", "ends": "hayrick"},
    wished={
        "wants_heat": "yes",
        "wants_colour": "no",
        "washes_per_month": 6,
        "parting": "centre",
        "wants_fringe": "no",
        "wished_length_mm": 400,
        "days_per_week": 4,
        "worn_to_bed": "no",
        "budget_minor": 110000,
        "wishes": "A centre parting that is skin, not a line.",
    },
    reacts_to=(Substance.NICKEL,),
)

INES = Examination(
    told={
        "story": "Two round patches came within three weeks; a third has begun. Her brows are thinner at the ends.",
        "losing_since": "seven weeks",
        "referral_signs": ["sudden", "patchy", "brows"],
        "referral_signs_asked": True,
        "chemotherapy": "none",
        "scalp_condition": "sound",
        "traction_signs": "no",
    },
    tapes=(558, 355, None),
    painting=Painting("patches", to_the_left=0.15, uneven=0.05),
    seen={
        "own_hair_length_mm": 420,
        "curl_pattern": "wavy",
        "thickness": "medium",
        "hair_condition": "natural",
        "grey_percent": 0,
        "hair_behind_ears": "yes",
    },
    by_instrument={"root": (18.6, 2.8, 4.4), "mid": (19.8, 2.9, 4.8), "ends": (21.5, 3.2, 5.9)},
    wished={
        "wants_heat": "no",
        "washes_per_month": 8,
        "wished_length_mm": 400,
        "days_per_week": 5,
        "budget_minor": 70000,
        "wishes": "To know what it is before she spends anything.",
    },
)

JOSEPHINE = Examination(
    told=SOUND
    | {
        "story": "Since her son was born the parting shows. Plasters leave a red square on her arm.",
        "losing_since": "a year and a half",
    },
    tapes=(546, 344, 334),
    painting=Painting("part", size=0.45, strength=1.0, phase=0.9),
    seen={
        "own_hair_length_mm": 450,
        "curl_pattern": "straight",
        "thickness": "fine",
        "hair_condition": "coloured",
        "grey_percent": 0,
        "hair_behind_ears": "yes",
    },
    by_eye={"root": "oat-over-moss", "mid": "oat-over-moss", "ends": "oat-over-moss"},
    wished={
        "wants_heat": "yes",
        "wants_colour": "no",
        "washes_per_month": 8,
        "parting": "centre",
        "wished_length_mm": 450,
        "days_per_week": 3,
        "worn_to_bed": "no",
        "budget_minor": 80000,
        "wishes": "Small, light, only the parting.",
    },
    reacts_to=(Substance.ACRYLATE,),
)

TILDE = Examination(
    told={
        "story": "Tight plaits for gymnastics, four days a week for years. The temples have thinned and are sore after "
        "training. Agnes asks whether it will come back; that is for a doctor to say.",
        "losing_since": "last summer",
        "referral_signs": ["pain", "child"],
        "referral_signs_asked": True,
        "chemotherapy": "none",
        "scalp_condition": "sound",
        "traction_signs": "yes",
        "traction_zones": ["left-temple", "right-temple"],
    },
    tapes=(541, 341, 331),
    painting=Painting("temples", strength=0.7, uneven=0.2, phase=1.7),
    seen={
        "own_hair_length_mm": 400,
        "curl_pattern": "curly",
        "thickness": "medium",
        "hair_condition": "natural",
        "grey_percent": 0,
        "hair_behind_ears": "yes",
    },
    by_instrument={"root": (27.6, 6.0, 11.7), "mid": (28.4, 6.3, 12.2), "ends": (29.9, 6.3, 12.8)},
    wished={
        "wants_heat": "no",
        "wants_colour": "no",
        "wished_length_mm": 350,
        "days_per_week": 2,
        "worn_to_bed": "no",
        "budget_minor": 45000,
        "wishes": "For school photographs and her birthday, not for training.",
    },
)

MAUD = Examination(
    told=SOUND | {"story": "Evenly thinner everywhere, for long. She has always worn hats.", "losing_since": "1990"},
    tapes=(541, 342, 330),
    painting=Painting("all-over", strength=1.15, uneven=0.15, phase=0.2),
    seen={
        "own_hair_length_mm": 120,
        "curl_pattern": "wavy",
        "thickness": "fine",
        "hair_condition": "natural",
        "grey_percent": 100,
        "hair_behind_ears": "no",
    },
    by_instrument={"root": (70.2, 1.6, 10.1), "mid": (70.8, 1.7, 10.6), "ends": (71.6, 1.9, 11.2)},
    wished={
        "wants_heat": "no",
        "wants_colour": "no",
        "washes_per_month": 2,
        "wished_length_mm": 250,
        "days_per_week": 7,
        "worn_to_bed": "no",
        "budget_minor": 130000,
        "wishes": "To open the door to the postman without thinking.",
    },
)

AMARA = Examination(
    told=SOUND
    | {
        "story": "Front and crown have thinned since her thirties, with more left between them. She has stopped "
        "relaxing it.",
        "losing_since": "six years",
    },
    tapes=(563, 358, 346),
    painting=Painting("front-crown", size=0.9, strength=0.8, to_the_left=-0.12, phase=2.9),
    seen={
        "own_hair_length_mm": 260,
        "curl_pattern": "coily",
        "thickness": "coarse",
        "hair_condition": "natural",
        "grey_percent": 5,
        "hair_behind_ears": "yes",
    },
    by_instrument={"root": (13.0, 1.4, 2.0), "mid": (13.8, 1.4, 2.4), "ends": (15.0, 1.7, 3.0)},
    wished={
        "wants_heat": "no",
        "wants_colour": "no",
        "washes_per_month": 3,
        "wants_fringe": "yes",
        "wished_length_mm": 300,
        "days_per_week": 7,
        "worn_to_bed": "no",
        "budget_minor": 350000,
        "wishes": "Her own curl, so that nobody asks.",
    },
)

LEONIE = Examination(
    told={
        "story": "Treatment ended more than a year ago. It has grown back soft and short, thinner on top than before.",
        "losing_since": "the year before last, with the treatment",
        "referral_signs_asked": True,
        "chemotherapy": "finished",
        "scalp_condition": "sound",
        "traction_signs": "no",
    },
    tapes=(559, 355, 342),
    painting=Painting("top-2", size=0.5, strength=0.9, uneven=0.2, phase=0.6),
    seen={
        "own_hair_length_mm": 160,
        "curl_pattern": "wavy",
        "thickness": "fine",
        "hair_condition": "natural",
        "grey_percent": 40,
        "hair_behind_ears": "yes",
    },
    by_chart={
        "root": (35.3, 5.6, 10.0),  # two parts in five grey, as the two strands mix
        "mid": (34.4, 6.1, 10.7),
        "ends": (33.4, 6.7, 11.5),
        "pigment": (26.5, 11.5, 20.0),
        "grey": (44.6, 1.3, 5.2),
    },
    wished={
        "wants_heat": "no",
        "wants_colour": "no",
        "washes_per_month": 4,
        "wants_fringe": "yes",
        "wished_length_mm": 250,
        "days_per_week": 5,
        "worn_to_bed": "no",
        "budget_minor": 100000,
        "wishes": "To look like the photograph on her desk.",
    },
)

YVETTE = Examination(
    told=SOUND | {"story": "Her second piece. The first has tired at the front.", "losing_since": "fifteen years"},
    tapes=(552, 350, 341),
    painting=Painting("top-2", size=0.55, strength=0.95, to_the_left=-0.08, phase=1.9),
    seen={
        "own_hair_length_mm": 280,
        "curl_pattern": "straight",
        "thickness": "medium",
        "hair_condition": "coloured",
        "grey_percent": 60,
        "hair_behind_ears": "yes",
    },
    by_instrument={"root": (22.4, 4.0, 6.2), "mid": (22.8, 4.1, 6.7), "ends": (24.0, 4.3, 7.4)},
    wished={
        "wants_heat": "yes",
        "wants_colour": "yes",
        "washes_per_month": 4,
        "parting": "left",
        "parting_offset_mm": 30,
        "wished_length_mm": 300,
        "days_per_week": 6,
        "worn_to_bed": "no",
        "budget_minor": 150000,
        "wishes": "Human hair again, a touch warmer than the last.",
    },
)

DOROTHEA = Examination(
    told=SOUND | {"story": "Only a little thinner on top; nobody else sees it.", "losing_since": "two years"},
    tapes=(550, 348, 337),
    painting=Painting("top-1", size=0.6, strength=1.0, phase=2.1),
    seen={
        "own_hair_length_mm": 330,
        "curl_pattern": "curly",
        "thickness": "medium",
        "hair_condition": "natural",
        "grey_percent": 0,
        "hair_behind_ears": "yes",
    },
    by_instrument={"root": (33.4, 13.2, 19.2), "mid": (33.9, 13.4, 19.8), "ends": (35.0, 13.4, 20.4)},
    wished={
        "wants_heat": "no",
        "wants_colour": "no",
        "wished_length_mm": 350,
        "days_per_week": 2,
        "budget_minor": 60000,
        "wishes": "To see what there would be, one day.",
    },
)

CORALIE = Examination(
    told=SOUND
    | {
        "story": "Lost more this winter than in ten years before. Her hairdresser sent her. She has brought a scarf "
        "she would like to stop needing.",
        "losing_since": "last winter, slowly before",
    },
    tapes=(562, 357, 345),
    painting=Painting("top-1", size=0.75, strength=1.25, to_the_left=0.18, phase=1.4),
    by_chart={"root": (36.5, 6.8, 15.2), "mid": (38.4, 7.0, 16.6), "ends": (41.2, 7.0, 18.0)},  # still to be marked
)
