"""Takes drawings of the demo's pieces and bases into the catalogue, by the same deed as the page of a piece."""

from __future__ import annotations

import io
import uuid
from collections.abc import Mapping
from datetime import datetime
from zlib import crc32

from pieces.keeping_pictures import take_piece_picture
from pieces.models import Base, Piece, Shade, Variant
from salon.demo.drawn_bases import base_drawing
from salon.demo.drawn_pieces import hair_drawing
from salon.models import User


def picture_pieces(*, by: User, at: datetime) -> None:
    """A drawing of every piece with a measured shade, and of each base with the first piece that is made on it; the
    same catalogue gives the same drawings."""
    bases = {base.pk: base for base in Base.objects.with_shape()}
    for piece in Piece.objects.prefetch_related("variants__shade"):
        variants = [variant for variant in piece.variants.all() if variant.shade.is_measured]
        if variants:
            hair, shown = _drawn_hair(piece, variants)
            _take(piece, hair, f"Drawing of {piece.name} in {shown.name.lower()}, on a stand, seen from behind", by, at)
        base = bases.pop(piece.base_id, None)
        if base is not None:
            _take(piece, _drawn_base(base), f"Drawing of the base {base.name} from below, front up", by, at)


def _drawn_hair(piece: Piece, variants: list[Variant]) -> tuple[bytes, Shade]:
    """Its longest, in one of its shades, drawn by lot, with the others beside it; and which."""
    shades: Mapping[str, Shade] = {variant.shade.code: variant.shade for variant in variants}
    codes, seed = sorted(shades), _seed(piece.name)
    first = seed % len(codes)
    in_order = [shades[code] for code in codes[first:] + codes[:first]]
    drawn = hair_drawing(
        [shade.lab() for shade in in_order],
        length_mm=max(variant.length_mm for variant in variants),
        texture=piece.texture,
        density=piece.density,
        seed=seed,
    )
    return drawn, in_order[0]


def _drawn_base(base: Base) -> bytes:
    return base_drawing(base.shape(), construction=base.construction, seed=_seed(base.name))


def _take(piece: Piece, jpeg: bytes, shows: str, by: User, at: datetime) -> None:
    take_piece_picture(
        piece=piece, shows=shows, file=io.BytesIO(jpeg), size=len(jpeg), upload_key=uuid.uuid4(), by=by, at=at
    )


def _seed(name: str) -> int:
    return crc32(name.encode())
