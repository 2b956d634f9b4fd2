"""What the columns of a maker's files mean: remembered from the last time, or guessed by what lists commonly say."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Final

from django.db import transaction

from pieces.catalogue.kinds import Column, Kind
from pieces.catalogue.maker_sheets import MakersColumn, Meaning
from pieces.catalogue.sheets import plain_name
from pieces.models import Maker, MakerColumns
from salon.models import User

# how price lists and stock lists of any goods commonly head such columns (common practice)
ALSO_CALLED: Final[Mapping[str, tuple[str, ...]]] = {
    "name": ("model", "style", "item", "description"),
    "base": ("base_name", "foundation"),
    "piece": ("piece_name", "style", "model", "item"),
    "shade": ("shade_code", "colour", "color", "colour_code", "color_code"),
    "code": ("shade", "shade_code", "colour_code", "color_code"),
    "length_mm": ("length", "hair_length", "base_length"),
    "width_mm": ("width", "base_width"),
    "price": ("retail", "retail_price", "list_price", "recommended_price"),
    "cost": ("cost_price", "trade_price", "wholesale", "net_price"),
    "weight_g": ("weight",),
    "rated_c": ("heat_limit", "highest_temperature"),
    "colourable": ("colorable",),
    "fibre": ("fiber", "hair"),
}
_UNIT_WORDS: Final = {
    "mm": "mm", "cm": "cm", "in": "in", "inch": "in", "inches": "in", "c": "°C", "°c": "°C", "f": "°F", "°f": "°F",
}  # fmt: skip  # one line


def columns_of(maker: Maker, kind: Kind) -> Meaning | None:
    """What was remembered of this maker's files of this kind."""
    kept = MakerColumns.objects.filter(maker=maker, kind=kind.name).first()
    return Meaning(kept.columns, kept.fixed, kept.units, kept.words) if kept else None


@transaction.atomic
def keep_columns(*, maker: Maker, kind: Kind, meaning: Meaning, by: User, at: datetime) -> MakerColumns:
    """Remember what this maker's files of this kind mean, in the place of what was remembered before."""
    maker = Maker.objects.select_for_update().get(pk=maker.pk)  # two who take in the first file wait here
    kept = MakerColumns.objects.filter(maker=maker, kind=kind.name).first()
    kept = kept or MakerColumns(maker=maker, kind=kind.name)
    kept.columns, kept.fixed = dict(meaning.columns), dict(meaning.fixed)
    kept.units = dict(meaning.units)
    kept.words = {column: dict(words) for column, words in meaning.words.items()}
    kept.kept_by, kept.kept_at = by, at
    kept.full_clean(exclude=["columns"])  # a file may have none when all is the same in every line
    kept.save()
    return kept


def those_there(meaning: Meaning, columns: Sequence[MakersColumn]) -> tuple[Meaning, list[str]]:
    """The same without the maker's columns that this file lacks, and which these are."""
    there = {column.name for column in columns}
    gone = sorted({name for name in meaning.columns.values() if name not in there})
    kept = {column: name for column, name in meaning.columns.items() if name in there}
    return Meaning(kept, meaning.fixed, meaning.units, meaning.words), gone


def guessed(kind: Kind, columns: Sequence[MakersColumn]) -> Meaning:
    """What the columns are called like, to be looked over: nothing is guessed from what stands in them."""
    plain = {_without_unit(column.name)[0]: column.name for column in reversed(columns)}
    found: dict[str, str] = {}
    units: dict[str, str] = {}
    for column in kind.columns:
        names = (column.name, column.name.removesuffix("_mm"), *ALSO_CALLED.get(column.name, ()))
        name = next((plain[name] for name in names if name in plain), None)
        if name is not None and column.name != "maker" and name not in found.values():
            found[column.name] = name
            units |= _unit_in(column, name)
    return Meaning(found, units=units)


def _unit_in(column: Column, name: str) -> dict[str, str]:
    unit = _without_unit(name)[1]
    return {column.name: unit} if unit in column.cell.units else {}


def _without_unit(name: str) -> tuple[str, str]:
    """“Length (in)” is length, in inches."""
    words = plain_name(name.replace("(", " ").replace(")", " ").replace("/", " ")).split("_")
    unit = _UNIT_WORDS.get(words[-1], "") if len(words) > 1 else ""
    return "_".join(words[:-1] if unit else words), unit
