"""How a summary is made to fit its pages: what is too long is cut, and the paper says so.

Room is taken step by step: first from free texts and reasons, then from names and from the number of lines. Numbers,
instructions and totals stay whole, and of the findings the gravest stand first.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final, TypeVar

from fittings.paper.findings_told import Told
from fittings.paper.piece_told import PieceTold, TriedTold
from fittings.paper.quote import Quote, QuoteLine
from fittings.summary import ConsultSummary

Line = TypeVar("Line")

ELLIPSIS: Final = "…"


@dataclass(frozen=True)
class Room:
    """The most that is printed: characters of a free text and of a name, lines of a list, and what may be left out.

    density: “dense” draws smaller pictures and lets instructions run on instead of standing in lines, “tight” draws
    the pictures smaller still.
    """

    free: int
    name: int
    lines: int
    colour_tables: int = 2
    has_reasons: bool = False
    has_her_words: bool = True
    density: str = "dense"


ROOMS: Final = (
    Room(free=600, name=100, lines=24, has_reasons=True, density="ample"),
    Room(free=600, name=100, lines=24, has_reasons=True),
    Room(free=300, name=100, lines=24),
    Room(free=200, name=80, lines=12),
    Room(free=120, name=50, lines=8),
    Room(free=120, name=50, lines=8, colour_tables=1),
    Room(free=90, name=34, lines=5, has_her_words=False, colour_tables=1),
    Room(free=60, name=26, lines=3, has_her_words=False, colour_tables=0, density="tight"),
    Room(free=40, name=20, lines=2, has_her_words=False, colour_tables=0, density="tight"),
)


def fitted(summary: ConsultSummary) -> Iterator[tuple[ConsultSummary, str]]:
    """The summary in less and less room, from ample to the tightest, and how densely it is drawn."""
    for room in ROOMS:
        yield within(summary, room), room.density


def within(summary: ConsultSummary, room: Room) -> ConsultSummary:
    """The summary cut to this room; `left_out` says what that did."""
    cut = _Scissors(room)
    fitting = replace(
        summary,
        salon_name=cut.name(summary.salon_name),
        salon_address=cut.free(summary.salon_address),
        after_hours=cut.free(summary.after_hours),
        client_name=cut.name(summary.client_name),
        stylist=cut.name(summary.stylist),
        headline=cut.two_names(summary.headline),
        pieces=tuple(cut.piece(piece, number) for number, piece in enumerate(summary.pieces)),
        about_colours=summary.about_colours if room.colour_tables else "",
        why_chosen=cut.free(summary.why_chosen),
        none_because=cut.free(summary.none_because),
        tried=tuple(cut.tried(tried) for tried in cut.lines(summary.tried)),
        doctor_when=cut.soonest(summary.doctor_when),
        findings=tuple(cut.told(finding) for finding in cut.lines(summary.findings)),
        dates=tuple(replace(one, label=cut.name(one.label)) for one in cut.lines(summary.dates)),
        quote=cut.quote(summary.quote),
    )
    return replace(fitting, left_out=cut.sentence)


class _Scissors:
    """Cuts to one room and remembers what fell."""

    def __init__(self, room: Room) -> None:
        self.room = room
        self.fallen: dict[str, None] = {}  # a set that keeps its order

    @property
    def sentence(self) -> str:
        if not self.fallen:
            return ""
        return f"To fit this paper, {'; '.join(self.fallen)}. Ask us for the whole."

    def free(self, text: str) -> str:
        return self._cut(text, self.room.free)

    def name(self, text: str) -> str:
        return self._cut(text, self.room.name)

    def two_names(self, text: str) -> str:
        return self._cut(text, 2 * self.room.name + 20)

    def lines(self, lines: Sequence[Line]) -> Sequence[Line]:
        if len(lines) > self.room.lines:
            self.fallen["further lines are left out"] = None
        return lines[: self.room.lines]

    def piece(self, piece: PieceTold, number: int) -> PieceTold:
        if number >= self.room.colour_tables:
            self.fallen["colours by zone are left out"] = None
            piece = replace(piece, colour=replace(piece.colour, rows=()))
        return replace(
            piece,
            name=self.name(piece.name),
            hair=self.free(piece.hair),
            base=self.free(piece.base),
            her_words=self.her_words(piece.her_words),
        )

    def tried(self, tried: TriedTold) -> TriedTold:
        return replace(tried, name=self.name(tried.name), her_words=self.her_words(tried.her_words))

    def her_words(self, text: str) -> str:
        if text and not self.room.has_her_words:
            self.fallen["what you said is left out"] = None
            return ""
        return self.free(text)

    def soonest(self, advice: tuple[str, ...]) -> tuple[str, ...]:
        """Where it is tight, the soonest visit to a doctor stands for all: every sign is named above it."""
        if len(advice) < 2 or self.room.density != "tight":
            return advice
        self.fallen["which doctor for which sign is left out"] = None
        return (f"{advice[0].partition(':')[0]}.",)

    def told(self, finding: Told) -> Told:
        if finding.because and not self.room.has_reasons:
            self.fallen["reasons are left out"] = None
            finding = replace(finding, because="")
        return replace(finding, let_pass=self.free(finding.let_pass))

    def quote(self, quote: Quote) -> Quote:
        lines = [replace(line, what=self.name(line.what), note=self.name(line.note)) for line in quote.lines]
        if len(lines) <= self.room.lines:
            return replace(quote, lines=tuple(lines))
        shown, others = lines[: self.room.lines - 1], lines[self.room.lines - 1 :]
        together = QuoteLine(
            f"{len(others)} further services", "", sum(line.minor for line in others), others[0].currency, True
        )
        return replace(quote, lines=(*shown, together))

    def _cut(self, text: str, length: int) -> str:
        if len(text) <= length:
            return text
        self.fallen[f"texts that end in “{ELLIPSIS}” are cut"] = None
        return text[: length - 1].rstrip() + ELLIPSIS
