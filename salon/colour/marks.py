"""What a stylist marks on a photo: the card or the chart, and round spots on hair.

Places are shares of the photo (x of its width, y of its height, from the top left), a radius is a share of its longer
side, so that marks fit every size the photo is kept in. Leaves to `reading` what the colours under the marks are. The
text that travels between page and server is JSON:

    {"reference": null | {"kind": "card", "x": …, "y": …, "radius": …} | {"kind": "chart", "corners": [[x, y] × 4]},
     "spots": {"root": [{"x": …, "y": …, "radius": …}, up to three]}}
"""

from __future__ import annotations

import json
import math
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from typing import NoReturn

MOST_SPOTS = 3  # of one region
LARGEST_RADIUS = 0.25  # half the longer side across: more is not a spot any more
LONGEST_TEXT = 10_000  # characters; all the marks a photo can carry take fewer


class MarksError(ValueError):
    """The marks of a photo can't be read; the words say which and what would be right."""


@dataclass(frozen=True, slots=True)
class Spot:
    """One round spot. Raises MarksError unless its middle lies on the photo and its radius is above 0, up to 0.25."""

    x: float
    y: float
    radius: float

    def __post_init__(self) -> None:
        _on_the_photo(self.x, self.y)
        if not 0.0 < self.radius <= LARGEST_RADIUS:
            raise MarksError(
                f"A spot's radius is a share of the photo's longer side, above 0 and up to {LARGEST_RADIUS:g}: "
                f"got {self.radius!r}."
            )


@dataclass(frozen=True, slots=True)
class CardMark:
    """Where the grey card is: one spot that lies on it whole."""

    spot: Spot


@dataclass(frozen=True, slots=True)
class ChartMark:
    """Where the chart is: the middles of its four corner patches, (x, y) each, in any order."""

    corners: tuple[tuple[float, float], ...]

    def __post_init__(self) -> None:
        if len(self.corners) != 4:
            raise MarksError(f"The chart is marked by its four corner patches: got {len(self.corners)}.")
        for x, y in self.corners:
            _on_the_photo(x, y)


@dataclass(frozen=True, slots=True)
class Marks:
    """All marks of one photo. Raises MarksError for more than three spots of a region."""

    reference: CardMark | ChartMark | None
    spots: Mapping[str, tuple[Spot, ...]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        for region, spots in self.spots.items():
            if len(spots) > MOST_SPOTS:
                raise MarksError(f"A region has up to {MOST_SPOTS} spots: {region} has {len(spots)}.")


def marks_from_json(text: str, *, regions: Collection[str]) -> Marks:
    """Read the JSON in this module's heading; regions are the names that spots may have.

    Raises MarksError with a sentence for anything else: another shape, another name, a number that is not finite or
    lies outside the photo, more than three spots of a region. Regions without a spot are left out.
    """
    if len(text) > LONGEST_TEXT:
        raise MarksError(f"The marks of a photo are at most {LONGEST_TEXT:,} characters of text: got {len(text):,}.")
    try:
        told = json.loads(text, parse_constant=_refuse_constant)
    except MarksError:
        raise
    except (ValueError, RecursionError) as error:  # JSONDecodeError is a ValueError; so are integers of 5,000 digits
        raise MarksError("The marks of the photo did not arrive whole. Place them again.") from error
    whole = _fields(told, "the marks", {"reference", "spots"})
    spots: dict[str, tuple[Spot, ...]] = {}
    for region, placed in _mapping(whole["spots"], "the spots").items():
        if region not in regions:
            raise MarksError(f"There is no region {region!r} on this photo; there are {', '.join(sorted(regions))}.")
        if not isinstance(placed, list):
            raise MarksError(f"The spots of {region} are a list: got {type(placed).__name__}.")
        if placed:
            spots[region] = tuple(_spot(_fields(one, f"a spot of {region}", {"x", "y", "radius"})) for one in placed)
    return Marks(_reference(whole["reference"]), spots)


def marks_to_json(marks: Marks) -> str:
    """The text that `marks_from_json` reads back to the same marks."""
    reference: dict[str, object] | None = None
    if isinstance(marks.reference, CardMark):
        reference = {"kind": "card", **_told(marks.reference.spot)}
    elif isinstance(marks.reference, ChartMark):
        reference = {"kind": "chart", "corners": [list(corner) for corner in marks.reference.corners]}
    spots = {region: [_told(spot) for spot in placed] for region, placed in marks.spots.items() if placed}
    return json.dumps({"reference": reference, "spots": spots}, allow_nan=False)


def _told(spot: Spot) -> dict[str, float]:
    return {"x": spot.x, "y": spot.y, "radius": spot.radius}


def _reference(told: object) -> CardMark | ChartMark | None:
    if told is None:
        return None
    kind = _mapping(told, "the reference").get("kind")
    if kind == "card":
        return CardMark(_spot(_fields(told, "the card", {"kind", "x", "y", "radius"})))
    if kind == "chart":
        corners = _fields(told, "the chart", {"kind", "corners"})["corners"]
        if not isinstance(corners, list):
            raise MarksError("The corners of the chart are a list of four.")
        return ChartMark(tuple(_corner(pair) for pair in corners))
    raise MarksError(f"A photo's reference is a card or a chart: got {kind!r}.")


def _corner(told: object) -> tuple[float, float]:
    if not (isinstance(told, list) and len(told) == 2):
        raise MarksError("A corner of the chart is a pair of numbers, x and y.")
    return _number(told[0], "x"), _number(told[1], "y")


def _spot(told: Mapping[str, object]) -> Spot:
    return Spot(*(_number(told[name], name) for name in ("x", "y", "radius")))


def _mapping(told: object, name: str) -> dict[str, object]:
    if not isinstance(told, dict):
        raise MarksError(f"{name.capitalize()} must be an object with names: got {type(told).__name__}.")
    return told


def _fields(told: object, name: str, fields: set[str]) -> dict[str, object]:
    found = _mapping(told, name)
    if set(found) != fields:
        raise MarksError(
            f"{name.capitalize()} must have {', '.join(sorted(fields))}: got {', '.join(sorted(found)) or 'nothing'}."
        )
    return found


def _number(told: object, name: str) -> float:
    if isinstance(told, bool) or not isinstance(told, int | float):
        raise MarksError(f"{name} must be a number: got {type(told).__name__}.")
    try:
        return float(told)
    except OverflowError as error:  # an integer of hundreds of digits
        raise MarksError(f"{name} is far outside the photo.") from error


def _on_the_photo(x: float, y: float) -> None:
    for name, share in (("x", x), ("y", y)):
        if not (math.isfinite(share) and 0.0 <= share <= 1.0):
            raise MarksError(f"{name} is a share of the photo, 0 to 1: got {share!r}. Place the mark on the photo.")


def _refuse_constant(name: str) -> NoReturn:
    raise MarksError(f"A mark's place must be a finite number: got {name}.")
