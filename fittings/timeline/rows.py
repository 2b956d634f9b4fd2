"""What a row of a line is, how one kind of row is fetched, and the words all kinds share.

A line is a client's, a unit's or one owned piece's. Which kinds stand on which line is said in `lines_of`; the order
and the pages are made by `line`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, Generic, TypeVar

from django.db.models import QuerySet
from django.utils.formats import date_format
from django.utils.timezone import localtime

from clients.models import Photo
from salon.common.lengths import format_length

Subject = TypeVar("Subject", contravariant=True)


@dataclass(frozen=True)
class Row:
    """One row of the line. `word` says what kind it is, `title` what happened, `facts` and `photos` open in place.

    `mended` says that a later entry corrected this one, or which one it corrects; `strike_out` is the address where it
    can be struck out, empty where it can't be.
    """

    at: datetime
    word: str
    title: str
    facts: tuple[tuple[str, str], ...] = ()
    photos: tuple[Photo, ...] = ()
    link: str = ""
    address: str = ""
    salon_only: bool = False
    mended: str = ""
    no_longer_counts: bool = False
    strike_out: str = ""


@dataclass(frozen=True)
class Source(Generic[Subject]):
    """One kind of row: who may see it, its records of a subject with all their words need, and how one is worded.

    `about` is the word a reader narrows the line by. `dated_by` and `key` are the columns that order it; `row` takes a
    record and whether the reader measures in inches.
    """

    about: str
    needs: str
    dated_by: str
    records: Callable[[Subject], QuerySet[Any]]
    row: Callable[[Any, bool], Row]
    key: str = "pk"


def said(*facts: tuple[str, Any]) -> tuple[tuple[str, str], ...]:
    """Only what there is something to say about."""
    return tuple((word, str(value)) for word, value in facts if value)


def moment(at: datetime) -> str:
    return date_format(localtime(at), "j M Y, H:i")


def day(on: date) -> str:
    return date_format(on, "j M Y")


def length(millimetres: Any, imperial: bool) -> str:
    return "" if millimetres is None else format_length(float(millimetres), "in" if imperial else "cm")
