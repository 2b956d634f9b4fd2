"""What has happened in the demo salon so far: its finished visits, oldest first, each a little story.

Reasons and notes of services are printed on the client's paper and so written for her eyes.

The times are in the salon's own zone. `shop` names the rooms and kinds, `examinations` holds what was found.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import time

from clients.models.photo import NAMED_ANGLES, Angle
from fittings.models import Service
from salon.demo import examinations
from salon.demo.examinations import Examination
from salon.demo.photos import FROM_ALL_SIDES, NOT_PHOTOGRAPHED, Photographed
from salon.demo.shop import CONSULT, PRIVATE_ROOM
from salon.demo.visits import NEARLY, NOT, WELL, Choice, Look, Planned

Kind = Service.Kind
COOL_TOOL = {"hair_is_wet": "no", "near_base": "no", "flammable_remover_wet": "no", "unit_coloured": "no"}


@dataclass(frozen=True)
class SkinTestOf:
    """A test applied some days before the visit and read two days later."""

    kind: str
    product: str
    lot: str
    days_before: int
    reacted: bool


@dataclass(frozen=True)
class PastVisit:
    client: str
    stylist: str
    days_ago: int
    begins: time
    found: Examination
    choice: Choice
    next_visit_in_days: int | None = None
    skin_test: SkinTestOf | None = None
    photos: Photographed = NOT_PHOTOGRAPHED
    kind: str = CONSULT
    place: str = PRIVATE_ROOM
    note: str = ""
    pays_in_parts: bool = False
    """She has paid the first part for the piece that is set aside for her."""


PAST = (
    PastVisit(
        "rosalind",
        "stylist",
        days_ago=431,
        begins=time(10, 0),
        found=examinations.ROSALIND_FIRST,
        photos=FROM_ALL_SIDES,
        choice=Choice(
            looks=(Look(WELL, WELL, WELL, "Is that me? Give me the glass again."), Look(WELL, NEARLY, WELL)),
            narrowed_to=(),
            pieces=("Thimble Lane", "Lantern Court"),
            chosen=0,
            why="Light, washable, and easy to put on alone.",
            services=(Planned(Kind.CUT_IN, note="fringe left long; temples thinned out", price_minor=8500),),
        ),
        next_visit_in_days=28,
    ),
    PastVisit(
        "yvette",
        "stylist2",
        days_ago=392,
        begins=time(14, 0),
        found=examinations.YVETTE,
        photos=FROM_ALL_SIDES,
        choice=Choice(
            looks=(Look(WELL, NEARLY, NEARLY, "It will do for the winter."),),
            pieces=("Matinee",),
            chosen=0,
            why="To bridge the months until human hair can be afforded.",
            services=(Planned(Kind.FIXING, facts={"planned_fixing": ["clips"], "adhesive_contains": []}),),
        ),
        next_visit_in_days=35,
    ),
    PastVisit(
        "maud",
        "stylist2",
        days_ago=242,
        begins=time(11, 0),
        found=examinations.MAUD,
        choice=Choice(
            looks=(
                Look(WELL, WELL, NEARLY, "Curls! At my age."),
                Look(WELL, NEARLY, NEARLY, "This is how I wore it before the children."),
            ),
            narrowed_to=(),
            pieces=("Bellfounder", "Farrier's Way"),
            chosen=0,
            why="A cap that reaches all round, and soft curls that look grown.",
            services=(Planned(Kind.CUT_IN, note="shortened over the ears", price_minor=8500),),
        ),
        next_visit_in_days=42,
    ),
    PastVisit(
        "josephine",
        "stylist",
        days_ago=151,
        begins=time(9, 30),
        found=examinations.JOSEPHINE,
        skin_test=SkinTestOf("adhesive", "Thin tape for lace, blue liner", "TL-0417", days_before=4, reacted=True),
        choice=Choice(
            looks=(Look(WELL, WELL, WELL, "I can feel nothing."), Look(WELL, NEARLY, NOT, "Too curly to be mine.")),
            narrowed_to=(),
            pieces=("Thimble Lane", "Glasshouse Mews"),
            chosen=0,
            why="Only the parting is covered, held by clips alone: no tape after the skin test.",
            services=(Planned(Kind.FIXING, facts={"planned_fixing": ["clips"], "adhesive_contains": []}),),
        ),
        next_visit_in_days=28,
    ),
    PastVisit(
        "dorothea",
        "stylist2",
        days_ago=128,
        begins=time(16, 0),
        found=examinations.DOROTHEA,
        photos=Photographed((Angle.FRONT, Angle.TOP)),
        choice=Choice(
            looks=(Look(WELL, WELL, WELL, "Good to know that it exists."),),
            none_because="Not yet; perhaps another year.",
        ),
    ),
    PastVisit(
        "henrike",
        "stylist",
        days_ago=68,
        begins=time(13, 30),
        found=examinations.HENRIKE,
        skin_test=SkinTestOf("adhesive", "Skin tape, clear, for polyurethane", "CT-2291", days_before=9, reacted=False),
        choice=Choice(
            looks=(
                Look(WELL, WELL, WELL, "The parting is skin. That is all I wanted."),
                Look(WELL, WELL, NEARLY, "Heavier, but I could curl it."),
            ),
            narrowed_to=(),
            pieces=("Letter Home", "Sunday Paper"),
            chosen=0,
            why="No metal anywhere: it is taped, and the skin test of the tape was clear.",
            services=(
                Planned(
                    Kind.FIXING,
                    facts={"planned_fixing": ["tape"], "adhesive_contains": ["acrylate adhesive"]},
                    note="the tape that was tested, no other",
                    price_minor=1200,
                ),
                Planned(Kind.CUT_IN, price_minor=8500),
            ),
        ),
        next_visit_in_days=28,
    ),
    PastVisit(
        "amara",
        "stylist",
        days_ago=54,
        begins=time(10, 0),
        found=examinations.AMARA,
        skin_test=SkinTestOf("adhesive", "Lace tape, strong hold", "LT-1180", days_before=6, reacted=False),
        choice=Choice(
            looks=(
                Look(WELL, WELL, WELL, "My sister will ask what I did."),
                Look(WELL, NEARLY, NEARLY, "Straight is not me any more."),
            ),
            narrowed_to=(),
            pieces=("Ferry Steps", "Alderford Walk"),
            chosen=0,
            why="The same curl as own hair, and a lace front where the hairline has thinned.",
            services=(
                Planned(Kind.CUT_IN, note="lace cut to the hairline, a finger's breadth left", price_minor=11000),
                Planned(
                    Kind.FIXING,
                    facts={"planned_fixing": ["tape"], "adhesive_contains": ["acrylate adhesive"]},
                    price_minor=1200,
                ),
            ),
        ),
        next_visit_in_days=28,
    ),
    PastVisit(
        "ines",
        "stylist2",
        days_ago=40,
        begins=time(17, 0),
        found=examinations.INES,
        choice=Choice(none_because="A skin doctor looks first; a soft scarf until then."),
        next_visit_in_days=50,
    ),
    PastVisit(
        "rosalind",
        "stylist",
        days_ago=21,
        begins=time(10, 0),
        found=examinations.ROSALIND_NOW,
        photos=Photographed(NAMED_ANGLES, frames=12, piece_on=NAMED_ANGLES, outside=Angle.FRONT),
        note="The first piece no longer reaches far enough back.",
        choice=Choice(
            looks=(
                Look(WELL, WELL, WELL, "Like the day I got the first."),
                Look(WELL, WELL, NEARLY, "For the garden."),
            ),
            narrowed_to=(),
            pieces=("Lantern Court", "Button Close"),
            chosen=0,
            second=1,
            why="It reaches past the crown with room to spare, and the grey is the same.",
            services=(
                Planned(Kind.CUT_IN, note="shortened to match the first piece", price_minor=8500),
                Planned(Kind.WASH, note="washing human hair is shown", price_minor=0),
            ),
        ),
        next_visit_in_days=30,
    ),
    PastVisit(
        "yvette",
        "stylist2",
        days_ago=16,
        begins=time(14, 0),
        found=Examination(
            told=examinations.SOUND | {"story": "Ready for human hair now. A touch warmer than the last."},
            tapes=examinations.YVETTE.tapes,
            painting=examinations.YVETTE.painting,
        ),
        photos=FROM_ALL_SIDES,
        choice=Choice(
            looks=(Look(WELL, WELL, NEARLY, "Lovely, if it were warmer."), Look(WELL, NEARLY, NEARLY)),
            narrowed_to=(),
            pieces=("Curlew Bank", "Orchard Wall"),
            chosen=0,
            why="Human hair as long as own hair, to be warmed a little by a deposit colour off the head.",
            services=(
                Planned(
                    Kind.COLOUR,
                    facts={
                        "planned_colour": "deposit",
                        "colour_on": "piece detached",
                        "colour_touches_base": "no",
                        "colour_touches_skin": "no",
                        "unit_strand_test": "no",
                        "unit_coloured": "no",
                        "unit_lightened_before": "no",
                    },
                    note="warm glaze on mid-lengths and ends, two fingers below the base",
                    price_minor=4500,
                    reasons={
                        "colour-not-stated": "The maker said on the telephone that this hair takes a deposit colour; "
                        "Noor wrote the day and the name on the unit's card.",
                        "colour-strand": "Noor colours one hidden strand before the bowl is mixed, shows it to Yvette "
                        "by daylight, and stops there if it is uneven.",
                    },
                ),
                Planned(Kind.CUT_IN, price_minor=8500),
            ),
        ),
        next_visit_in_days=26,
        pays_in_parts=True,
    ),
    PastVisit(
        "tilde",
        "stylist2",
        days_ago=9,
        begins=time(16, 0),
        found=examinations.TILDE,
        choice=Choice(none_because="Rest from tight plaits and a doctor's look first; Agnes agrees."),
        next_visit_in_days=60,
    ),
    PastVisit(
        "marguerite",
        "stylist",
        days_ago=4,
        begins=time(11, 0),
        found=examinations.MARGUERITE,
        photos=FROM_ALL_SIDES,
        note="Would like the door shut.",
        choice=Choice(
            looks=(
                Look(WELL, WELL, WELL, "I would forget it, I think. May I keep it on while you fetch the others?"),
                Look(WELL, NEARLY, WELL, "A little heavy at the back."),
                Look(WELL, WELL, NEARLY, "For travelling."),
            ),
            narrowed_to=(),
            pieces=("Moorhen Row", "Curlew Bank", "Osier Bend"),
            chosen=0,
            second=2,
            why="It covers parting and crown with room to spare, lies flat where own hair begins, and the colour "
            "can't be told apart. Its clips are free of nickel.",
            services=(
                Planned(Kind.CUT_IN, note="long layers; the parting stays on the left", price_minor=8500),
                Planned(
                    Kind.HEAT,
                    facts={"planned_heat": "tong", "tool_c": 150.0} | COOL_TOOL,
                    note="a wave like own hair, for the wedding; shown step by step",
                    price_minor=2500,
                ),
                Planned(Kind.FIXING, facts={"planned_fixing": ["clips"], "adhesive_contains": []}),
                Planned(Kind.WASH, note="washing and drying on the stand are shown", price_minor=0),
            ),
        ),
        next_visit_in_days=24,
    ),
)
