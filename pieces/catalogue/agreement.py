"""Do the cells of one line agree with each other? Each check yields (column, what is wrong and what would be right).

What the database would refuse is said here first, in a sentence and by its line; values are as `kinds` reads them, a
column left out of the file standing for what is stored already.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import pairwise
from typing import Any

from pieces.bases.construction import Clip, TapeArea
from pieces.bases.outline import BaseOutline
from pieces.catalogue.cells import Amount
from pieces.models import Piece

Values = Mapping[str, Any]
Refusals = Iterator[tuple[str, str]]

LAB_COLUMNS = tuple(f"{zone}_{axis}" for zone in ("root", "mid", "ends") for axis in ("l", "a", "b"))


def base(values: Values) -> Refusals:
    """Clips lie on the base, one at a place; tape strips lie on it too and don't overlap."""
    outline = BaseOutline.named(
        values["outline"], length_mm=float(values["length_mm"]), width_mm=float(values["width_mm"])
    )
    clips: tuple[Clip, ...] = values["clips"]
    places = [(clip.u_mm, clip.v_mm) for clip in clips]
    for clip in clips:
        half = float(outline.half_width_mm(clip.u_mm))
        beyond = clip.u_mm > outline.length_mm
        if beyond or abs(clip.v_mm) > half:
            reach = (
                "the base is shorter than that" if beyond else f"there the base reaches {half:.0f} mm to either side"
            )
            yield "clips", f"The clip {clip.u_mm} mm behind the front edge lies off the base: {reach}."
    if len(set(places)) < len(places):
        yield "clips", "Two clips lie at one place. Write each clip once."
    areas: tuple[TapeArea, ...] = values["tape_areas"]
    for area in areas:
        strip = f"The strip {area.from_mm} to {area.to_mm}"
        if area.to_mm <= area.from_mm:
            yield "tape_areas", f"{strip} has no depth. Write where it begins, then where it ends."
        elif area.to_mm > values["length_mm"]:
            yield "tape_areas", f"{strip} ends behind the base, which is {values['length_mm']} mm long."
    for one, next_one in pairwise(areas):
        if next_one.from_mm < one.to_mm:
            yield "tape_areas", f"The strips at {one.from_mm} and {next_one.from_mm} mm overlap. Write them as one."


def shade(values: Values) -> Refusals:
    """A shade is measured whole or not at all."""
    missing = [column for column in LAB_COLUMNS if values[column] is None]
    if values["method"] and missing:
        yield missing[0], "A measured shade has all nine numbers. Fill this one in, or leave method and all nine empty."
    elif not values["method"] and len(missing) < len(LAB_COLUMNS):
        yield "method", "There are colour values, but not how they were measured. Write instrument here."


def piece(values: Values) -> Refusals:
    """Only what takes heat has a rated temperature; a blend names its synthetic part; only human hair is colourable."""
    fibre, part = values["fibre"], values["synthetic_part"]
    if fibre == Piece.Fibre.BLEND and not part:
        yield "synthetic_part", "A blend names its synthetic part. Write heat_friendly or standard."
    if fibre != Piece.Fibre.BLEND and part:
        yield "synthetic_part", "Only a blend has a synthetic part. Leave this empty, or write blend as the fibre."
    if values["rated_c"] is not None and Piece.Fibre.HEAT_FRIENDLY not in (fibre, part):
        yield "rated_c", "Only a heat-friendly fibre has a rated temperature. Leave this empty, or mend the fibre."
    if values["colourable"] and fibre not in (Piece.Fibre.HUMAN, Piece.Fibre.BLEND):
        yield "colourable", "Only human hair is marked colourable or not. Leave this empty, or mend the fibre."


def variant(values: Values) -> Refusals:
    """Price and cost are in one currency."""
    price: Amount = values["price"]
    cost: Amount | None = values["cost"]
    if cost is not None and cost.currency != price.currency:
        yield (
            "cost",
            f"The stored cost is in {cost.currency}, the price in {price.currency}. Give the cost in this file too.",
        )


def unit(values: Values) -> Refusals:
    """Nothing in a unit's line depends on anything else in it."""
    yield from ()
