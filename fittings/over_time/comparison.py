"""Two of a client's maps against each other: which two, what lies between them, and what the heads on screen are given.

Beside signed maps the one being painted in an open visit may be compared. Both are laid on the head of the newest
tapes.
"""

from __future__ import annotations

import json
from dataclasses import dataclass

from django.http import Http404
from django.utils.safestring import SafeString, mark_safe

from clients.models import Assessment, Client
from clients.scalp.change_drawing import CHANGE_STEPS, draw_flat_change
from clients.scalp.comparing import MapChange, as_percent, map_change
from clients.scalp.drawing import draw_flat_map
from clients.scalp.loss_map import LossMap
from clients.scalp.regions import ZONES, zone_means
from fittings.over_time.apart import Apart
from fittings.over_time.visits import HeadOfAll, head_of_all
from fittings.over_time.words import change_in_words, day_of, interval, number, signed, verdict

_FLAT_SIZE = 380
ZONE_NAMES = json.dumps([zone.label for zone in ZONES])


@dataclass(frozen=True)
class HeadShown:
    """One of the three figures: what the turning head is given and the flat drawing that stands without a script."""

    which: str
    caption: str
    label: str
    density_hex: str
    drawing: SafeString

    @property
    def is_change(self) -> bool:
        return self.which == "difference"


@dataclass(frozen=True)
class Compared:
    """Two maps, the older first."""

    then: Assessment
    now: Assessment
    on: HeadOfAll
    change: MapChange
    apart: Apart

    @property
    def sentences(self) -> list[str]:
        told = change_in_words(self.change, self.apart, since=day_told(self.then))
        if self.then.stylist_id != self.now.stylist_id and not self.change.is_none:
            told.append("The two maps were painted by different hands; what two hands differ by is not reckoned in.")
        return told

    @property
    def figures(self) -> list[HeadShown]:
        head, (then, now) = self.on.head, self._maps
        then_on, now_on = day_told(self.then), day_told(self.now)

        def hair(which: str, caption: str, loss_map: LossMap) -> HeadShown:
            drawing = draw_flat_map(loss_map, head, title=f"Remaining hair by zone, {caption}", size=_FLAT_SIZE)
            return HeadShown(which, caption, f"Head, {caption}", loss_map.to_hex(), _ours(drawing))

        difference = HeadShown(
            "difference",
            "Difference: now less then",
            f"Head, the difference between {then_on} and {now_on}",
            as_percent(self.change.points),
            _ours(draw_flat_change(self.change.points, title=f"Change from {then_on} to {now_on}", size=_FLAT_SIZE)),
        )
        return [hair("then", f"Then: {then_on}", then), difference, hair("now", f"Now: {now_on}", now)]

    @property
    def numbers(self) -> list[tuple[str, ...]]:
        """What, then, its interval, now, its interval, change, verdict."""
        then, now, apart = self.change.then, self.change.now, self.apart
        share, area = self.change.salt_points, self.change.thin_cm2
        return [
            (
                "Share of her scalp hair that is lost, %",
                number(then.salt.total),
                interval(then.salt.total, apart.share, most=100),
                number(now.salt.total),
                interval(now.salt.total, apart.share, most=100),
                signed(share),
                verdict(share, apart.share),
            ),
            (
                "Area with less than 40 % of its hair, cm²",
                number(then.thin_cm2),
                interval(then.thin_cm2, apart.area),
                number(now.thin_cm2),
                interval(now.thin_cm2, apart.area),
                signed(area),
                verdict(area, apart.area),
            ),
        ]

    @property
    def zones(self) -> list[tuple[str, str, str, str]]:
        """Name, percent remaining then and now, and the change in words."""
        before, after = (zone_means(one, self.on.head) for one in self._maps)
        return [
            (
                zone.label,
                number(before[zone.key], 0),
                number(after[zone.key], 0),
                _in_words(self.change.points_by_zone[zone.key]),
            )
            for zone in ZONES
        ]

    @property
    def axes(self) -> str:
        return ",".join(f"{axis:.4f}" for axis in self.on.head.semi_axes_mm)

    @property
    def assumed(self) -> str:
        return " ".join(self.on.head.assumed)

    @property
    def _maps(self) -> tuple[LossMap, LossMap]:
        return LossMap.from_hex(self.then.density_hex), LossMap.from_hex(self.now.density_hex)


def to_compare(client: Client) -> list[Assessment]:
    """Her painted maps, newest first; the one that is being painted stands first of all."""
    drafts = client.assessments.drafts().filter(map_painted=True).select_related("stylist")
    return [*drafts, *client.assessments.over_time().select_related("stylist")]


def compared(assessments: list[Assessment], one: str, other: str, apart: Apart) -> Compared | None:
    """The two with these references, or where one is not named the newest beside it; None when there are fewer than two
    or the same is named twice. Raises Http404 for a reference that is none of theirs."""
    by_reference = {assessment.reference: assessment for assessment in assessments}
    for reference in filter(None, (one, other)):
        if reference not in by_reference:
            raise Http404("There is no such map of this client to compare.")
    chosen = [by_reference[reference] for reference in (one, other) if reference]
    if len(chosen) < 2:
        chosen += [assessment for assessment in assessments if assessment not in chosen][: 2 - len(chosen)]
    if len(chosen) < 2 or chosen[0] == chosen[1]:
        return None
    now, then = sorted(chosen, key=assessments.index)
    on = head_of_all([assessment for assessment in assessments if not assessment.is_draft] or assessments)
    change = map_change(LossMap.from_hex(then.density_hex), LossMap.from_hex(now.density_hex), on.head)
    return Compared(then, now, on, change, apart)


def day_told(assessment: Assessment) -> str:
    """Its day; a map that is being painted says so."""
    if assessment.is_draft:
        return "today, not signed yet"
    return day_of(assessment.signed_at)


def key_of_change() -> list[tuple[int, str, str, str]]:
    """Number of the step, its sign, its words and what they mean: the key beside every picture of a change."""
    signs = ("−", "−", "", "+", "+")
    return [(at, signs[at], step.label, step.meaning) for at, step in enumerate(CHANGE_STEPS)]


def _in_words(points: float) -> str:
    whole = round(points)
    if not whole:
        return "no change"
    return f"{abs(whole)} {'point' if abs(whole) == 1 else 'points'} {'less' if whole < 0 else 'more'}"


def _ours(drawing: str) -> SafeString:
    return mark_safe(drawing)  # noqa: S308  # our own drawing; its title is escaped
