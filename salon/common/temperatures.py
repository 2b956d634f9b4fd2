"""How hot is it: reads and writes temperatures of tools, water and processes.

Inside the project every temperature is in degrees Celsius. What a fibre stands is for the rules; this module refuses
only what no tool of a salon can be set to. F = C x 9/5 + 32 (definition of the Fahrenheit scale, MEMORY).
"""

import re
from typing import Final, Literal

TemperatureUnit = Literal["C", "F"]

_HOTTEST_C: Final = 300.0  # above every hair tool (common practice: they end near 230 °C), so the unit has slipped
_LONGEST_TEXT: Final = 40
_WRITE: Final = "Write 180 °C or 356 °F."
_TEMPERATURE: Final = re.compile(r"([-−–]\s*)?([0-9]{1,6}(?:[.,][0-9]{1,6})?)\s*(?:°|º|degrees?|deg\.?)?\s*([a-z]*)")
_UNIT_WORDS: Final = {"c": "C", "celsius": "C", "centigrade": "C", "f": "F", "fahrenheit": "F"}


def parse_temperature_c(text: str, default_unit: TemperatureUnit = "C") -> float:
    """The temperature in °C that `text` means; a number alone is in `default_unit`.

    Raises ValueError with a sentence for the person who typed it.
    >>> parse_temperature_c("180 °C"), parse_temperature_c("356F"), parse_temperature_c("212", "F")
    (180.0, 180.0, 100.0)
    """
    typed = text.strip()
    if not typed:
        raise ValueError(f"A temperature is missing. {_WRITE}")
    if len(typed) > _LONGEST_TEXT:
        raise ValueError(f"“{typed[:_LONGEST_TEXT]}…” is too long for a temperature. {_WRITE}")
    parts = _TEMPERATURE.fullmatch(typed.replace("\u00a0", " ").lower())
    if parts is None:
        raise ValueError(f"“{typed}” is not a temperature. {_WRITE}")
    minus, number, word = parts.groups()
    unit = _UNIT_WORDS.get(word) if word else default_unit
    if unit is None:
        raise ValueError(f"“{word}” is not a unit of temperature here. {_WRITE}")
    degrees = float(number.replace(",", ".")) * (-1 if minus else 1)
    temperature_c = round((degrees - 32) * 5 / 9, 6) if unit == "F" else degrees
    if temperature_c < 0:
        raise ValueError(f"“{typed}” is below freezing. {_WRITE}")
    if temperature_c > _HOTTEST_C:
        hint = f" Is it {degrees:g} °F?" if unit == "C" and degrees <= _HOTTEST_C * 9 / 5 + 32 else ""
        raise ValueError(f"“{typed}” is hotter than any hair tool.{hint} {_WRITE}")
    return temperature_c


def format_temperature(temperature_c: float, units: TemperatureUnit) -> str:
    """The temperature in whole degrees.

    >>> format_temperature(180, "C"), format_temperature(180, "F")
    ('180 °C', '356 °F')
    """
    degrees = temperature_c * 9 / 5 + 32 if units == "F" else temperature_c
    return f"{round(degrees)} °{units}".replace("-", "−")
