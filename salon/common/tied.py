"""Ties a number to its unit, so that no line ends between them; screens and papers show words through this."""

import re
from typing import Final

NO_BREAK: Final = "\N{NO-BREAK SPACE}"
_UNITS: Final = "%|°[CF]|cm²?|mm|in|g|vol|min|minutes?|hours?|days?|weeks?|months?"
_BEFORE_UNIT: Final = re.compile(rf"(?<=[0-9½⅛⅜⅝⅞¼¾]) (?=(?:{_UNITS})(?![\w²]))|(?<=ΔE00) (?=[0-9])")


def tied(words: str) -> str:
    """The same words, with a space that does not break before each unit.

    >>> tied("30.0 cm, 4 clips").replace(NO_BREAK, "~")
    '30.0~cm, 4 clips'
    """
    return _BEFORE_UNIT.sub(NO_BREAK, words)
