"""What records a catalogue has and what stands in each column: the one table behind reading, refusals and their page.

A kind names the columns that together say which record is meant (its key); reading a file again changes the records
whose key it repeats. A column with no required mark may be left out of the file, which leaves what is stored as it is,
and a cell may be left empty, which stores its `empty` value.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from django.db import models

from pieces.catalogue import agreement, cells
from pieces.catalogue.agreement import LAB_COLUMNS, Refusals
from pieces.catalogue.cells import Cell
from pieces.models import Base, Piece, Shade, Unit, Variant

Key = tuple[Any, ...]
_TITLES = {"rated_c": "Takes tools up to", "curl_set_c": "Curl set at", "method": "Measured by"}


@dataclass(frozen=True, slots=True)
class Column:
    name: str
    meaning: str
    cell: Cell
    example: str
    required: bool = False
    empty: Any = ""

    @property
    def title(self) -> str:
        """The column in words, without its unit."""
        if self.name in LAB_COLUMNS:
            return self.meaning.rstrip(".")
        return _TITLES.get(self.name) or self.name.removesuffix("_mm").removesuffix("_g").replace("_", " ").capitalize()

    def show(self, value: Any) -> str:
        """The value in words, for a report."""
        return "nothing" if value is None or value in ("", ()) else self.cell.show(value)

    def write(self, value: Any) -> str:
        """The value as a file holds it, to be read back as the same."""
        return "" if value is None or value in ("", ()) else self.cell.write(value)


@dataclass(frozen=True, slots=True)
class Kind:
    name: str
    title: str
    one: str
    model: type[models.Model]
    about: str
    key: tuple[str, ...]
    columns: tuple[Column, ...]
    disagreements: Callable[[Mapping[str, Any]], Refusals]

    @property
    def file(self) -> str:
        return f"{self.name}.csv"

    @property
    def required(self) -> tuple[str, ...]:
        """Columns without which the file can't be read."""
        return tuple(column.name for column in self.columns if column.required)

    @property
    def by_name(self) -> dict[str, Column]:
        return {column.name: column for column in self.columns}

    def key_of(self, values: Mapping[str, Any]) -> Key:
        return tuple(values[name] for name in self.key)

    def name_of(self, values: Mapping[str, Any]) -> str:
        """The record in words: what its key says."""
        return ", ".join(self.by_name[name].show(values[name]) for name in self.key)

    def defaults(self) -> dict[str, Any]:
        return {column.name: column.empty for column in self.columns}


def kinds(currency: str) -> dict[str, Kind]:
    """The five kinds by name, in the order in which they are read; amounts of money are in `currency`."""
    return {kind.name: kind for kind in (_bases(), _shades(), _pieces(), _variants(currency), _units())}


def _name(name: str, meaning: str, example: str, longest: int = 80) -> Column:
    return Column(name, meaning, cells.text(longest), example, required=True)


def _bases() -> Kind:
    return Kind(
        "bases",
        "Bases",
        "base",
        Base,
        "What a piece is built on. A maker not known yet is added with its first base or shade.",
        ("maker", "name"),
        (
            _name("maker", "Who makes it.", "Marrowick Atelier"),
            _name("name", "The maker's name for the base.", "Wicket 3"),
            Column("outline", "Its shape seen from above.", cells.choice(Base.Outline), "oval", True),
            Column("length_mm", "Front to back along the midline.", cells.length(20, 450), "152", True),
            Column("width_mm", "Side to side where it is widest.", cells.length(20, 450), "140", True),
            Column("construction", "What it is made of.", cells.choice(Base.Construction), "mono", True),
            Column(
                "front_edge",
                "What its front edge is made of. Empty: plain.",
                cells.choice(Base.FrontEdge),
                "lace",
                empty="plain",
            ),
            Column("two_way", "Whether it can be worn either way round. Empty: no.", cells.yes_no(), "no", empty=False),
            Column("stretches", "Whether it stretches over the head. Empty: no.", cells.yes_no(), "no", empty=False),
            Column("weight_g", "Weight with its hair.", cells.whole(1, 2000, "grams"), "64", empty=None),
            Column(
                "nickel_free",
                "Whether the maker says that its clips are free of nickel. Empty: the maker does not say.",
                cells.choice(Base.NickelFree),
                "yes",
            ),
            Column(
                "clips", "Where its clips sit. Empty: it has none.", cells.clips(), "8 middle | 60 left 52", empty=()
            ),
            Column(
                "tape_areas", "Strips across it that take tape. Empty: none.", cells.tape_areas(), "0 to 15", empty=()
            ),
        ),
        agreement.base,
    )


def _shades() -> Kind:
    zones = {"root": "at the root", "mid": "at mid-length", "ends": "at the ends"}
    axes = {"l": ("L*", 0, 100, "31.5"), "a": ("a*", -128, 127, "5.2"), "b": ("b*", -128, 127, "9.8")}
    return Kind(
        "shades",
        "Shades",
        "shade",
        Shade,
        "The colours a maker offers, under the salon's own codes, as an instrument measured them (D65, 2° observer).",
        ("maker", "code"),
        (
            _name("maker", "Who makes it.", "Marrowick Atelier"),
            _name("code", "The salon's own code for the shade.", "walnut-husk", 24),
            _name("name", "The shade in words.", "Deep warm brown"),
            Column(
                "method",
                "How it was measured. Empty: by no instrument; until photos read it, it is listed and never ranked.",
                cells.choice(Shade.Method),
                "instrument",
            ),
            *(
                Column(
                    column,
                    f"{axes[axis][0]} {zones[zone]}.",
                    cells.number(axes[axis][1], axes[axis][2]),
                    axes[axis][3],
                    empty=None,
                )
                for column in LAB_COLUMNS
                for zone, axis in [column.split("_")]
            ),
        ),
        agreement.shade,
    )


def _pieces() -> Kind:
    return Kind(
        "pieces",
        "Pieces",
        "piece",
        Piece,
        "A style on a base in a fibre, as its maker sells it. Its base has to be known or to come in the same upload.",
        ("maker", "base", "name"),
        (
            _name("maker", "Who makes it.", "Marrowick Atelier"),
            _name("base", "The base it is made on.", "Wicket 3"),
            _name("name", "The maker's name for the piece.", "Heron Weir"),
            Column("fibre", "What its hair is.", cells.choice(Piece.Fibre), "heat_friendly", True),
            Column("texture", "How its hair falls.", cells.choice(Piece.Texture), "wavy", True),
            Column(
                "density", "How much hair it has. Empty: medium.", cells.choice(Piece.Density), "medium", empty="medium"
            ),
            Column("synthetic_part", "Of a blend only: what is not human hair.", cells.choice(Piece.SyntheticPart), ""),
            Column(
                "rated_c",
                "Of heat-friendly fibre only: the highest tool temperature that the maker gives. Empty: none given.",
                cells.temperature(60, 230),
                "160",
                empty=None,
            ),
            Column(
                "curl_set_c",
                "The temperature at which its curl was set, if the maker gives it.",
                cells.temperature(60, 230),
                "110",
                empty=None,
            ),
            Column(
                "colourable",
                "With human hair only: whether the maker says that it takes colour. Empty: not stated.",
                cells.choice(Piece.Colourable),
                "",
            ),
        ),
        agreement.piece,
    )


def _variants(currency: str) -> Kind:
    return Kind(
        "variants",
        "Variants",
        "variant",
        Variant,
        "A piece in one shade and one length, with its price. Both have to be known or to come in the same upload.",
        ("maker", "base", "piece", "shade", "length_mm"),
        (
            *_names_of_a_piece(),
            Column("price", "What a client pays.", cells.money(currency), "1249.00", True),
            Column("cost", "What it costs the salon. Empty: not known.", cells.money(currency), "560.00", empty=None),
            Column(
                "discontinued_on", "Since when it can't be had any more. Empty: it can.", cells.day(), "", empty=None
            ),
        ),
        agreement.variant,
    )


def _units() -> Kind:
    return Kind(
        "units",
        "Units",
        "unit",
        Unit,
        "One physical piece in a drawer. A new unit lies in the drawer; where a known one is now stays as it is.",
        ("number",),
        (
            Column(
                "number",
                "Its own number. Empty: a new unit that is given one; reading the same line again adds another.",
                cells.unit_number(),
                "U-7K2M9QAM",
            ),
            *_names_of_a_piece(),
            Column("received_on", "When it came in.", cells.day(), "2026-03-14", True),
            Column(
                "purpose", "For trying on or for sale. Empty: sale.", cells.choice(Unit.Purpose), "try-on", empty="sale"
            ),
            Column("condition", "What is to be said of its condition.", cells.text(120), "Band re-sewn"),
            Column(
                "lightened_before",
                "Whether its hair was lightened before. Empty: not known.",
                cells.yes_no(),
                "no",
                empty=None,
            ),
        ),
        agreement.unit,
    )


def _names_of_a_piece() -> tuple[Column, ...]:
    """The five columns that together name a variant."""
    return (
        _name("maker", "Who makes it.", "Marrowick Atelier"),
        _name("base", "The base it is made on.", "Wicket 3"),
        _name("piece", "The maker's name for the piece.", "Heron Weir"),
        _name("shade", "The salon's own code for the shade.", "walnut-husk", 24),
        Column("length_mm", "Length of its hair.", cells.length(20, 1200), "350", True),
    )
