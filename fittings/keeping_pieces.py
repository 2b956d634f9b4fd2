"""How a piece is kept with the candidate it became, so that an old paper names, measures and draws it as it was.

A maker renames, a base is measured again, a shade is read anew: the catalogue moves on, a visit does not. Rows are kept
as Django serialises them, so that a column added later reads its default and one taken away is passed over. The colours
that were compared with her hair, from a photo or carried over, are kept with the comparison (`Candidate.colour`).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, TypeVar, cast

from django.core import serializers
from django.db import models

from pieces.bases.construction import BaseShape
from pieces.models import Base, BaseClip, BaseTapeArea, Maker, Piece, Shade, Variant

Row = TypeVar("Row", bound=models.Model)


@dataclass(frozen=True)
class KeptPiece:
    """A variant with its piece, base and shade on the day it was chosen; none of the rows is meant to be saved."""

    variant: Variant
    piece: Piece
    base: Base
    shade: Shade
    shape: BaseShape

    @property
    def name(self) -> str:
        return f"{self.piece}, {self.shade}"


def kept_piece(variant: Variant) -> list[dict[str, Any]]:
    """Plain data for a JSON column; fetch the variant with `with_all_that_is_read`, or each row costs a query."""
    base, shade = variant.piece.base, variant.shade
    rows: list[models.Model] = [variant, variant.piece, base, base.maker, shade, *base.clips.all()]
    return cast("list[dict[str, Any]]", serializers.serialize("python", [*rows, *base.tape_areas.all()]))


def piece_as_kept(kept: list[dict[str, Any]]) -> KeptPiece:
    """The piece as it was kept, without asking the database."""
    rows = [row.object for row in serializers.deserialize("python", kept, ignorenonexistent=True)]
    variant, piece, base, shade = _only(rows, Variant), _only(rows, Piece), _only(rows, Base), _only(rows, Shade)
    base.maker, piece.base = _only(rows, Maker), base
    variant.piece, variant.shade = piece, shade
    clips = [row for row in rows if isinstance(row, BaseClip)]
    tape_areas = [row for row in rows if isinstance(row, BaseTapeArea)]
    return KeptPiece(variant, piece, base, shade, base.shape_with(clips, tape_areas))


def _only(rows: list[models.Model], kind: type[Row]) -> Row:
    return next(row for row in rows if isinstance(row, kind))
