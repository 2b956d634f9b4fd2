"""Which pieces, bases, shades and units answer a question, with all that a list shows in a fixed number of queries."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from django.db.models import Count, Exists, F, Max, Min, OuterRef, Prefetch, Q, QuerySet

from pieces.models import Base, Maker, Piece, Shade, ShadeReading, Unit, Variant

AS_SHOWN_MM = 1.6  # half an eighth of an inch: what is shown as 15¾ in is found by 15¾ in


@dataclass(frozen=True, slots=True)
class PieceQuestion:
    """What somebody looks for; what is empty is not asked."""

    words: str = ""
    maker: Maker | None = None
    fibre: str = ""
    texture: str = ""
    front_edge: str = ""
    shortest_mm: float | None = None
    longest_mm: float | None = None
    in_drawer: bool = False


def find_pieces(question: PieceQuestion, *, on: date) -> QuerySet[Piece]:
    """Pieces that answer all of it. Length, drawer and shade are asked of one and the same variant."""
    variants = Variant.objects.filter(piece=OuterRef("pk"))
    if question.shortest_mm is not None:
        variants = variants.filter(length_mm__gte=question.shortest_mm - AS_SHOWN_MM)
    if question.longest_mm is not None:
        variants = variants.filter(length_mm__lte=question.longest_mm + AS_SHOWN_MM)
    if question.in_drawer:
        variants = variants.filter(units__state=Unit.State.DRAWER)
    found = Piece.objects.all()
    asks_of_variant = question.in_drawer or question.shortest_mm is not None or question.longest_mm is not None
    if asks_of_variant:
        found = found.filter(Exists(variants))
    for word in question.words.split():
        shaded = variants.filter(Q(shade__code__icontains=word) | Q(shade__name__icontains=word))
        found = found.filter(
            Q(name__icontains=word)
            | Q(base__name__icontains=word)
            | Q(base__maker__name__icontains=word)
            | Q(Exists(shaded))
        )
    plain = {
        "base__maker": question.maker,
        "fibre": question.fibre,
        "texture": question.texture,
        "base__front_edge": question.front_edge,
    }
    return _as_listed(found.filter(**{field: value for field, value in plain.items() if value}), on)


def _as_listed(pieces: QuerySet[Piece], on: date) -> QuerySet[Piece]:
    """Adds base, maker, shades, the lengths and the lowest price that can still be had, and the drawer's count."""
    offered = Q(variants__discontinued_on__isnull=True) | Q(variants__discontinued_on__gt=on)
    variants = Variant.objects.select_related("shade").prefetch_related(read_by_photo("shade"))
    shades = Prefetch("variants", variants.order_by("shade__mid_l", "shade__code"))
    return (
        pieces.select_related("base__maker")
        .prefetch_related(shades, "pictures")
        .annotate(
            shortest_mm=Min("variants__length_mm", filter=offered),
            longest_mm=Max("variants__length_mm", filter=offered),
            lowest_minor=Min("variants__price_minor", filter=offered),
            lowest_currency=Min("variants__currency", filter=offered),
            in_drawer=Count("variants__units", filter=Q(variants__units__state=Unit.State.DRAWER), distinct=True),
        )
        .order_by("name", "pk")
    )


def shades_of(piece: Piece) -> list[Shade]:
    """The shades it comes in, dark to light, from variants that were fetched with it."""
    return list({variant.shade_id: variant.shade for variant in piece.variants.all()}.values())


def bases_by_size() -> QuerySet[Base]:
    """All bases, smallest first, with clips, tape and how many pieces are made on each."""
    return (
        Base.objects.with_shape()
        .select_related("maker")
        .annotate(piece_count=Count("pieces"))
        .order_by("length_mm", "width_mm", "maker__name", "name")
    )


def shades_by_maker() -> QuerySet[Shade]:
    """All shades with their readings, maker by maker, dark to light; those an instrument did not measure come last."""
    return (
        Shade.objects.select_related("maker")
        .prefetch_related("readings__read_by")
        .order_by("maker__name", F("mid_l").asc(nulls_last=True), "code")
    )


def read_by_photo(shade: str) -> Prefetch[str, QuerySet[ShadeReading], str]:
    """What photos read of the shade at the end of this path, for the swatch of one that no instrument measured."""
    return Prefetch(f"{shade}__readings", ShadeReading.objects.defer("details"))


def variants_of(piece: Piece) -> QuerySet[Variant]:
    """Its variants by length, dark to light, with the drawer's count."""
    return (
        Variant.objects.filter(piece=piece)
        .select_related("shade")
        .prefetch_related(read_by_photo("shade"))
        .with_drawer_count()
        .order_by("length_mm", "shade__mid_l", "shade__code")
    )


def find_units(words: str, *, state: str = "", purpose: str = "") -> QuerySet[Unit]:
    """Units by any part of their number, their piece or their shade."""
    found = Unit.objects.select_related("variant__piece__base__maker", "variant__shade")
    found = found.prefetch_related(read_by_photo("variant__shade"))
    for word in words.split():
        found = found.filter(
            Q(number__icontains=word)
            | Q(variant__piece__name__icontains=word)
            | Q(variant__piece__base__maker__name__icontains=word)
            | Q(variant__shade__code__icontains=word)
        )
    plain = {"state": state, "purpose": purpose}
    found = found.filter(**{field: value for field, value in plain.items() if value})
    return found.order_by("variant__piece__name", "variant__length_mm", "number")
