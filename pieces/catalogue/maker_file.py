"""Takes a maker's own file in: whole or not at all, and remembers what its columns mean."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from datetime import datetime

from django.db import transaction
from django.utils.timezone import localdate

from pieces.catalogue.cells import known_shade
from pieces.catalogue.columns_kept import keep_columns
from pieces.catalogue.importing import take_in
from pieces.catalogue.kinds import Kind
from pieces.catalogue.known import names_of_variant
from pieces.catalogue.maker_sheets import MakerSheet, Meaning, read_maker_sheet
from pieces.catalogue.report import BadLine, CatalogueReport
from pieces.models import Maker, Piece, Shade, Variant
from salon.models import User

KINDS_OF_MAKERS = ("bases", "shades", "pieces", "variants")  # units have numbers of the salon's, no maker lists them
_NAMED = 5


def as_makers_write(kind: Kind, maker: str) -> Kind:
    """The kind as a maker's file may tell it: shades by their names too, and variants that leave the base out."""
    if kind.name != "variants":
        return kind
    shades = list(Shade.objects.filter(maker__name=maker).values_list("code", "name"))
    changed = {
        "base": replace(
            kind.by_name["base"], required=False, meaning="The base it is made on. Left out: found by the piece’s name."
        ),
        **({"shade": replace(kind.by_name["shade"], cell=known_shade(shades))} if shades else {}),
    }
    return replace(kind, columns=tuple(changed.get(column.name, column) for column in kind.columns))


@transaction.atomic
def take_in_maker_file(
    *, maker: str, kind: Kind, content: bytes, meaning: Meaning, dry_run: bool, by: User, at: datetime
) -> tuple[CatalogueReport, MakerSheet]:
    """Read one file of a maker by what its columns mean; a dry run, or one bad line, stores nothing.

    What the columns mean is remembered with what is stored. A maker not known yet is added with the
    first file of bases or shades.
    """
    kind = as_makers_write(kind, maker)
    bases = _bases_of_pieces(maker) if kind.name == "variants" else None
    sheet = read_maker_sheet(kind, content, maker=maker, meaning=meaning, bases=bases)
    not_in_it = _not_in_it(sheet, maker)
    report = take_in([sheet], dry_run=dry_run, by=by)
    report.bad_lines = [_as_the_maker_calls_it(bad, meaning) for bad in report.bad_lines]
    if report.is_clean:
        report.remarks += not_in_it
    if report.stored:
        keep_columns(maker=Maker.objects.get(name=maker), kind=kind, meaning=meaning, by=by, at=at)
    return report, sheet


def _bases_of_pieces(maker: str) -> dict[str, str]:
    """The base of each piece of the maker whose name stands on one base alone."""
    named = Piece.objects.filter(base__maker__name=maker).values_list("name", "base__name")
    often = Counter(name for name, _ in named)
    return {name: base for name, base in named if often[name] == 1}


def _as_the_maker_calls_it(bad: BadLine, meaning: Meaning) -> BadLine:
    """The same with the maker's own name of the column."""
    return replace(bad, column=meaning.columns.get(bad.column, bad.column))


def _not_in_it(sheet: MakerSheet, maker: str) -> list[str]:
    """Says which variants of the maker that can still be had a list of variants leaves out."""
    if sheet.kind.name != "variants":
        return []
    listed = {sheet.kind.key_of(line.values) for line in sheet.lines}
    offered = Variant.objects.offered(localdate()).filter(piece__base__maker__name=maker)
    missing = [
        variant
        for variant in offered.select_related("piece__base__maker", "shade")
        if names_of_variant(variant) not in listed
    ]
    if not missing:
        return []
    named = "; ".join(f"{one.piece.name}, {one.shade.code}, {one.length_mm} mm" for one in missing[:_NAMED])
    more = f" and {len(missing) - _NAMED:,} more" if len(missing) > _NAMED else ""
    return [f"Not in this file, and left as they are: {named}{more}."]
