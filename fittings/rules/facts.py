"""What can a rule ask about a plan: every known fact, the values it may take, and the question when it is unknown.

A fact that a plan does not hold is unknown, never "no". Lengths are in mm, temperatures in °C, areas in cm², shares
from 0 to 1. The words of choices and sets are those the records use. How a plan holds facts, and how some are worked
out from others, is in `plan`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

Kind = Literal["yes/no", "number", "choice", "set"]


@dataclass(frozen=True, slots=True)
class Fact:
    """One thing a plan may say. `values` maps each allowed word of a choice or set to how it is written in a sentence;
    `worked_out_from` names the facts a worked-out one needs, which a plan gives instead of it."""

    key: str
    kind: Kind
    label: str
    question: str
    values: Mapping[str, str] = field(default_factory=dict)
    unit: str = ""
    low: float = 0.0
    high: float = 0.0
    worked_out_from: tuple[str, ...] = ()


def _yes_no(key: str, label: str, question: str) -> Fact:
    return Fact(key, "yes/no", label, question)


def _number(key: str, label: str, question: str, unit: str, low: float, high: float) -> Fact:
    return Fact(key, "number", label, question, unit=unit, low=low, high=high)


def _choice(key: str, label: str, question: str, values: Mapping[str, str]) -> Fact:
    return Fact(key, "choice", label, question, values)


def _set(key: str, label: str, question: str, values: Mapping[str, str]) -> Fact:
    return Fact(key, "set", label, question, values)


FIBRES = {"human": "human hair", "heat_friendly": "heat-friendly synthetic", "standard": "standard synthetic"}
TEXTURES = {"straight": "straight", "wavy": "wavy", "curly": "curly", "coily": "coily"}  # from straight to coily
ADHESIVE_SUBSTANCES = {"acrylate adhesive": "acrylate adhesive", "latex": "latex", "rosin": "rosin"}

CLIENT = (
    _number("age_years", "the client's age", "How old is the client?", "years", 0, 120),
    _number(
        "age_of_consent",
        "the age from which a client signs for herself",
        "From which age may a client here sign for herself?",
        "years",
        0,
        30,
    ),
    _yes_no("guardian_signed", "a guardian's signature", "Has a parent or guardian signed, and is one present?"),
    _yes_no(
        "record_consent", "consent to keep the record", "Has the client agreed to a record of her hair and health?"
    ),
    _yes_no(
        "records_health_or_photo",
        "whether health facts or photos are kept",
        "Will anything about her health, or a photo, be kept?",
    ),
    _set(
        "referral_signs",
        "signs a doctor should look at",
        "Which of the signs a doctor should look at first were seen or told?",
        {
            "sudden": "hair loss that came suddenly",
            "patchy": "patches with clear edges",
            "extensive": "much hair lost, or a loss that goes on",
            "pain": "pain or burning",
            "itch": "heavy itching",
            "scaling": "scaling or crusts",
            "pustules": "pustules, lumps, bleeding or a sore that does not heal",
            "shiny": "smooth, shiny skin without openings",
            "brows": "thinning brows or lashes",
            "child": "hair loss in a child",
            "expecting": "hair loss while pregnant or breastfeeding",
            "unwell": "feeling generally unwell",
            "cycle": "changed periods or new hair on the face",
            "pulled": "hair that a hand pulls out, often unnoticed",
        },
    ),
    _choice(
        "chemotherapy",
        "chemotherapy",
        "Is chemotherapy planned, under way or finished, or none of these?",
        {"none": "none", "expected": "planned", "under way": "under way", "finished": "finished"},
    ),
    _number(
        "months_since_chemotherapy",
        "months since the last chemotherapy",
        "How many months ago was the last dose of chemotherapy?",
        "months",
        0,
        1200,
    ),
    _choice(
        "scalp_condition",
        "the condition of the scalp",
        "Is the scalp sound, or broken, sore, infected, irradiated or under treatment?",
        {
            "sound": "sound",
            "broken": "broken",
            "inflamed": "red or sore",
            "infected": "infected-looking",
            "irradiated": "treated with radiotherapy",
            "under treatment": "under a doctor's treatment",
        },
    ),
    _yes_no(
        "traction_signs",
        "signs of pulling",
        "Is there broken hair, soreness or thinning where something has pulled?",
    ),
    _set(
        "reactions",
        "the client's known reactions",
        "Has the client ever reacted to hair dye, a black temporary tattoo, adhesive, latex, rosin or nickel?",
        {
            "hair dye": "hair dye",
            "black henna tattoo": "a black temporary tattoo",
            **ADHESIVE_SUBSTANCES,
            "nickel": "nickel",
        },
    ),
    _yes_no(
        "allergy_test_read",
        "the allergy alert test",
        "Has an allergy alert test of this colour been read, clear, inside its time window?",
    ),
    _yes_no(
        "adhesive_test_read",
        "the adhesive skin test",
        "Has a skin test of this tape or adhesive been read, clear, inside its time window?",
    ),
    _number("days_per_week", "days a week of wear", "On how many days a week will she wear it?", "days", 0, 7),
    _number("pieces_owned", "pieces she will own", "How many pieces will she own after this visit?", "", 0, 100),
)

OWN_HAIR = (
    _number("own_hair_length_mm", "the length of own hair", "How long is her own hair?", "mm", 0, 1500),
    _choice("own_curl_pattern", "the curl of own hair", "Is her own hair straight, wavy, curly or coily?", TEXTURES),
    _yes_no("own_hair_at_hairline", "own hair at the hairline", "Is there own hair at the front hairline?"),
    _yes_no("hair_behind_ears", "own hair behind the ears", "Is there own hair behind the ears?"),
    _number(
        "parting_to_front_clip_mm",
        "the distance from the parting to the front clip",
        "How far is the parting from the front clip?",
        "mm",
        0,
        300,
    ),
)

PIECE = (
    _choice("fibre", "the fibre of the piece", "What fibre is the piece made of?", {**FIBRES, "blend": "a blend"}),
    _choice(
        "synthetic_part",
        "the synthetic part of the blend",
        "What is the synthetic part of the blend?",
        {word: said for word, said in FIBRES.items() if word != "human"},
    ),
    Fact(
        "weakest_fibre",
        "choice",
        "the fibre that takes least heat",
        "What fibre is the piece made of?",
        FIBRES,
        worked_out_from=("fibre", "synthetic_part"),
    ),
    _number(
        "rated_c",
        "the maker's rated temperature",
        "Up to which temperature has its maker rated the fibre?",
        "°C",
        60,
        230,
    ),
    _number(
        "curl_set_c", "the temperature its curl was set at", "At which temperature was its curl set?", "°C", 60, 230
    ),
    _yes_no("colourable", "the maker's word on colouring", "Does the maker say that the piece can be coloured?"),
    _choice("piece_texture", "the texture of the piece", "Is the piece straight, wavy, curly or coily?", TEXTURES),
    Fact(
        "texture_steps",
        "number",
        "steps between the textures of piece and own hair",
        "How far apart are the textures of the piece and her own hair?",
        low=0,
        high=3,
        worked_out_from=("piece_texture", "own_curl_pattern"),
    ),
    _number("piece_length_mm", "the length of the piece", "How long is the hair of the piece?", "mm", 10, 1500),
    _yes_no("piece_curl_is_set", "a set curl", "Has the piece a curl or wave that was set by its maker?"),
    _yes_no("has_metal_clips", "metal in the piece", "Has the piece metal clips or other metal parts?"),
    _yes_no("clips_nickel_free", "clips free of nickel", "Does the maker say that the clips are free of nickel?"),
    _choice(
        "base_outline",
        "the outline of the base",
        "What outline has the base?",
        {
            "oval": "oval",
            "rounded_rectangle": "rounded rectangle",
            "tapered_front": "narrower at the front",
            "tapered_back": "narrower at the back",
            "front_strip": "front strip",
            "full_cap": "full cap",
        },
    ),
    _choice(
        "front_edge",
        "the front edge of the base",
        "Is the front edge of the base plain, a polyurethane strip or lace?",
        {"plain": "plain", "polyurethane": "a polyurethane strip", "lace": "lace"},
    ),
    _yes_no("has_front_clip", "a clip at the front", "Has the base a clip at its front?"),
    _yes_no("has_front_tape", "a tape area at the front", "Has the base a tape area at its front?"),
    _number("tape_area_count", "tape areas of the base", "How many tape areas has the base?", "", 0, 50),
    _yes_no("two_way", "a base that turns round", "Can the base be worn either way round?"),
    _yes_no("unit_strand_test", "a strand test of this unit", "Is a strand test of this very unit recorded?"),
    _yes_no("unit_lightened_before", "earlier lightening of this unit", "Has this unit been lightened before?"),
    _yes_no("unit_coloured", "earlier colouring of this unit", "Has this unit been coloured before?"),
)

PLACEMENT = (
    _number("cover", "cover", "How much of the thinning does the base cover?", "share", 0, 1),
    _number("uncovered_cm2", "the uncovered area", "How many cm² of thinning stay uncovered?", "cm²", 0, 1500),
    _choice(
        "uncovered_side",
        "the side that stays uncovered",
        "On which side does thinning stay uncovered?",
        {"front": "at the front", "back": "at the back", "left": "on the left", "right": "on the right"},
    ),
    _number("margin_mm", "the margin of the base", "How far does the base reach past the thinning?", "mm", -500, 500),
    _yes_no("smaller_base_covers", "whether a smaller base would do", "Would a smaller base cover with the margin?"),
    _number("clips_total", "clips of the base", "How many clips has the base?", "", 0, 50),
    _number("clips_holding", "clips that hold", "How many of its clips land on hair that holds?", "", 0, 50),
    _yes_no("front_clip_holds", "hold of the front clip", "Does the front clip land on hair that holds?"),
    _yes_no("loss_reaches_hairline", "hair loss at the hairline", "Does the hair loss reach the front hairline?"),
    _choice(
        "offered_as",
        "what the piece is offered to do at the hairline",
        "Is the piece offered to cover the hairline, or to blend with what is there?",
        {"covers": "to cover", "blends": "to blend"},
    ),
    _choice(
        "way_round",
        "the way round",
        "Which way round is the base placed?",
        {"as made": "the way its maker shows it", "turned": "turned back to front"},
    ),
    _number("own_hair_showing_cm2", "own hair that shows", "How many cm² of own hair stay in view?", "cm²", 0, 1500),
    _number(
        "clips_on_traction",
        "clips on sore or thinned hair",
        "How many clips would sit where hair was pulled?",
        "",
        0,
        50,
    ),
    _number("colour_difference", "the colour difference", "How far is the shade from her own hair?", "ΔE00", 0, 200),
    _choice(
        "colour_band",
        "the colour band",
        "In which band does the colour difference fall?",
        {
            "disappears": "disappears",
            "close": "close",
            "shows at the edge": "shows at the edge",
            "another colour": "another colour",
        },
    ),
    _yes_no("colour_passes", "whether the colour will do", "Is the colour difference inside the bands that pass?"),
    _yes_no("colour_full_cover", "full cover", "Does the piece hide nearly all of her own hair?"),
)

HEAT = {"iron": "an iron", "tong": "a tong", "hot air": "hot air", "hot rollers": "hot rollers", "flame": "a flame"}
FIXINGS = {
    "clips": "clips",
    "tape": "tape",
    "liquid adhesive": "liquid adhesive",
    "cyanoacrylate": "household instant glue",
}

SERVICE = (
    _choice("planned_heat", "planned heat", "Which heat is planned, or none?", {"none": "none", **HEAT}),
    _number("tool_c", "the temperature of the tool", "At which temperature will the tool be used?", "°C", 20, 300),
    _yes_no("hair_is_wet", "whether the hair is wet", "Will the hair be wet or damp?"),
    _yes_no("near_base", "heat near the base", "Will the heat come close to knots, lace, polyurethane or tape?"),
    _yes_no("planned_steam", "planned steam", "Is steam planned?"),
    _yes_no(
        "flammable_remover_wet", "remover still wet", "Is a flammable remover or cleaner still wet on hair or base?"
    ),
    _choice(
        "planned_colour",
        "planned colour",
        "Which colour service is planned, or none?",
        {"none": "none", "deposit": "deposit-only colour", "oxidative": "oxidative colour", "lightener": "lightener"},
    ),
    _choice(
        "colour_on",
        "what is coloured",
        "Is it the piece off the head, the piece while worn, or her own hair that is coloured?",
        {"piece detached": "the piece off the head", "piece worn": "the piece while worn", "own hair": "her own hair"},
    ),
    _yes_no("colour_touches_base", "colour on the base", "Will colour touch knots, lace or polyurethane?"),
    _yes_no("colour_touches_skin", "colour on the skin", "Will colour touch the client's skin?"),
    _set("planned_fixing", "planned fixing", "How will the piece be fixed to the head, or not at all?", FIXINGS),
    _set(
        "adhesive_contains",
        "what the adhesive contains",
        "Which of acrylate, latex and rosin does the tape or adhesive contain, by its label?",
        ADHESIVE_SUBSTANCES,
    ),
    _yes_no("worn_to_bed", "wear at night", "Will she sleep in it?"),
)

FACTS: Mapping[str, Fact] = {fact.key: fact for fact in (*CLIENT, *OWN_HAIR, *PIECE, *PLACEMENT, *SERVICE)}
