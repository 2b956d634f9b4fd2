"""Adds and changes makers, bases, pieces, shades and variants one by one, and discontinues what can't be had any more.

Nothing of the catalogue is ever taken away: units, candidates and sales of the past go on naming it. Every record keeps
its versions with who wrote them; `shown` is the version that a page had shown, so that two who edit at once are told
(`pieces.seen_versions`). Whole files are `pieces.catalogue`'s to read, pictures `pieces.keeping_pictures`'.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date
from typing import Any, TypedDict, TypeVar, Unpack

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from pieces.bases.construction import Clip, TapeArea
from pieces.catalogue import agreement, cells
from pieces.models import Base, BaseClip, BaseTapeArea, Maker, Piece, Shade, Variant
from pieces.seen_versions import refuse_if_changed_since
from salon.holding import hold_salon
from salon.models import User

MOST_CLIPS = 30
MOST_TAPE_AREAS = 12
FIRST_DAY, LAST_DAY = date(2000, 1, 1), date(2100, 12, 31)

Row = TypeVar("Row", Maker, Base, Piece, Shade, Variant)


class MakerFields(TypedDict, total=False):
    name: str
    note: str


class BaseFields(TypedDict, total=False):
    maker: Maker
    name: str
    outline: str
    length_mm: int
    width_mm: int
    construction: str
    front_edge: str
    two_way: bool
    stretches: bool
    weight_g: int | None
    nickel_free: str


class PieceFields(TypedDict, total=False):
    base: Base
    name: str
    fibre: str
    synthetic_part: str
    rated_c: int | None
    curl_set_c: int | None
    colourable: str
    texture: str
    density: str


class ShadeFields(TypedDict, total=False):
    maker: Maker
    code: str
    name: str
    method: str
    root_l: float | None
    root_a: float | None
    root_b: float | None
    mid_l: float | None
    mid_a: float | None
    mid_b: float | None
    ends_l: float | None
    ends_a: float | None
    ends_b: float | None


class VariantFields(TypedDict, total=False):
    shade: Shade
    length_mm: int
    price_minor: int
    cost_minor: int | None
    currency: str
    discontinued_on: date | None


@transaction.atomic
def add_maker(*, by: User, **fields: Unpack[MakerFields]) -> Maker:
    """Somebody who makes pieces; ValidationError for a name that is taken, however it is spelt."""
    return _added(Maker(), by, fields)


@transaction.atomic
def change_maker(*, maker: Maker, by: User, shown: int | None = None, **fields: Unpack[MakerFields]) -> Maker:
    """Change what is named; a change to nothing leaves no trace."""
    return _changed(_held(maker), by, shown, fields)


@transaction.atomic
def add_base(
    *, by: User, clips: Iterable[Clip] = (), tape_areas: Iterable[TapeArea] = (), **fields: Unpack[BaseFields]
) -> Base:
    """A base with its clips and tape areas, in whole millimetres; ValidationError for a clip that lies off it."""
    hold_salon()
    base = Base()
    _set(base, fields)
    return _with_clips_and_tape(base, _clips_in_order(clips), _areas_in_order(tape_areas), by)


@transaction.atomic
def change_base(
    *,
    base: Base,
    by: User,
    shown: int | None = None,
    clips: Iterable[Clip] | None = None,
    tape_areas: Iterable[TapeArea] | None = None,
    **fields: Unpack[BaseFields],
) -> Base:
    """Change what is named; clips and tape areas are replaced whole. Papers keep the base as it was placed then."""
    kept = _held(base)
    clips_before, areas_before = clips_of(kept), tape_areas_of(kept)
    clips_now = clips_before if clips is None else _clips_in_order(clips)
    areas_now = areas_before if tape_areas is None else _areas_in_order(tape_areas)
    replaced = [
        name
        for name, before, after in (("clips", clips_before, clips_now), ("tape_areas", areas_before, areas_now))
        if before != after
    ]
    if not (_differing(kept, fields) or replaced):
        return kept
    says = {"clips": map(_clip_said, clips_before), "tape_areas": map(_area_said, areas_before)}
    refuse_if_changed_since(kept, shown, {name: "; ".join(told) for name, told in says.items()})
    if fields.get("maker", kept.maker) != kept.maker and kept.pieces.exists():
        raise ValidationError(
            {"maker": f"Pieces of {kept.maker} are made on this base. Add a base of the other maker."}
        )
    _set(kept, fields)
    kept._change_reason = ", ".join(replaced)  # type: ignore[attr-defined]  # where the history looks for it
    return _with_clips_and_tape(kept, clips_now, areas_now, by)


@transaction.atomic
def add_piece(*, by: User, **fields: Unpack[PieceFields]) -> Piece:
    """A style on a base; nothing of it is offered until a shade and a length are added."""
    return _added(Piece(), by, fields)


@transaction.atomic
def change_piece(*, piece: Piece, by: User, shown: int | None = None, **fields: Unpack[PieceFields]) -> Piece:
    """Change what is named; a change to nothing leaves no trace."""
    kept = _held(piece)
    maker = kept.base.maker
    if fields.get("base", kept.base).maker_id != maker.pk and kept.variants.exists():
        raise ValidationError({"base": f"It is listed in shades of {maker}. Choose a base of {maker}."})
    return _changed(kept, by, shown, fields)


@transaction.atomic
def add_shade(*, by: User, **fields: Unpack[ShadeFields]) -> Shade:
    """A colour of one maker, measured by an instrument whole or not at all."""
    return _added(Shade(), by, fields)


@transaction.atomic
def change_shade(*, shade: Shade, by: User, shown: int | None = None, **fields: Unpack[ShadeFields]) -> Shade:
    """Change what is named; a change to nothing leaves no trace."""
    kept = _held(shade)
    if fields.get("maker", kept.maker) != kept.maker and kept.variants.exists():
        raise ValidationError({"maker": f"Pieces of {kept.maker} come in this shade. Add a shade of the other maker."})
    return _changed(kept, by, shown, fields)


@transaction.atomic
def add_variant(*, piece: Piece, by: User, **fields: Unpack[VariantFields]) -> Variant:
    """A piece in one shade of its maker and one length, with its price in minor units."""
    variant = Variant(piece=piece)
    _require_its_makers_shade(variant, fields)
    return _added(variant, by, fields)


@transaction.atomic
def change_variant(*, variant: Variant, by: User, shown: int | None = None, **fields: Unpack[VariantFields]) -> Variant:
    """Change price, cost, or since when it can't be had; shade and length only while nothing refers to it."""
    kept = _held(variant)
    _require_its_makers_shade(kept, fields)
    becomes_another = _differing(kept, fields) & {"shade", "length_mm"}
    if becomes_another and _is_referred_to(kept):
        sentence = (
            "There are units, orders or visits of it, which would become something else. Add another one instead."
        )
        raise ValidationError(dict.fromkeys(becomes_another, sentence))
    return _changed(kept, by, shown, fields)


@transaction.atomic
def discontinue(*, of: Piece | Variant, on: date, by: User) -> list[Variant]:
    """Offer a variant, or every variant of a piece, no more from that day on; returns those that changed.

    What was discontinued earlier keeps its day. Units in the drawer stay, and all that names it goes on naming it.
    """
    hold_salon()
    _require_a_likely_day(on)
    variants = Variant.objects.select_for_update(no_key=True).order_by("pk")
    chosen = variants.filter(piece=of) if isinstance(of, Piece) else variants.filter(pk=of.pk)
    changed = list(chosen.offered(on))
    for variant in changed:
        variant.discontinued_on = on
        _stored(variant, by)
    return changed


def clips_of(base: Base) -> tuple[Clip, ...]:
    return _clips_in_order(Clip(clip.u_mm, clip.v_mm, clip.length_mm) for clip in base.clips.all())


def tape_areas_of(base: Base) -> tuple[TapeArea, ...]:
    return _areas_in_order(TapeArea(area.from_mm, area.to_mm) for area in base.tape_areas.all())


def _clip_said(clip: Clip) -> str:
    side = "left" if clip.v_mm > 0 else "right"
    return f"{clip.u_mm} mm back" + (f" and {abs(clip.v_mm)} mm to her {side}" if clip.v_mm else " on the midline")


def _area_said(area: TapeArea) -> str:
    return f"{area.from_mm} to {area.to_mm} mm back"


def _added(row: Row, by: User, fields: Any) -> Row:
    hold_salon()
    _set(row, fields)
    _check(row)
    return _stored(row, by)


def _changed(kept: Row, by: User, shown: int | None, fields: Any) -> Row:
    if not _differing(kept, fields):
        return kept
    refuse_if_changed_since(kept, shown, {})
    _set(kept, fields)
    _check(kept)
    return _stored(kept, by)


def _held(row: Row) -> Row:
    """As it is stored now, while nobody else may change it; what merely refers to it need not wait."""
    hold_salon()
    return type(row)._default_manager.select_for_update(no_key=True).get(pk=row.pk)


def _tidied(fields: Any) -> dict[str, Any]:
    """Text as an import would write it, so that one name is one name."""
    return {name: cells.tidy(value) if isinstance(value, str) else value for name, value in fields.items()}


def _differing(row: Maker | Base | Piece | Shade | Variant, fields: Any) -> set[str]:
    return {name for name, value in _tidied(fields).items() if getattr(row, name) != value}


def _set(row: Maker | Base | Piece | Shade | Variant, fields: Any) -> None:
    for name, value in _tidied(fields).items():
        setattr(row, name, value)


def _stored(row: Row, by: User) -> Row:
    row._history_user = by  # type: ignore[attr-defined]  # where django-simple-history looks for who did it
    try:
        with transaction.atomic():
            row.save()
    except IntegrityError:  # a file that was read in at the same moment does not wait for `hold_salon`
        raise ValidationError(
            "Somebody wrote the same down just now. Look at what is there, then save again."
        ) from None
    return row


def _with_clips_and_tape(base: Base, clips: Sequence[Clip], areas: Sequence[TapeArea], by: User) -> Base:
    """Clips and strips are written anew: a clip also holds the size of the base it lies on."""
    base.full_clean()
    if len(clips) > MOST_CLIPS or len(areas) > MOST_TAPE_AREAS:
        raise ValidationError(f"A base has at most {MOST_CLIPS} clips and {MOST_TAPE_AREAS} strips for tape.")
    refusals: dict[str, list[str]] = {}
    measures = {"outline": base.outline, "length_mm": base.length_mm, "width_mm": base.width_mm}
    for column, sentence in agreement.base({**measures, "clips": clips, "tape_areas": areas}):
        refusals.setdefault(column, []).append(sentence)
    if refusals:
        raise ValidationError(refusals)
    _stored(base, by)
    size = {"base": base, "base_length_mm": base.length_mm, "base_width_mm": base.width_mm}
    base.clips.all().delete()
    base.tape_areas.all().delete()
    BaseClip.objects.bulk_create(
        BaseClip(u_mm=clip.u_mm, v_mm=clip.v_mm, length_mm=clip.length_mm, **size) for clip in clips
    )
    BaseTapeArea.objects.bulk_create(BaseTapeArea(base=base, from_mm=area.from_mm, to_mm=area.to_mm) for area in areas)
    return base


def _clips_in_order(clips: Iterable[Clip]) -> tuple[Clip, ...]:
    return tuple(sorted(clips, key=lambda clip: (clip.u_mm, clip.v_mm)))


def _areas_in_order(areas: Iterable[TapeArea]) -> tuple[TapeArea, ...]:
    return tuple(sorted(areas, key=lambda area: (area.from_mm, area.to_mm)))


def _check(row: Maker | Base | Piece | Shade | Variant) -> None:
    """What the row's own columns and constraints say, and what neither of them can."""
    if isinstance(row, Maker):
        taken = Maker.objects.filter(name__iexact=row.name).exclude(pk=row.pk).first()
        if taken is not None:
            raise ValidationError({"name": f"There is a maker called “{taken}” already."})
    if isinstance(row, Variant) and row.discontinued_on is not None:
        _require_a_likely_day(row.discontinued_on)
    row.full_clean()


def _require_its_makers_shade(variant: Variant, fields: VariantFields) -> None:
    maker, shade = variant.piece.base.maker, fields.get("shade")
    if shade is not None and shade.maker_id != maker.pk:
        raise ValidationError(
            {"shade": f"{shade} is a shade of {shade.maker}. Choose one of {maker}, who makes the piece."}
        )


def _require_a_likely_day(day: date) -> None:
    if not FIRST_DAY <= day <= LAST_DAY:
        raise ValidationError({"discontinued_on": "Write a day between 2000 and 2100."})


def _is_referred_to(variant: Variant) -> bool:
    """By anything there is, in whichever app it lives; its own versions are none."""
    for relation in Variant._meta.related_objects:
        name = relation.field.name
        if relation.related_model._base_manager.filter(**{name: variant}).exists():
            return True
    return False
