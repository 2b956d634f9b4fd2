"""Which stretches of time are left when some are taken, and which two lists share?

A span is half-open: its end belongs to what follows, so that touching is not sharing. The three functions take spans in
any order, overlapping or not, and give them back sorted, apart from each other, none touching the next.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime


@dataclass(frozen=True, order=True, slots=True)
class Span:
    """[starts_at, ends_at), aware; kept in UTC, for Python compares two moments of one zone by their wall clocks.

    Raises ValueError unless both are aware and the end comes after the beginning.
    """

    starts_at: datetime
    ends_at: datetime

    def __post_init__(self) -> None:
        if self.starts_at.tzinfo is not UTC or self.ends_at.tzinfo is not UTC:
            if self.starts_at.utcoffset() is None or self.ends_at.utcoffset() is None:
                raise ValueError(f"a span needs moments with a time zone, got {self.starts_at} and {self.ends_at}")
            object.__setattr__(self, "starts_at", self.starts_at.astimezone(UTC))
            object.__setattr__(self, "ends_at", self.ends_at.astimezone(UTC))
        if self.ends_at <= self.starts_at:
            raise ValueError(f"a span ends after it begins, got {self.starts_at} to {self.ends_at}")

    def holds(self, other: Span) -> bool:
        """Whether all of the other lies within this one."""
        return self.starts_at <= other.starts_at and other.ends_at <= self.ends_at

    def shares_time_with(self, other: Span) -> bool:
        return self.starts_at < other.ends_at and other.starts_at < self.ends_at


def merged(spans: Iterable[Span]) -> list[Span]:
    """The same time as sorted spans of which no two overlap or touch."""
    found: list[Span] = []
    for span in sorted(spans):
        if found and span.starts_at <= found[-1].ends_at:
            if span.ends_at > found[-1].ends_at:
                found[-1] = Span(found[-1].starts_at, span.ends_at)
        else:
            found.append(span)
    return found


def minus(spans: Iterable[Span], taken: Iterable[Span]) -> list[Span]:
    """The time that lies in the spans and not in what is taken."""
    found: list[Span] = []
    obstacles = merged(taken)
    next_one = 0
    for span in merged(spans):
        begins = span.starts_at
        while next_one < len(obstacles) and obstacles[next_one].ends_at <= begins:
            next_one += 1
        at = next_one  # one obstacle can reach into several spans
        while at < len(obstacles) and obstacles[at].starts_at < span.ends_at:
            if obstacles[at].starts_at > begins:
                found.append(Span(begins, obstacles[at].starts_at))
            begins = obstacles[at].ends_at
            at += 1
        if begins < span.ends_at:
            found.append(Span(begins, span.ends_at))
    return found


def common(one: Iterable[Span], other: Iterable[Span]) -> list[Span]:
    """The time that lies in both."""
    found: list[Span] = []
    ours, theirs = merged(one), merged(other)
    i = j = 0
    while i < len(ours) and j < len(theirs):
        begins, ends = max(ours[i].starts_at, theirs[j].starts_at), min(ours[i].ends_at, theirs[j].ends_at)
        if begins < ends:
            found.append(Span(begins, ends))
        if ours[i].ends_at <= theirs[j].ends_at:
            i += 1
        else:
            j += 1
    return found
