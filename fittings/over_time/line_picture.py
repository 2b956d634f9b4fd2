"""One number over the visits as a plain line picture: points by date, and the interval of each where there is one.

SVG with presentation attributes only, recoloured by css/over-time.css. The table below the picture says the same in
numbers; the title says it in a sentence. The width is that of a phone, so that its words are no smaller than the page's
there.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from html import escape

_WIDTH, _HEIGHT = 360, 210
_LEFT, _RIGHT, _TOP, _BOTTOM = 44, 344, 20, 168
_WORD = 58  # room for a date's words, in the picture's own units
_NICE = (1, 2, 2.5, 5, 10)


@dataclass(frozen=True)
class Point:
    """One visit: its day, the value, and the interval's ends where it has one."""

    on: date
    value: float
    ends: tuple[float, float] | None = None


def draw_line(points: Sequence[Point], *, title: str, unit: str) -> str:
    """The picture of one or more visits, oldest first. `unit` stands at the top of the scale."""
    step, top = _scale(max([point.ends[1] if point.ends else point.value for point in points], default=0))

    def y(value: float) -> float:
        return _BOTTOM - (_BOTTOM - _TOP) * value / top

    places = list(zip(_across([point.on for point in points]), points, strict=True))
    parts = []
    for tick in range(round(top / step) + 1):
        at = y(tick * step)
        parts.append(f'<path class="time-grid" stroke="#d9d2ca" d="M{_LEFT} {at:.1f}H{_RIGHT}"/>')
        parts.append(_words(f"{tick * step:g}", _LEFT - 7, at + 4, "end"))
    parts.append(_words(unit, _LEFT - 7, 9, "end"))
    line = "L".join(f"{x:.1f} {y(point.value):.1f}" for x, point in places)
    parts.append(f'<path class="time-line" fill="none" stroke="#6a3a66" stroke-width="2" d="M{line}"/>')
    for x, point in places:
        if point.ends:
            low, high = (y(end) for end in point.ends)
            caps = f"M{x - 5:.1f} {low:.1f}h10M{x - 5:.1f} {high:.1f}h10"
            parts.append(
                f'<path class="time-interval" fill="none" stroke="#26221f" stroke-width="1.4"'
                f' d="M{x:.1f} {low:.1f}V{high:.1f}{caps}"/>'
            )
        parts.append(
            f'<circle class="time-point" cx="{x:.1f}" cy="{y(point.value):.1f}" r="4.5" fill="#6a3a66"'
            f' stroke="#ffffff" stroke-width="1.5"/>'
        )
    parts += _dates(places)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="time-picture" role="img" viewBox="0 0 {_WIDTH} {_HEIGHT}"'
        f' width="{_WIDTH}" height="{_HEIGHT}"><title>{escape(title)}</title>{"".join(parts)}</svg>'
    )


def _across(days: Sequence[date]) -> list[float]:
    """Where each day stands, in step with time; one day alone stands in the middle."""
    whole = (days[-1] - days[0]).days if days else 0
    if not whole:
        return [(_LEFT + _RIGHT) / 2] * len(days)
    room = _RIGHT - _LEFT - 24
    return [_LEFT + 12 + room * (day - days[0]).days / whole for day in days]


def _dates(places: list[tuple[float, Point]]) -> list[str]:
    """The first and the last day, and of those between what has room."""
    shown: list[tuple[float, date]] = []
    ordered = [places[0], *([places[-1]] if len(places) > 1 else []), *reversed(places[1:-1])] if places else []
    for x, point in ordered:
        if all(abs(x - other) >= _WORD for other, _ in shown):
            shown.append((x, point.on))
    written = []
    for x, on in shown:
        at = min(max(x, _LEFT - 10 + _WORD / 2), _WIDTH - _WORD / 2)
        written.append(_words(f"{on.day} {on:%b}", at, _BOTTOM + 18, "middle"))
        written.append(_words(f"{on:%Y}", at, _BOTTOM + 33, "middle"))
    return written


def _scale(most: float) -> tuple[float, float]:
    """A step and a top for a scale from nothing: two to five steps of 1, 2, 2.5 or 5 times a power of ten."""
    wanted = max(most, 1.0) * 1.05
    power = 10.0 ** math.floor(math.log10(wanted / 4))
    step = next(power * nice for nice in _NICE if power * nice * 4 >= wanted)
    return step, step * math.ceil(wanted / step)


def _words(text: str, x: float, y: float, anchor: str) -> str:
    return (
        f'<text class="time-words" x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}" font-family="sans-serif"'
        f' font-size="12.5" fill="#26221f">{escape(text)}</text>'
    )
