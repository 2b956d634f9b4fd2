"""What every paper of many sections is made of: whose it is, headings, facts, lists, tables, entries and pictures.

The modules that say what stands on one paper put these together; `pdf.sheet_pdf` draws them all by one template, on as
many pages as they need. Plain data: nothing here is fetched.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from clients.consenting import full_name
from clients.models import Client
from fittings.paper.measured import Fact, Picture
from fittings.paper.salon_words import SalonWords, in_one_line
from salon.models import Salon

GUIDANCE = (
    "General guidance, not medical advice. Makers' instructions, local codes and licensed practice come first. "
    "The salon fits hair and diagnoses nothing."
)

LINES_KEPT_TOGETHER, LETTERS_A_LINE = 12, 60
ROWS_KEPT_TOGETHER = 3


@dataclass(frozen=True)
class Table:
    """Every row begins with what it is about, which heads it."""

    caption: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]

    @property
    def is_short(self) -> bool:
        """Whether it is kept on one page, as one row of it alone says little."""
        return len(self.rows) <= ROWS_KEPT_TOGETHER


@dataclass(frozen=True)
class Entry:
    """One thing on record under a heading of its own. `mended`: what took its place, what it took the place of, or that
    it was struck out; `stands` is False where it counts no longer."""

    heading: str
    facts: tuple[Fact, ...] = ()
    says: tuple[str, ...] = ()
    points: tuple[str, ...] = ()
    tables: tuple[Table, ...] = ()
    pictures: tuple[Picture, ...] = ()
    mended: str = ""
    stands: bool = True

    @property
    def is_short(self) -> bool:
        """Whether it can be kept on one page without leaving much of the one before empty."""
        lines = len(self.facts) + len(self.points) + sum(len(one) for one in self.says) // LETTERS_A_LINE
        return not (self.tables or self.pictures) and lines <= LINES_KEPT_TOGETHER


@dataclass(frozen=True)
class Section:
    """`empty` is said where nothing else is."""

    heading: str
    says: tuple[str, ...] = ()
    facts: tuple[Fact, ...] = ()
    points: tuple[str, ...] = ()
    tables: tuple[Table, ...] = ()
    entries: tuple[Entry, ...] = ()
    empty: str = ""

    @property
    def is_empty(self) -> bool:
        return not (self.says or self.facts or self.points or self.tables or self.entries)


@dataclass(frozen=True)
class Sheet:
    """A whole paper. `subject` is the reference of what it is about, beside the client's in title and letterhead.
    `is_dense`: the facts of an entry run on in lines, for papers that go on for dozens of pages."""

    name: str
    subject: str
    heading: str
    salon_name: str
    salon_address: str
    salon_phone: str
    salon_email: str
    after_hours: str
    client_name: str
    client_reference: str
    printed_on: str
    sections: tuple[Section, ...]
    whom_to_call: bool = False
    is_dense: bool = False
    footer: str = GUIDANCE

    @property
    def title(self) -> str:
        about = ", ".join(filter(None, (self.client_reference, self.subject)))
        return f"{self.name} {about}, {self.printed_on}"


def sheet(
    name: str,
    client: Client,
    *,
    salon: Salon,
    on: date,
    heading: str,
    sections: tuple[Section, ...],
    subject: str = "",
    whom_to_call: bool = False,
    is_dense: bool = False,
) -> Sheet:
    """The paper as this salon prints it that day."""
    return Sheet(
        name=name,
        subject=subject,
        heading=heading,
        salon_name=salon.name,
        salon_address=in_one_line(salon.address),
        salon_phone=salon.phone,
        salon_email=salon.email,
        after_hours=salon.after_hours_advice,
        client_name=full_name(client),
        client_reference=client.reference,
        printed_on=SalonWords.day(on),
        sections=sections,
        whom_to_call=whom_to_call,
        is_dense=is_dense,
    )


def unbroken(text: str) -> str:
    """For a narrow cell: a date stays on one line."""
    return text.replace(" ", "\N{NO-BREAK SPACE}")


def facts(*told: tuple[str, str | None]) -> tuple[Fact, ...]:
    """Those that say something."""
    return tuple(Fact(label, words) for label, words in told if words)
