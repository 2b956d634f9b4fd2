"""How a piece is put on, taken off, washed, warmed and kept: short instructions for the client's paper.

Worked out from fibre, front edge, outline, fixing and curl. Common practice in our own words; the maker's instructions
come first, and no sentence allows more heat than the rules do (`fittings/rules/heat.toml`): none for standard synthetic
fibre, the maker's figure for a heat-friendly one and nothing without such a figure, the house numbers for human hair,
and for a blend whatever its weaker part stands. Knows no records: the caller describes the piece as a `WornPiece`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from fittings.paper.salon_words import SalonWords

AT_THE_HAIRLINE_MM = 3  # nearer than this the edge is set at the hairline itself


@dataclass(frozen=True)
class WornPiece:
    """What the instructions depend on. `fixing` holds words of the fact `planned_fixing`; empty: it sits by itself.

    set_back_mm: None where nobody has said how far behind the hairline it sits. wash_every_wears: the house rule
    for its fibre, the same on every paper that says it.

    own_rules: what the rules said that belongs to an instruction, by its key (`KEYS`).
    """

    name: str
    fibre: str
    synthetic_part: str
    rated_c: float | None
    curl_set_c: float | None
    is_coloured: bool
    front_edge: str
    is_cap: bool
    fixing: frozenset[str]
    set_back_mm: float | None
    is_turned: bool
    numbers: Mapping[str, float]
    wash_every_wears: float
    own_rules: Mapping[str, tuple[str, ...]] = field(default_factory=dict)

    @property
    def weakest_fibre(self) -> str:
        return self.synthetic_part if self.fibre == "blend" else self.fibre

    @property
    def has_human_hair(self) -> bool:
        return self.fibre in ("human", "blend")

    @property
    def is_stuck(self) -> bool:
        return bool(self.fixing & {"tape", "liquid adhesive"})


@dataclass(frozen=True)
class Instruction:
    """One heading with a few sentences."""

    heading: str
    sentences: tuple[str, ...]


def instructions(pieces: Sequence[WornPiece], words: SalonWords) -> tuple[Instruction, ...]:
    """For one piece, or for a pair: what holds for both is said once, what differs after the piece's name."""
    told = []
    for key, heading, say in _SECTIONS:
        sentences = _together([(piece.name, [*say(piece, words), *piece.own_rules.get(key, ())]) for piece in pieces])
        if sentences:
            told.append(Instruction(heading, sentences))
    return tuple(told)


def hottest_c(piece: WornPiece) -> float | None:
    """The temperature that no tool may pass on this piece, in °C; None when it takes no heat."""
    limits = []
    if piece.weakest_fibre == "standard":
        return None
    if piece.weakest_fibre == "heat_friendly":
        if piece.rated_c is None:
            return None
        limits.append(piece.rated_c)
    if piece.has_human_hair:
        limits.append(piece.numbers["hair_warm_c"])
        if piece.is_coloured:
            limits.append(piece.numbers["coloured_hair_warm_c"])
    return min(limits)


def _together(said: Sequence[tuple[str, list[str]]]) -> tuple[str, ...]:
    """Sentences of all pieces one by one, then for each piece its own in one, after its name."""
    common = [sentence for sentence in said[0][1] if all(sentence in one for _, one in said)] if said else []
    own = [(name, [sentence for sentence in one if sentence not in common]) for name, one in said]
    return (*common, *(f"{name}: {' '.join(sentences)}" for name, sentences in own if sentences))


def _putting_on(piece: WornPiece, words: SalonWords) -> list[str]:
    sentences = ["Brush your own hair smooth and away from the place of the front edge."]
    if piece.is_cap and not piece.fixing:
        sentences.append("Hold the front edge at your forehead, draw the cap down to the nape, then straighten it.")
    if piece.front_edge == "lace":
        sentences.append("Lace lies on clean, dry skin: press it down with the pad of a finger and never pull at it.")
    turned = ", turned back to front as we marked it" if piece.is_turned else ""
    sentences.append(f"The front edge sits {_front_edge(piece, words)}{turned}.")
    if "clips" in piece.fixing:
        sentences.append(
            "Open every clip. Close the front first, then the sides, then the back, each on a strand of your own hair."
        )
    if "tape" in piece.fixing:
        sentences.append("Tape holds on clean, dry skin without cream or oil. Lay it only where we showed you.")
    if "liquid adhesive" in piece.fixing:
        sentences.append("Spread adhesive thinly, only where we showed you, and wait as long as its label says.")
    if piece.is_stuck:
        sentences.append("Use only the product your skin test was made with.")
    if "clips" in piece.fixing:
        sentences.append("Nothing may pull or hurt: open that clip and set it again.")
    return sentences


def _front_edge(piece: WornPiece, words: SalonWords) -> str:
    if piece.set_back_mm is None:
        return "where we showed you"
    if piece.set_back_mm < AT_THE_HAIRLINE_MM:
        return "at your front hairline"
    return f"{words.length(piece.set_back_mm)} behind your front hairline"


def _taking_off(piece: WornPiece, words: SalonWords) -> list[str]:
    sentences = []
    if piece.is_stuck:
        sentences.append(
            "Loosen the edge with the remover made for it, wait, and lift it slowly from one side. Never tear."
        )
        sentences.append("No flame, cigarette or hot tool while the remover is wet.")
    if "clips" in piece.fixing:
        sentences.append("Open every clip by hand before you lift the piece, and close it again afterwards.")
    if not piece.fixing:
        sentences.append("Lift it from the nape forwards with both hands.")
    sentences.append("Take it off before you sleep, and let a tender place rest for some days.")
    return sentences


def _washing(piece: WornPiece, words: SalonWords) -> list[str]:
    often = f"about every {piece.wash_every_wears:g} days of wear"
    sentences = [f"Wash it when it needs it, {often}.", "Untangle it first, from the ends up."]
    if piece.weakest_fibre == "human":
        sentences += [
            "Lukewarm water and mild shampoo, stroked along the hair. Conditioner on the lengths, never on the base.",
            "Press it out in a towel and let it dry on a stand.",
        ]
    else:
        sentences += [
            "Cool water and a little shampoo for synthetic fibre: dip and move it gently, rinse, pat dry.",
            "Let it dry in the air on a stand. Brush it only when it is dry.",
        ]
    return sentences


def _heat(piece: WornPiece, words: SalonWords) -> list[str]:
    hottest = hottest_c(piece)
    if hottest is None:
        if piece.weakest_fibre == "standard":
            return ["No heat at all: no iron, tong, hot rollers or hair dryer. Shape it with cold rollers."]
        return ["No heat: its maker's temperature for this fibre is not on record. Ask us before you use any."]
    limit = words.temperature_at_most(hottest)
    if piece.weakest_fibre == "human":
        sentences = [f"Only on completely dry hair: keep tools under {limit}, with few passes. It can't grow back."]
    else:
        never = "always under" if hottest != piece.rated_c else "never above"  # the house number is itself too warm
        sentences = [f"Only on completely dry hair and {never} {limit}; try a hidden strand first."]
        if piece.curl_set_c is not None and piece.curl_set_c < hottest:
            sentences.append(f"Above {words.temperature_at_most(piece.curl_set_c)} its own curl changes for good.")
    return [*sentences, f"Keep hot tools at least {words.length(piece.numbers['near_base_mm'])} away from the base."]


def _keeping(piece: WornPiece, words: SalonWords) -> list[str]:
    return [
        "Keep it on a stand or in its box, dry, out of the sun and away from heaters.",
        "Redness, itching, soreness or broken hair where it sits: leave it off and call us. See a doctor if it stays.",
    ]


def _by_the_rules_alone(piece: WornPiece, words: SalonWords) -> list[str]:
    return []


_SECTIONS = (
    ("putting on", "Putting it on", _putting_on),
    ("taking off", "Taking it off", _taking_off),
    ("washing", "Washing", _washing),
    ("heat", "Heat", _heat),
    ("keeping", "Keeping it", _keeping),
    ("scan", "Before an MRI scan", _by_the_rules_alone),
)
KEYS = tuple(key for key, _, _ in _SECTIONS)
