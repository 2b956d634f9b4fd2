"""Signatures drawn by finger, pen or mouse: which strokes may be stored, and how they are drawn again.

A signature is a list of strokes, a stroke a list of [x, y] points: shares of the width of the pad, x to the right and y
downwards. The pad is `PAD_HEIGHT` of its width high (static/js/signature-pad.js draws on it).
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from itertools import pairwise
from math import dist, isfinite
from typing import Final, NoReturn

from django.core.exceptions import ValidationError
from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe

Strokes = list[list[list[float]]]

PAD_HEIGHT: Final = 0.4
MOST_STROKES: Final = 200
MOST_POINTS: Final = 5_000
LONGEST_SENT: Final = 150_000  # characters: 5,000 points of four decimals need some 80,000
SHORTEST: Final = 0.05  # of the pad's width: less is a slip of the finger
_DRAWN_WIDE = 1000  # units of the drawing across the pad

_UNREADABLE = "The drawn signature can't be read. Clear it and draw it again, or leave the pad empty."


def read_strokes(sent: str) -> Strokes:
    """The strokes a pad sends as JSON; none when it was left empty. Raises ValidationError with what to do."""
    if not sent.strip():
        return []
    if len(sent) > LONGEST_SENT:
        raise ValidationError(_too_much())
    try:
        strokes = json.loads(sent, parse_constant=_refuse_constant)
    except (ValueError, RecursionError):
        raise ValidationError(_UNREADABLE) from None
    return checked_strokes(strokes)


def checked_strokes(strokes: object) -> Strokes:
    """The strokes with four decimals; raises ValidationError unless they lie on the pad and are not too many."""
    if not isinstance(strokes, list) or not all(isinstance(stroke, list) and stroke for stroke in strokes):
        raise ValidationError(_UNREADABLE)
    if not strokes:
        return []
    if len(strokes) > MOST_STROKES or sum(len(stroke) for stroke in strokes) > MOST_POINTS:
        raise ValidationError(_too_much())
    checked = [[_checked_point(point) for point in stroke] for stroke in strokes]
    if sum(dist(one, other) for stroke in checked for one, other in pairwise(stroke)) < SHORTEST:
        raise ValidationError("There is only a dot on the pad. Sign with your name, or clear it and leave it empty.")
    return checked


def draw_signature(strokes: Iterable[Iterable[Iterable[float]]], *, title: str) -> SafeString:
    """The signature as an SVG drawing in the colour of the text around it."""
    lines = "".join(f'<polyline points="{_points(stroke)}" />' for stroke in strokes)
    return format_html(
        '<svg class="signature" viewBox="0 0 {} {}" role="img" aria-label="{}" fill="none" stroke="currentColor" '
        'stroke-width="7" stroke-linecap="round" stroke-linejoin="round"><title>{}</title>{}</svg>',
        _DRAWN_WIDE,
        round(_DRAWN_WIDE * PAD_HEIGHT),
        title,
        title,
        mark_safe(lines),  # noqa: S308  # numbers alone
    )


def _checked_point(point: object) -> list[float]:
    if not isinstance(point, list) or len(point) != 2:
        raise ValidationError(_UNREADABLE)
    for share, most in zip(point, (1.0, PAD_HEIGHT), strict=True):
        if isinstance(share, bool) or not isinstance(share, (int, float)) or not isfinite(share):
            raise ValidationError(_UNREADABLE)
        if not 0 <= share <= most:
            raise ValidationError("The drawn signature runs off the pad. Clear it and draw it again.")
    return [round(float(share), 4) for share in point]


def _points(stroke: Iterable[Iterable[float]]) -> str:
    points = [" ".join(f"{float(share) * _DRAWN_WIDE:.1f}" for share in point) for point in stroke]
    return ", ".join(points * 2 if len(points) == 1 else points)  # a dot is a line to itself


def _too_much() -> str:
    return f"That is more than a signature: at most {MOST_STROKES} strokes. Clear the pad and draw it again."


def _refuse_constant(name: str) -> NoReturn:
    raise ValueError(f"{name} is no share of a pad")
