"""Draws a base to scale and a shade as it was measured; decides nothing."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING, Any

from django import template

from pieces.bases.construction import BaseShape
from pieces.bases.drawing import AVERAGE_SCALP_MM, draw_base, frame_of, outline_path
from pieces.bases.outline import BaseOutline
from pieces.models import Base, Shade, Variant
from salon.colour.lab import css_hex
from salon.common.tied import tied
from salon.models import Units

if TYPE_CHECKING:
    from pieces.keeping.base_form import DrawableBase

register = template.Library()


@register.inclusion_tag("pieces/_base_drawing.html", takes_context=True)
def base_drawing(context: dict[str, Any], base: Base) -> dict[str, Any]:
    """The base with clips, tape and its two measures; fetch it with `with_shape()` first."""
    return _drawn(context, base, base.shape())


@register.inclusion_tag("pieces/_base_drawing.html", takes_context=True)
def typed_base_drawing(context: dict[str, Any], drawable: DrawableBase) -> dict[str, Any]:
    """The same of a base as it is typed, clips that lie off it included."""
    return _drawn(context, drawable.base, drawable.shape)


def _drawn(context: dict[str, Any], base: Base, shape: BaseShape) -> dict[str, Any]:
    units = context.get("units")
    drawing = draw_base(shape)
    box = frame_of(drawing, scale_mm=25.4 if units == "imperial" else 20.0)
    return {"base": base, "drawing": drawing, "box": box, "units": units}


@register.inclusion_tag("pieces/_base_small.html")
def base_small(base: Base) -> dict[str, Any]:
    """The outline alone on the size of an average scalp, all at one scale; needs no clips or tape."""
    kind = "oval" if base.outline == Base.Outline.FULL_CAP else base.outline  # a cap ends where the scalp ends
    outline = BaseOutline.named(kind, length_mm=float(base.length_mm), width_mm=float(base.width_mm))
    deep, wide = AVERAGE_SCALP_MM
    return {"base": base, "path": outline_path(outline), "deep": deep / 2, "wide": wide / 2, "up": -base.length_mm / 2}


@register.simple_tag(takes_context=True)
def variant_told(context: dict[str, Any], variant: Variant) -> str:
    """“Heron Weir, walnut-husk, 30.0 cm”, in the reader's units."""
    return tied(variant.told(context.get("units", Units.METRIC)))


@register.inclusion_tag("pieces/_swatch.html")
def swatch(shade: Shade) -> dict[str, Any]:
    """Root, mid-length and ends as three bands; a shade that was not measured is an empty field and says so."""
    return {"shade": shade, "colours": shade_colours(shade)}


@register.inclusion_tag("pieces/_tress.html")
def tress(shade: Shade) -> dict[str, Any]:
    """The shade as a lock on the ring, running from root to ends."""
    return {"shade": shade, "colours": shade_colours(shade)}


def shade_colours(shade: Shade) -> dict[str, str]:
    """`#rrggbb` by zone, of the instrument or else as a photo read it; empty when the shade was not measured.

    Prefetch `readings` where many are shown: they are asked for when no instrument measured the shade.
    """
    lab = shade.lab() or next(iter(shade.colours().values()), {})
    return {zone: _hex(colour) for zone, colour in lab.items()}


@lru_cache(maxsize=4096)
def _hex(lab: tuple[float, float, float]) -> str:
    """Remembered, because a list shows the same few shades over and over."""
    return css_hex(lab)
