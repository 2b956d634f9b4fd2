"""What the catalogue holds already, by the names that files use; what is planned joins it, so that later lines find it.

Each table is read once, when a file first needs it, whatever the number of lines.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property
from typing import Any, TypeVar

from django.db.models import Model, QuerySet

from pieces.catalogue.cells import nearest
from pieces.catalogue.kinds import Key
from pieces.models import Base, Maker, Piece, Shade, Unit, Variant

M = TypeVar("M", bound=Model)


class Refused(Exception):  # noqa: N818  # a refusal, raised and caught within a line, not an error of the program
    """A line names something that can't be meant: in which column, and what would be right."""

    def __init__(self, column: str, sentence: str) -> None:
        super().__init__(sentence)
        self.column = column
        self.sentence = sentence


class Known:
    def __init__(self) -> None:
        self.new_makers: list[Maker] = []
        self.remarks: list[str] = []
        self.broken: dict[tuple[str, Key], int] = {}

    @cached_property
    def makers(self) -> dict[Key, Maker]:
        return {(maker.name,): maker for maker in Maker.objects.all()}

    @cached_property
    def bases(self) -> dict[Key, Base]:
        return {(base.maker.name, base.name): base for base in named_bases()}

    @cached_property
    def shades(self) -> dict[Key, Shade]:
        return {(shade.maker.name, shade.code): shade for shade in named_shades()}

    @cached_property
    def pieces(self) -> dict[Key, Piece]:
        return {(piece.base.maker.name, piece.base.name, piece.name): piece for piece in named_pieces()}

    @cached_property
    def variants(self) -> dict[Key, Variant]:
        return {names_of_variant(variant): variant for variant in named_variants()}

    @cached_property
    def units(self) -> dict[Key, Unit]:
        return {(unit.number,): unit for unit in named_units()}

    def maker_or_new(self, name: str) -> Maker:
        """The maker of that name, added when there is none; says so when the name looks like a slip for another."""
        found = self.makers.get((name,))
        if found is None:
            near = nearest(name, [known for (known,) in self.makers])
            doubt = f" Did you mean “{near}”? Then mend the name." if near else ""
            self.remarks.append(f"“{name}” is a maker not known yet and is added.{doubt}")
            found = self.makers[(name,)] = Maker(name=name)
            self.new_makers.append(found)
        return found

    def maker(self, values: Mapping[str, Any]) -> Maker:
        return self._find(self.makers, (values["maker"],), "makers", "maker", "No maker is called")

    def base(self, values: Mapping[str, Any]) -> Base:
        maker = self.maker(values)
        key = (maker.name, values["base"])
        return self._find(self.bases, key, "bases", "base", f"No base of {maker} is called")

    def shade(self, values: Mapping[str, Any]) -> Shade:
        maker = self.maker(values)
        key = (maker.name, values["shade"])
        return self._find(self.shades, key, "shades", "shade", f"No shade of {maker} has the code")

    def piece(self, values: Mapping[str, Any]) -> Piece:
        base = self.base(values)
        key = (base.maker.name, base.name, values["piece"])
        return self._find(self.pieces, key, "pieces", "piece", f"No piece on the base {base.name} is called")

    def variant(self, values: Mapping[str, Any]) -> Variant:
        piece, shade, length_mm = self.piece(values), self.shade(values), values["length_mm"]
        key = (values["maker"], values["base"], values["piece"], values["shade"], length_mm)
        found = self.variants.get(key)
        if found is None:
            self._refuse_if_broken("variants", key, "length_mm")
            lengths = sorted(other[-1] for other in self.variants if other[:-1] == key[:-1])
            right = (
                f"Listed: {', '.join(f'{known} mm' for known in lengths)}." if lengths else "Add it to variants.csv."
            )
            raise Refused("length_mm", f"{piece.name} in {shade.code} is not listed at {length_mm} mm. {right}")
        return found

    def _find(self, stored: dict[Key, M], key: Key, kind: str, column: str, none: str) -> M:
        found = stored.get(key)
        if found is None:
            self._refuse_if_broken(kind, key, column)
            near = nearest(key[-1], [other[-1] for other in stored if other[:-1] == key[:-1]])
            right = f"Did you mean “{near}”?" if near else f"Mend the name, or add it{_where_to_add(kind)} first."
            raise Refused(column, f"{none} “{key[-1]}”. {right}")
        return found

    def _refuse_if_broken(self, kind: str, key: Key, column: str) -> None:
        line = self.broken.get((kind, key))
        if line:
            raise Refused(column, f"“{key[-1]}” stands in line {line} of {kind}.csv, which has to be mended first.")


def named_bases() -> QuerySet[Base]:
    """All bases with what a line of a file says of them; so do the next four, in a fixed number of queries."""
    return Base.objects.select_related("maker").with_shape().order_by("maker__name", "name")


def named_shades() -> QuerySet[Shade]:
    return Shade.objects.select_related("maker").order_by("maker__name", "code")


def named_pieces() -> QuerySet[Piece]:
    return Piece.objects.select_related("base__maker").order_by("base__maker__name", "base__name", "name")


def named_variants() -> QuerySet[Variant]:
    variants = Variant.objects.select_related("piece__base__maker", "shade")
    return variants.order_by("piece__base__maker__name", "piece__base__name", "piece__name", "shade__code", "length_mm")


def named_units() -> QuerySet[Unit]:
    return Unit.objects.select_related("variant__piece__base__maker", "variant__shade").order_by("number")


def names_of_variant(variant: Variant) -> Key:
    """The five names that mean this variant; costs no query when piece, base, maker and shade were fetched with it."""
    base = variant.piece.base
    return (base.maker.name, base.name, variant.piece.name, variant.shade.code, variant.length_mm)


def _where_to_add(kind: str) -> str:
    return " with a base or a shade" if kind == "makers" else f" to the {kind}"
