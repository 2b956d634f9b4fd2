"""How each kind of record reads as a line of a file, and how a line is put on a record."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Mapping
from typing import Any, ClassVar, Final, Generic

from pieces.bases.construction import Clip, TapeArea
from pieces.catalogue.agreement import LAB_COLUMNS
from pieces.catalogue.cells import Amount
from pieces.catalogue.kinds import Key
from pieces.catalogue.known import Known, M, names_of_variant
from pieces.models import Base, Piece, Shade, Unit, Variant

Values = Mapping[str, Any]
NAMES_OF_VARIANT: Final = ("maker", "base", "piece", "shade", "length_mm")


class Records(ABC, Generic[M]):
    """`columns` stand in fields of the same name; `others` names the fields behind the remaining ones."""

    columns: ClassVar[tuple[str, ...]]
    others: ClassVar[dict[str, tuple[str, ...]]] = {}

    def __init__(self, known: Known) -> None:
        self.known = known

    @property
    @abstractmethod
    def stored(self) -> dict[Key, M]:
        """What is there by its key; what is planned is added to it."""

    @abstractmethod
    def refer(self, record: M, values: Values) -> None:
        """Put on the record what its line refers to; raises Refused."""

    @classmethod
    @abstractmethod
    def current(cls, record: M) -> dict[str, Any]:
        """The record as its line would read now."""

    def write(self, record: M, values: Values) -> None:
        """Put the line on the record; raises Refused where it refers to what is not there."""
        self.refer(record, values)
        for column in self.columns:
            setattr(record, column, values[column])

    @classmethod
    def fields_of(cls, columns: set[str]) -> list[str]:
        """The fields that have to be stored when these columns changed."""
        return sorted({field for column in columns for field in cls.others.get(column, (column,))})

    @classmethod
    def _plain(cls, record: M) -> dict[str, Any]:
        return {column: getattr(record, column) for column in cls.columns}


class BaseRecords(Records[Base]):
    columns = (
        "name", "outline", "length_mm", "width_mm", "construction", "front_edge", "two_way", "stretches", "weight_g",
        "nickel_free",
    )  # fmt: skip  # a list of names reads better in lines
    others: ClassVar[dict[str, tuple[str, ...]]] = {"clips": (), "tape_areas": ()}

    @property
    def stored(self) -> dict[Key, Base]:
        return self.known.bases

    def refer(self, record: Base, values: Values) -> None:
        record.maker = self.known.maker_or_new(values["maker"])

    @classmethod
    def current(cls, record: Base) -> dict[str, Any]:
        clips = tuple(Clip(clip.u_mm, clip.v_mm, clip.length_mm) for clip in record.clips.all())
        areas = tuple(TapeArea(area.from_mm, area.to_mm) for area in record.tape_areas.all())
        return {**cls._plain(record), "maker": record.maker.name, "clips": clips, "tape_areas": areas}


class ShadeRecords(Records[Shade]):
    columns = ("code", "name", "method", *LAB_COLUMNS)

    @property
    def stored(self) -> dict[Key, Shade]:
        return self.known.shades

    def refer(self, record: Shade, values: Values) -> None:
        record.maker = self.known.maker_or_new(values["maker"])

    @classmethod
    def current(cls, record: Shade) -> dict[str, Any]:
        return {**cls._plain(record), "maker": record.maker.name}


class PieceRecords(Records[Piece]):
    columns = ("name", "fibre", "texture", "density", "synthetic_part", "rated_c", "curl_set_c", "colourable")

    @property
    def stored(self) -> dict[Key, Piece]:
        return self.known.pieces

    def refer(self, record: Piece, values: Values) -> None:
        record.base = self.known.base(values)

    @classmethod
    def current(cls, record: Piece) -> dict[str, Any]:
        return {**cls._plain(record), "maker": record.base.maker.name, "base": record.base.name}


class VariantRecords(Records[Variant]):
    columns = ("length_mm", "discontinued_on")
    others: ClassVar[dict[str, tuple[str, ...]]] = {"price": ("price_minor", "currency"), "cost": ("cost_minor",)}

    @property
    def stored(self) -> dict[Key, Variant]:
        return self.known.variants

    def refer(self, record: Variant, values: Values) -> None:
        record.piece, record.shade = self.known.piece(values), self.known.shade(values)

    def write(self, record: Variant, values: Values) -> None:
        super().write(record, values)
        record.price_minor, record.currency = values["price"]
        record.cost_minor = values["cost"] and values["cost"].minor

    @classmethod
    def current(cls, record: Variant) -> dict[str, Any]:
        cost = None if record.cost_minor is None else Amount(record.cost_minor, record.currency)
        return {
            **cls._plain(record),
            **dict(zip(NAMES_OF_VARIANT, names_of_variant(record), strict=True)),
            "price": Amount(record.price_minor, record.currency),
            "cost": cost,
        }


class UnitRecords(Records[Unit]):
    columns = ("received_on", "purpose", "condition", "lightened_before")
    others: ClassVar[dict[str, tuple[str, ...]]] = dict.fromkeys(NAMES_OF_VARIANT, ("variant",))

    @property
    def stored(self) -> dict[Key, Unit]:
        return self.known.units

    def refer(self, record: Unit, values: Values) -> None:
        record.variant = self.known.variant(values)
        if record._state.adding:
            record.cost_minor = record.variant.cost_minor  # what it cost the salon, as far as anybody knows
        if values["number"]:
            record.number = values["number"]

    @classmethod
    def current(cls, record: Unit) -> dict[str, Any]:
        names = zip(NAMES_OF_VARIANT, names_of_variant(record.variant), strict=True)
        return {**cls._plain(record), "number": record.number, **dict(names)}


RECORDS: Final[dict[str, type[Records[Any]]]] = {
    "bases": BaseRecords,
    "shades": ShadeRecords,
    "pieces": PieceRecords,
    "variants": VariantRecords,
    "units": UnitRecords,
}
