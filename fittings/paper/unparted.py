"""Keeps on one line of a paper what is read as one: number and unit, a date, a telephone number, a reference.

Works on the page as it is laid out, so that no module that words something has to think of it. Drawings, addresses,
attributes and the title of the document stay as they are.
"""

from __future__ import annotations

import re
from typing import Final

from salon.common.tied import NO_BREAK, tied

_MONTHS: Final = "Jan|Feb|Mar|Apr|May|Jun|Jul|Aug|Sep|Oct|Nov|Dec"
_TELEPHONE: Final = re.compile(r"(?<=[0-9]{3}) (?=[0-9]{3}\b)")  # 01632 960 118
_DATE: Final = re.compile(rf"\b[0-9]{{1,2}} (?:{_MONTHS})[a-z]*(?: [0-9]{{4}}\b)?")
_REFERENCE: Final = re.compile(r"\b[A-Z]-[0-9A-Z]{8}\b")
_HEAD_DRAWING_TAG_OR_TEXT: Final = re.compile(r"<head>.*?</head>|<svg.*?</svg>|<[^>]*>|[^<]+", re.DOTALL)


def unparted(html: str) -> str:
    return _HEAD_DRAWING_TAG_OR_TEXT.sub(_kept_together, html)


def _kept_together(part: re.Match[str]) -> str:
    if part[0].startswith("<"):
        return part[0]
    text = _TELEPHONE.sub(NO_BREAK, tied(part[0]))
    text = _DATE.sub(lambda found: found[0].replace(" ", NO_BREAK), text)
    return _REFERENCE.sub(r'<span class="reference">\g<0></span>', text)
