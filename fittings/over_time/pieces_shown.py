"""One of her own pieces on the page of her hair: in words, and drawn on the newest map where it is worn."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.safestring import SafeString, mark_safe

from fittings.models import OwnedPiece
from fittings.over_time.visits import HairOverTime
from fittings.placement.drawing import draw_candidate
from fittings.still_covers import Covers, StillCovers
from salon.common.lengths import LengthUnit, format_length


@dataclass(frozen=True)
class PieceShown:
    owned: OwnedPiece
    word: str
    asks_for_bigger: bool
    is_no_longer: bool
    cover_percent: int
    margin: str
    sentences: list[str]
    drawing: SafeString


def pieces_shown(pieces: list[StillCovers], hair: HairOverTime, unit: LengthUnit) -> list[PieceShown]:
    return [_shown(piece, hair, unit) for piece in pieces]


def _shown(piece: StillCovers, hair: HairOverTime, unit: LengthUnit) -> PieceShown:
    assert hair.newest is not None  # noqa: S101  # pieces are placed on the newest map, so there is one
    placement = piece.now.placement
    percent = round(100 * placement.cover)
    drawing = draw_candidate(
        hair.on.head,
        hair.newest.loss_map,
        piece.shape,
        placement,
        title=f"{piece.owned} on her head: covers {percent} %",
    )
    return PieceShown(
        owned=piece.owned,
        word=piece.covers.value,
        asks_for_bigger=piece.covers is not Covers.STILL,
        is_no_longer=piece.covers is Covers.NO_LONGER,
        cover_percent=percent,
        margin="" if piece.margin_mm is None else format_length(piece.margin_mm, unit),
        sentences=piece.sentences(unit),
        drawing=mark_safe(drawing),  # noqa: S308  # our own drawing; the title is escaped there
    )
