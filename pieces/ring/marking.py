"""How the marks of a ring photo are listed on its page: three zones of one shade, or a row of swatches."""

from __future__ import annotations

from dataclasses import replace

from django.urls import reverse

from pieces.models import RingPhoto
from pieces.ring.reading import Pictured
from salon.colour.marks import Marks, marks_to_json
from salon.common.photo_marking import MarkGroup, Marking, MarkTarget, spots

HINTS = {
    "root": ("Roots", "R", "Tap the hair just below the band."),
    "mid": ("Mid-length", "M", "Tap halfway down, beside the shine."),
    "ends": ("Ends", "E", "Tap the hair a finger's width above its end."),
}


def marking_of(photo: RingPhoto, pictured: Pictured, marks: Marks | None) -> Marking:
    groups: tuple[MarkGroup, ...]
    folded: tuple[MarkGroup, ...] = ()
    if pictured.is_row:
        groups, folded = (_firsts(pictured),), _more(pictured)
    else:
        groups = tuple(spots(zone, label, letter, hint) for zone, (label, letter, hint) in HINTS.items())
    return Marking(
        photo=reverse("ring-photo-file", args=[photo.reference, "full"]),
        width=photo.width,
        height=photo.height,
        alt=f"Ring photo of {', '.join(str(shade) for shade in pictured.shades)}",
        marks=marks_to_json(marks) if marks else "",
        groups=groups,
        folded=folded,
        folded_label="Second and third spots",
        folded_open=marks is not None and any(len(placed) > 1 for placed in marks.spots.values()),
    )


def _firsts(pictured: Pictured) -> MarkGroup:
    """One spot of each swatch, so that a row is marked with one tap each."""
    return MarkGroup(
        "Swatches, in order",
        tuple(
            MarkTarget(f"{key}:1", name, name, name.partition(" ")[0], "Tap its hair, beside the shine.")
            for key, name in pictured.regions.items()
        ),
    )


def _more(pictured: Pictured) -> tuple[MarkGroup, ...]:
    groups = (
        spots(key, name, name.partition(" ")[0], "Tap another place of the same hair.")
        for key, name in pictured.regions.items()
    )
    return tuple(replace(group, targets=group.targets[1:]) for group in groups)
