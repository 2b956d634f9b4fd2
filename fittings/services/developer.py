"""How strong is a developer: percent of hydrogen peroxide by weight, or volumes, as bottles are labelled.

One volume is one litre of oxygen set free by one litre of developer, at 0 °C and one atmosphere. Trade and law go by
round numbers, 10 volumes for 3 % (common practice; Regulation (EC) 1223/2009, Annex III, entry 12, sets 12 % equal to
40 volumes and allows no more on hair: MEMORY). The chemistry says the same to a few parts in a hundred
(`tests/published/test_developer_strength.py`).
"""

from __future__ import annotations

import re
from typing import Final

PERCENT_PER_VOLUME: Final = 0.3
WEAKEST_PERCENT, STRONGEST_PERCENT = 0.5, 12.0
USUAL_PERCENT: Final = (1.5, 3.0, 6.0, 9.0, 12.0)
_WRITE: Final = "Write 6 % or 20 vol."
_LONGEST_TEXT: Final = 20
_STRENGTH: Final = re.compile(r"([0-9]{1,3}(?:[.,][0-9]{1,2})?)\s*(%|percent|per cent|vols?\.?|volumes?)")


def percent_of(volumes: float) -> float:
    """
    >>> percent_of(20)
    6.0
    """
    return round(volumes * PERCENT_PER_VOLUME, 4)


def volumes_of(percent: float) -> float:
    """
    >>> volumes_of(9)
    30.0
    """
    return round(percent / PERCENT_PER_VOLUME, 4)


def parse_strength(text: str) -> float:
    """The percent that `text` means; raises ValueError with a sentence. A number alone could be either, so it is asked.

    >>> parse_strength("20 vol"), parse_strength("4,5 %")
    (6.0, 4.5)
    """
    typed = " ".join(text.split())
    if len(typed) > _LONGEST_TEXT:
        raise ValueError(f"“{typed[:_LONGEST_TEXT]}…” is too long for a strength. {_WRITE}")
    parts = _STRENGTH.fullmatch(typed.lower())
    if parts is None:
        if re.fullmatch(r"[0-9.,]+", typed):
            raise ValueError(f"Is “{typed}” per cent or volumes? {_WRITE}")
        raise ValueError(f"“{typed}” is not a developer's strength. {_WRITE}")
    number = float(parts[1].replace(",", "."))
    percent = percent_of(number) if parts[2].startswith("v") else number
    if not WEAKEST_PERCENT <= percent <= STRONGEST_PERCENT:
        raise ValueError(
            f"“{typed}” can't be a developer's strength: it lies between {WEAKEST_PERCENT:g} % and "
            f"{STRONGEST_PERCENT:g} % (40 vol), the most that may be used on hair. {_WRITE}"
        )
    return percent


def format_strength(percent: float) -> str:
    """
    >>> format_strength(6.0), format_strength(4.5)
    ('6 % (20 vol)', '4.5 % (15 vol)')
    """
    return f"{percent:g} % ({volumes_of(percent):.3g} vol)"
