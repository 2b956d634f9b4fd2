"""What can be marked on a photo, as the page lists it: the card or the chart's corners, and groups of spots.

For `templates/components/_colour_marks.html`, on whatever page it stands. What a mark means, and the JSON of all of
them, is `salon.colour.marks`'.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class MarkTarget:
    """One mark: `key` as the page's script names it (`card`, `chart-1`, `root:1`), `label` as it is read out, `face`
    what its button shows, `letter` what stands beside the mark, `hint` what to tap."""

    key: str
    label: str
    face: str
    letter: str
    hint: str


@dataclass(frozen=True)
class MarkGroup:
    """Targets under one heading; `kind` is card or chart for what tells the light, empty for hair."""

    label: str
    targets: tuple[MarkTarget, ...]
    kind: str = ""


CARD = MarkGroup(
    "Grey card", (MarkTarget("card", "Grey card", "Card", "C", "Tap the middle of the grey card."),), "card"
)
CHART = MarkGroup(
    "Corners of the chart",
    tuple(
        MarkTarget(
            f"chart-{number}",
            f"Corner {number}",
            str(number),
            str(number),
            "Tap the middle of one of the four corner patches.",
        )
        for number in range(1, 5)
    ),
    "chart",
)


def spots(region: str, label: str, letter: str, hint: str, *, most: int = 3) -> MarkGroup:
    """Spots of one region. With one spot alone the group's label is the spot's, and its letter carries no number."""
    if most == 1:
        return MarkGroup("", (MarkTarget(f"{region}:1", label, label, letter, hint),))
    targets = (
        MarkTarget(f"{region}:{number}", f"{label} {number}", str(number), f"{letter}{number}", hint)
        for number in range(1, most + 1)
    )
    return MarkGroup(label, tuple(targets))


@dataclass(frozen=True)
class Marking:
    """All that the component needs. `photo` is the address of the full size, `marks` the JSON so far or empty;
    `folded` are groups that are shown under `folded_label` once it is opened (open at once if they are marked)."""

    photo: str
    width: int
    height: int
    alt: str
    marks: str
    groups: tuple[MarkGroup, ...]
    folded: tuple[MarkGroup, ...] = ()
    folded_label: str = ""
    folded_open: bool = False

    @property
    def reference(self) -> tuple[MarkGroup, MarkGroup]:
        """What tells the light, of which a photo has one or the other."""
        return (CARD, CHART)
