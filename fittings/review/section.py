"""A part of the review's page: what it is called, what it says in sentences, its picture and the tables below it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from django.utils.safestring import SafeString, mark_safe

from fittings.review.tables import Opens, Table
from fittings.rules.wording import Units
from pieces.review_asked import Asked

NO_PICTURE: SafeString = mark_safe("")


@dataclass(frozen=True)
class Lead:
    """Where a section leads besides its numbers: the rule that its effects speak about, for one."""

    says: str
    href: str


@dataclass(frozen=True)
class Section:
    key: str
    heading: str
    says: Sequence[str]
    tables: Sequence[Table]
    picture: SafeString = NO_PICTURE
    leads: Sequence[Lead] = field(default=())


@dataclass(frozen=True)
class Reading:
    """How the page is read: what was asked, where numbers open, in which units, and whether pictures are wanted."""

    asked: Asked
    opens: Opens
    units: Units
    draws: bool = True
