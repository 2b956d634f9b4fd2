"""A piece that was chosen, in words and numbers: what it is, where it sits, what it covers and what holds it.

The piece itself, price, differences, findings and house rules are those frozen with the candidate. Cover, margin and
hold are too, unless the piece was worn at another set-back than computed: then they are worked out there, by the frozen
house rules.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from clients.scalp.head import Head
from clients.scalp.loss_map import LossMap
from fittings.house_numbers import placement_rules, start_numbers
from fittings.models import Candidate, Service, TryOn
from fittings.paper.colour_told import ColourTold, colour_told
from fittings.paper.findings_told import instructions_in
from fittings.paper.measured import Fact
from fittings.paper.salon_words import SalonWords, joined
from fittings.paper.wearing import AT_THE_HAIRLINE_MM, WornPiece
from fittings.placement.placing import Placement, place
from pieces.bases.construction import BaseShape
from pieces.models import Base, Piece

SAME_PLACE_MM = 1.0  # a set-back is logged in whole millimetres
_NO_EDGE_MM = 1000.0  # a margin beyond any head: nothing counts as thinning
_FIXINGS = ("clips", "tape", "liquid adhesive")


@dataclass(frozen=True)
class PieceTold:
    """What stands on the paper about one piece."""

    heading: str
    name: str
    hair: str
    base: str
    facts: tuple[Fact, ...]
    how_it_did: str
    her_words: str
    colour: ColourTold


@dataclass(frozen=True)
class TriedTold:
    """A piece that was tried and not taken, and how it did."""

    name: str
    how_it_did: str
    her_words: str


class Chosen:
    """A candidate that was taken, the look at it that decided, and the services planned on it."""

    def __init__(self, look: TryOn, candidate: Candidate, services: Iterable[Service], head: Head, loss_map: LossMap):
        self.look, self.candidate = look, candidate
        self.services = [service for service in services if service.candidate_id == candidate.pk]
        self.piece: Piece = candidate.kept.piece
        self.base: Base = candidate.kept.base
        self.shape: BaseShape = candidate.kept.shape
        self.numbers: Mapping[str, float] = start_numbers() | candidate.house_rules
        self.is_as_computed = look.set_back_mm is None or abs(look.set_back_mm - candidate.set_back_mm) < SAME_PLACE_MM
        self.placement = self._placed(head, loss_map)

    @property
    def set_back_mm(self) -> float:
        return self.candidate.set_back_mm if self.is_as_computed else float(self.look.set_back_mm or 0)

    @property
    def fixing(self) -> frozenset[str]:
        """What was planned to hold it; without a plan its clips, if it has any."""
        planned: set[str] = set()
        for service in self.services:
            fixing = service.facts.get("planned_fixing", ())
            planned |= {fixing} if isinstance(fixing, str) else set(fixing)
        planned &= set(_FIXINGS)
        return frozenset(planned or ({"clips"} if self.shape.clips else set()))

    def told(self, heading: str, words: SalonWords) -> PieceTold:
        candidate, kept = self.candidate, self.candidate.kept
        return PieceTold(
            heading=heading,
            name=self.piece.name,
            hair=(
                f"{self.piece.get_fibre_display()}, {self.piece.get_texture_display().lower()}, "
                f"{words.length(kept.variant.length_mm)} long, shade {kept.shade}"
            ),
            base=self._base(words),
            facts=self._facts(words),
            how_it_did=how_it_did(self.look),
            her_words=self.look.her_words.strip(),
            colour=colour_told(candidate.colour, kept.shade, candidate.assessment.readings.all()),
        )

    def worn(self, name: str) -> WornPiece:
        """What the instructions for wearing depend on."""
        piece, findings = self.piece, [*self.candidate.findings]
        return WornPiece(
            name=name,
            fibre=piece.fibre,
            synthetic_part=piece.synthetic_part,
            rated_c=piece.rated_c,
            curl_set_c=piece.curl_set_c,
            is_coloured=self._is_coloured(),
            front_edge=self.base.front_edge,
            is_cap=self.base.outline == Base.Outline.FULL_CAP,
            fixing=self.fixing,
            set_back_mm=self.set_back_mm,
            is_turned=self.candidate.turned,
            numbers=self.numbers,
            own_rules=instructions_in(findings),
            wash_every_wears=self.numbers[f"care_wash_wears_{piece.fibre}"],
        )

    def _placed(self, head: Head, loss_map: LossMap) -> Placement:
        return place(
            head,
            loss_map,
            self.shape.outline,
            set_back_mm=self.set_back_mm,
            side_shift_mm=self.candidate.side_shift_mm,
            turned=self.candidate.turned,
            clips=self.shape.clips,
            tape_areas=self.shape.tape_areas,
            front_edge=self.shape.front_edge,
            house_rules=placement_rules(self.numbers),
        )

    def _base(self, words: SalonWords) -> str:
        base = self.base
        size = f"{words.length(base.length_mm)} × {words.length(base.width_mm)}"
        return f"{base.name} by {base.maker}, {size}, {base.get_outline_display().lower()}, {made_of(base)}"

    def _facts(self, words: SalonWords) -> tuple[Fact, ...]:
        seat = self.candidate if self.is_as_computed else self.placement
        facts = [
            Fact("Place", self._seat(words)),
            Fact("Cover", cover_told(seat.cover, seat.uncovered_cm2)),
        ]
        if seat.margin_mm is not None and abs(seat.margin_mm) < _NO_EDGE_MM:
            facts.append(Fact("Margin", _margin(seat.margin_mm, words)))
        facts.append(Fact("Hold", self._hold(seat.clips_holding, seat.clips_total)))
        if self.look.unit is not None:
            facts.append(Fact("Piece number", self.look.unit.number))
        return tuple(facts)

    def _seat(self, words: SalonWords) -> str:
        sideways = self.candidate.side_shift_mm
        parts = [f"front edge {behind_the_hairline(self.set_back_mm, words)}"]
        if abs(sideways) >= SAME_PLACE_MM:
            parts.append(f"{words.length(abs(sideways))} to your {'left' if sideways > 0 else 'right'}")
        if self.candidate.turned:
            parts.append("turned back to front")
        return f"{', '.join(parts)} ({'as worn' if self.look.set_back_mm is not None else 'as computed'})"

    def _hold(self, holding: int, total: int) -> str:
        land = "lands on hair that holds it" if holding == 1 else "land on hair that holds them"
        clips = f"{holding} of {total} clips {land}" if total else "no clips"
        others = [way for way in _FIXINGS[1:] if way in self.fixing]
        return f"{clips}; fixed with {joined(others)}" if others else clips

    def _is_coloured(self) -> bool:
        facts: list[Mapping[str, Any]] = [service.facts for service in self.services]
        return bool(self.look.unit and self.look.unit.lightened_before) or any(
            str(one.get("colour_on", "")).startswith("piece")
            or one.get("unit_coloured") in (True, "yes")
            or one.get("unit_lightened_before") in (True, "yes")
            for one in facts
        )


def tried_told(candidate: Candidate, look: TryOn) -> TriedTold:
    return TriedTold(candidate.kept.name, how_it_did(look), look.her_words.strip())


def how_it_did(look: TryOn) -> str:
    """“Covers well, sits nearly, does not match.”"""
    said = []
    for verb, bare, grade in (
        ("covers", "cover", look.covers),
        ("sits", "sit", look.sits),
        ("matches", "match", look.matches),
    ):
        said.append(f"does not {bare}" if grade == TryOn.Grade.NOT else f"{verb} {grade}")
    sentence = ", ".join(said)
    return f"{sentence[0].upper()}{sentence[1:]}."


def behind_the_hairline(set_back_mm: float, words: SalonWords) -> str:
    """Where the front edge sits; an edge at the hairline is never “0.0 cm behind” it."""
    if set_back_mm < AT_THE_HAIRLINE_MM:
        return "at your hairline"
    return f"{words.length(set_back_mm)} behind your hairline"


def made_of(base: Base) -> str:
    """“Silk top with a plain front edge”, in small letters."""
    edge = {"plain": "a plain", "polyurethane": "a polyurethane", "lace": "a lace"}[base.front_edge]
    return f"{base.get_construction_display().lower()} with {edge} front edge"


def cover_told(cover: float, uncovered_cm2: float) -> str:
    percent = math.floor(100 * cover + 1e-9)  # down, so that not quite all never reads 100 %
    if percent >= 100:
        return "all of the thinning"
    left = f"{uncovered_cm2:.1f}" if uncovered_cm2 >= 0.05 else "less than 0.1"  # what is left is never nothing
    return f"{percent} % of the thinning; {left} cm² stay uncovered"


def _margin(margin_mm: float, words: SalonWords) -> str:
    if margin_mm < 0:
        return f"thinning reaches {words.length(-margin_mm)} past its edge"
    return f"reaches {words.length(margin_mm)} past the thinning"
