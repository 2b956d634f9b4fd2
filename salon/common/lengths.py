"""How long is it: reads a length as a stylist writes it, and writes one as she would.

Inside the project every length is millimetres. A form takes centimetres, millimetres or inches, with decimals (point or
comma) or fractions; a page shows centimetres to one decimal or inches to the nearest eighth, as tape measures are
marked (common practice). Whether a length is likely for a head or for hair is for the form that asks.
The inch is exactly 25.4 mm (international yard and pound agreement of 1959, MEMORY).
"""

import re
from typing import Final, Literal

LengthUnit = Literal["cm", "in"]

MM_PER_INCH: Final = 25.4
_MM_PER_UNIT: Final = {"mm": 1.0, "cm": 10.0, "in": MM_PER_INCH}
_LONGEST_MM: Final = 10_000.0  # ten metres: nothing measured in a salon is longer, so the number has slipped
_LONGEST_TEXT: Final = 40
_WRITE: Final = "Write 34 cm or 13 1/2 in."
_EIGHTHS: Final = ("", "⅛", "¼", "⅜", "½", "⅝", "¾", "⅞")
_IN_DIGITS: Final = str.maketrans(
    {
        "⅛": " 1/8", "¼": " 1/4", "⅜": " 3/8", "½": " 1/2", "⅝": " 5/8", "¾": " 3/4", "⅞": " 7/8",
        "⅓": " 1/3", "⅔": " 2/3", "⁄": "/", ",": ".", "−": "-", "–": "-", "″": '"', "”": '"', "\u00a0": " ",
    }
)  # fmt: skip  # one line a kind reads better than one line a character
_UNIT_WORDS: Final = {
    "mm": "mm", "millimetre": "mm", "millimetres": "mm", "millimeter": "mm", "millimeters": "mm",
    "cm": "cm", "cms": "cm", "centimetre": "cm", "centimetres": "cm", "centimeter": "cm", "centimeters": "cm",
    "in": "in", "ins": "in", "inch": "in", "inches": "in", '"': "in", "''": "in",
}  # fmt: skip  # the same
_LENGTH: Final = re.compile(
    r"""
    (?P<minus>-\s*)?
    (?: (?P<decimal>[0-9]*\.[0-9]+)
      | (?:(?P<whole>[0-9]+)(?:[ -]+|$|(?=[^0-9/])))?(?:(?P<over>[0-9]+)[ ]*/[ ]*(?P<under>[0-9]+))?
    )
    \s*(?P<unit>[^0-9/.]*?)\.?
    """,
    re.VERBOSE,
)


def parse_length_mm(text: str, default_unit: LengthUnit = "cm") -> float:
    """The length in millimetres that `text` means.

    A number alone is in `default_unit`. Raises ValueError with a sentence for the person who typed it.
    >>> parse_length_mm("34 cm"), parse_length_mm('13 1/2"'), parse_length_mm("1,5")
    (340.0, 342.9, 15.0)
    """
    typed = text.strip()
    if not typed:
        raise ValueError(f"A length is missing. {_WRITE}")
    if len(typed) > _LONGEST_TEXT:
        raise ValueError(f"“{typed[:_LONGEST_TEXT]}…” is too long for a length. {_WRITE}")
    parts = _LENGTH.fullmatch(typed.translate(_IN_DIGITS).strip())
    if parts is None or not (parts["decimal"] or parts["whole"] or parts["over"]):
        raise ValueError(f"“{typed}” is not a length. {_WRITE}")
    unit = _UNIT_WORDS.get(parts["unit"].strip().lower(), "") if parts["unit"].strip() else default_unit
    if not unit:
        raise ValueError(f"“{parts['unit'].strip()}” is not a unit of length here. {_WRITE}")
    if parts["under"] and int(parts["under"]) == 0:
        raise ValueError(f"“{typed}” divides by nothing. {_WRITE}")
    fraction = int(parts["over"]) / int(parts["under"]) if parts["over"] else 0.0
    if parts["whole"] and fraction >= 1:
        raise ValueError(f"“{typed}” has a fraction that is not smaller than one. {_WRITE}")
    number = float(parts["decimal"] or parts["whole"] or 0) + fraction
    if parts["minus"] and number:
        raise ValueError(f"“{typed}” is less than nothing: a length can't be negative. {_WRITE}")
    length_mm = round(number * _MM_PER_UNIT[unit], 6)  # 13.5 in is 342.9 mm, not 342.9 and a rounding error
    if length_mm > _LONGEST_MM:
        raise ValueError(f"“{typed}” is longer than ten metres. {_WRITE}")
    return length_mm


def format_length(length_mm: float, units: LengthUnit) -> str:
    """The length in words: centimetres to one decimal, inches to the nearest eighth.

    >>> format_length(342.9, "cm"), format_length(342.9, "in"), format_length(-6.4, "in")
    ('34.3 cm', '13½ in', '−¼ in')
    """
    sign = "−" if length_mm < 0 else ""
    if units == "in":
        whole, eighths = divmod(round(abs(length_mm) / MM_PER_INCH * 8), 8)
        number = f"{whole or ''}{_EIGHTHS[eighths]}" or "0"
        unit = "in"
    else:
        number, unit = f"{abs(length_mm) / 10:.1f}", "cm"
    return f"{'' if number in ('0', '0.0') else sign}{number} {unit}"
