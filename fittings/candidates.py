"""Every piece of the catalogue placed on one head, matched with her hair and ruled: which fit, which nearly, which not.

Reads only; what is chosen to try is frozen by `trying`. Where a base sits comes from `placement`, how far a shade is
from her own hair from `comparing_colours`, what must be said from `rules`.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from functools import cache
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from django.db.models import Prefetch

from clients.models import Assessment, Client
from clients.scalp.head import Head
from clients.scalp.loss_map import LossMap
from clients.scalp.regions import zone_means
from fittings.comparing_colours import MixTold, OwnColours, Seen, own_colours, shades_in_drawer, with_readings
from fittings.house_numbers import placement_rules
from fittings.models import Candidate, HouseRule, TryOn
from fittings.placement.clip_zones import zones_under_clips
from fittings.placement.placing import Placement
from fittings.placement.ranking import Ranked, rank
from fittings.plan_facts import (
    Facts,
    HealthFacts,
    client_facts,
    colour_facts,
    health_facts,
    piece_facts,
    placement_facts,
)
from fittings.rules.engine import Finding, Plan, RuleBook, load_rules
from fittings.rules.rule import About
from fittings.rules.wording import Units
from pieces.bases.construction import BaseShape
from pieces.models import Piece, Shade, Variant
from salon.colour.bands import BandLimits
from salon.colour.matching import Match, Reading, hair_below, zone_weights
from salon.models import Salon
from salon.models import Units as SalonUnits

if TYPE_CHECKING:
    from django.db.models import QuerySet

ABOUT_CLIENT: tuple[About, ...] = ("client",)
ABOUT_PIECE: tuple[About, ...] = ("piece", "placement")
NO_SMALLER = 1.02  # a base within 2 % is not smaller to anybody's eye


@cache
def rule_book() -> RuleBook:
    """The rule files, read once a process."""
    return load_rules()


@dataclass(frozen=True)
class Ground:
    """All that is the same for every piece: her head, map, colours and facts, and the salon's numbers of the day."""

    client: Client
    assessment: Assessment
    head: Head
    loss_map: LossMap
    colours: OwnColours
    facts: Facts
    health: HealthFacts
    hairline_percent: float
    numbers: dict[str, float]
    units: Units
    on: date

    @property
    def limits(self) -> BandLimits:
        return BandLimits(self.numbers["band_disappears"], self.numbers["band_close"], self.numbers["band_shows"])

    def client_findings(self) -> tuple[Finding, ...]:
        """What is to be said about the client herself, whichever piece she takes."""
        return rule_book().check(Plan(self.facts), self.numbers, on=self.on, about=ABOUT_CLIENT, units=self.units)


@dataclass(frozen=True)
class Proposal:
    """One piece in its best variant and its best place on this head, with the reasons for and against."""

    piece: Piece
    variant: Variant
    placement: Placement
    covers_with_margin: bool
    match: Match
    findings: tuple[Finding, ...]
    verdict: Candidate.Verdict
    readings: dict[str, Reading]
    because: str
    """Why it does not fit, or what change makes it fit; empty when it fits as it is."""

    @property
    def warnings(self) -> tuple[Finding, ...]:
        """Stops and cautions: what stands on the card at once."""
        return tuple(finding for finding in self.findings if finding.severity != "note")

    @property
    def notes(self) -> tuple[Finding, ...]:
        return tuple(finding for finding in self.findings if finding.severity == "note")

    @property
    def is_set_apart(self) -> bool:
        """Its shade can't be compared with her hair though that was read: it is listed, and ranks nowhere by colour."""
        return bool(self.readings) and not self.match.is_measured

    @property
    def in_drawer(self) -> int:
        count: int = self.variant.in_drawer  # type: ignore[attr-defined]  # annotated by with_drawer_count
        return count


def ground_of(assessment: Assessment, salon: Salon, *, at: datetime, on: date) -> Ground:
    """Gather what is known of one client on one day, in a fixed number of queries."""
    client = assessment.client
    numbers = HouseRule.objects.current()
    head = Head.from_tapes(**assessment.tapes())
    loss_map = LossMap.from_hex(assessment.density_hex)
    health = health_facts(client, at=at, numbers=numbers)
    return Ground(
        client=client,
        assessment=assessment,
        head=head,
        loss_map=loss_map,
        colours=own_colours(assessment.readings.all()),
        facts=client_facts(client, assessment, health, salon, on=on)
        | {"pieces_owned": _has_already(client) + 1},  # with the one proposed
        health=health,
        hairline_percent=zone_means(loss_map, head)["front"],
        numbers=numbers,
        units="imperial" if salon.units == SalonUnits.IMPERIAL else "metric",
        on=on,
    )


def _has_already(client: Client) -> int:
    """Pieces that are hers now, and those she chose in earlier visits and has not been given yet."""
    chosen = TryOn.objects.exclude(outcome=TryOn.Outcome.TRIED).filter(candidate__owned_pieces__isnull=True)
    still_to_come = chosen.filter(fitting__client=client, fitting__finished_at__isnull=False)
    return client.owned_pieces.current().count() + still_to_come.count()


def proposals_for(ground: Ground, variants: QuerySet[Variant]) -> list[Proposal]:
    """Every piece of these variants, each in its best variant. Those that fit come first, and of each verdict those
    whose shade can't be compared last; then the smallest base that covers before the bigger, then what lies in the
    drawer, then the closer colour. Queries do not grow with rows."""
    pieces = _by_piece(variants)
    shapes = {piece.base_id: piece.base.shape() for piece, _ in pieces}
    ranked = rank(ground.head, ground.loss_map, shapes.values(), placement_rules(ground.numbers))
    lines = dict(zip((int(row.base.key) for row in ranked), _lines(ranked), strict=True))
    placed = {int(row.base.key): _on(ground, row) for row in ranked}
    smallest = min((_area(row.base) for row in ranked if row.covers_with_margin), default=np.inf)
    proposals = [_propose(ground, piece, offers, placed[piece.base_id], smallest) for piece, offers in pieces]
    return sorted(proposals, key=lambda proposal: _place_in_line(lines[proposal.piece.base_id], proposal))


def proposal_of(ground: Ground, variant: Variant) -> Proposal:
    """One variant as it is, on this head; the smaller bases of the whole catalogue are not asked."""
    piece = variant.piece
    row = rank(ground.head, ground.loss_map, [piece.base.shape()], placement_rules(ground.numbers))[0]
    return _propose(ground, piece, [variant], _on(ground, row), smallest_cm2=np.inf)


def with_all_that_is_read(variants: QuerySet[Variant]) -> QuerySet[Variant]:
    """Fetches what a proposal reads, in a fixed number of queries: each piece, base and shade once, not joined to every
    variant that shares it."""
    whole: QuerySet[Variant] = variants.with_drawer_count().prefetch_related(  # type: ignore[attr-defined]  # our own QuerySet
        Prefetch("shade", with_readings(Shade.objects.all())),
        "piece__base__maker",
        "piece__base__clips",
        "piece__base__tape_areas",
    )
    return whole


def findings_about(ground: Ground, facts: Facts) -> tuple[Finding, ...]:
    return rule_book().check(
        Plan(ground.facts | facts), ground.numbers, on=ground.on, about=ABOUT_PIECE, units=ground.units
    )


def facts_of(
    ground: Ground,
    proposal_piece: Piece,
    length_mm: float,
    placement: Placement,
    match: Match | None,
    *,
    clip_zones: Collection[str],
    smaller: bool,
) -> Facts:
    """Everything the rules may ask about this piece in this place; `clip_zones` as `zones_under_clips` gives them."""
    full_cover = _hides_nearly_all(placement, ground.numbers)
    return (
        piece_facts(proposal_piece, length_mm=length_mm)
        | placement_facts(
            placement,
            ground.assessment,
            proposal_piece.base,
            clip_zones=clip_zones,
            hairline_percent=ground.hairline_percent,
            clip_hold_percent=ground.numbers["clip_hold_percent"],
            smaller_base_covers=smaller,
        )
        | colour_facts(match, full_cover=full_cover)
    )


def match_of(ground: Ground, placement: Placement, variants: Sequence[Variant]) -> tuple[Match, ...]:
    """Each variant's shade against her readings, weighted by where own hair shows around this placement."""
    return ground.colours.matched([variant.shade for variant in variants], _seen(ground, placement, variants))


def in_these_shades(ground: Ground, proposal: Proposal, variants: Sequence[Variant]) -> list[tuple[Variant, Match]]:
    """Other variants of a piece where it sits: the better band first, of one band what lies in the drawer, then the
    closer colour; what can't be compared comes last."""
    matches = zip(variants, match_of(ground, proposal.placement, variants), strict=True)
    return sorted(matches, key=lambda row: (not row[1].is_measured, _worth(ground, *row)[:2], row[1].distance))


def mix_for(ground: Ground, proposal: Proposal) -> MixTold | None:
    """Two shades of the drawer that come closer together than any of them alone, seen as around this proposal."""
    return ground.colours.mixed(shades_in_drawer(), _seen(ground, proposal.placement, [proposal.variant]))


def _seen(ground: Ground, placement: Placement, variants: Sequence[Variant]) -> Seen:
    own = ground.assessment.own_hair_length_mm
    showing = min(1.0, placement.showing_share)
    lengths = [variant.length_mm for variant in variants]
    # ends count by how far own hair hangs below the piece; a client whose length is not recorded is taken as even
    hangs = showing if own is None else showing * hair_below(float(own), float(np.mean(lengths)))
    return Seen(
        weights=zone_weights(edge_shows=showing, hangs_below=hangs),
        limits=ground.limits,
        widened_by=int(ground.numbers["full_cover_band_steps"]) if _hides_nearly_all(placement, ground.numbers) else 0,
    )


class _Placed(NamedTuple):
    """A base in its best place with the zones under its clips: the same for every piece made on it."""

    row: Ranked[BaseShape]
    clip_zones: tuple[str, ...]


def _on(ground: Ground, row: Ranked[BaseShape]) -> _Placed:
    return _Placed(row, zones_under_clips(ground.head, row.base, row.placement))


def _propose(ground: Ground, piece: Piece, offers: Sequence[Variant], placed: _Placed, smallest_cm2: float) -> Proposal:
    row, placement = placed.row, placed.row.placement
    matches = match_of(ground, placement, offers)
    best = min(range(len(offers)), key=lambda i: _worth(ground, offers[i], matches[i]))
    variant, match = offers[best], matches[best]
    smaller = bool(NO_SMALLER * smallest_cm2 < _area(row.base))
    length_mm = float(variant.length_mm)
    facts = facts_of(ground, piece, length_mm, placement, match, clip_zones=placed.clip_zones, smaller=smaller)
    findings = findings_about(ground, facts)
    verdict, because = _judge(placement, findings, ground.numbers)
    return Proposal(
        piece, variant, placement, row.covers_with_margin, match, findings, verdict, ground.colours.readings, because
    )


def _judge(
    placement: Placement, findings: Sequence[Finding], numbers: dict[str, float]
) -> tuple[Candidate.Verdict, str]:
    stops = [finding for finding in findings if finding.severity == "stop"]
    for finding in stops:
        if not finding.asks:
            return Candidate.Verdict.NOT, finding.says
    if placement.cover < numbers["cover_least_percent"] / 100:
        return Candidate.Verdict.NOT, f"At its best place it covers {round(100 * placement.cover)} % of the thinning."
    cautions = [finding for finding in findings if finding.severity == "caution"]
    for finding in (*stops, *cautions):
        return Candidate.Verdict.WITH_CHANGE, finding.says if finding.asks else finding.instead
    return Candidate.Verdict.FITS, ""


def _worth(ground: Ground, variant: Variant, match: Match) -> tuple[int, int, float, tuple[int, float]]:
    """Which variant of a piece to show: the best colour band, then the drawer, then the length she wishes."""
    band = match.named.band.rank if match.named else 4
    wished = ground.assessment.wished_length_mm
    off = abs(variant.length_mm - wished) if wished else 0.0
    return (band, 0 if variant.in_drawer else 1, off, match.distance)  # type: ignore[attr-defined]  # annotated


_ORDER = {Candidate.Verdict.FITS: 0, Candidate.Verdict.WITH_CHANGE: 1, Candidate.Verdict.NOT: 2}


def _place_in_line(line: int, proposal: Proposal) -> tuple[object, ...]:
    return (
        _ORDER[proposal.verdict],
        proposal.is_set_apart,
        line,
        0 if proposal.in_drawer else 1,
        proposal.match.distance,
        proposal.variant.pk,
    )


def _lines(ranked: Sequence[Ranked[BaseShape]]) -> list[int]:
    """Where each base stands in line; bases that cover alike and are of one size to the eye share their place."""
    lines: list[int] = []
    first = None
    for row in ranked:
        cover = None if row.covers_with_margin else round(row.placement.cover, 2)
        if first is None or cover != first[0] or _area(row.base) > NO_SMALLER * first[1]:
            first = cover, _area(row.base)
            lines.append(len(lines))
        else:
            lines.append(lines[-1])
    return lines


def _by_piece(variants: Iterable[Variant]) -> list[tuple[Piece, list[Variant]]]:
    offers: dict[int, tuple[Piece, list[Variant]]] = {}
    for variant in variants:
        offers.setdefault(variant.piece_id, (variant.piece, []))[1].append(variant)
    return list(offers.values())


def _hides_nearly_all(placement: Placement, numbers: dict[str, float]) -> bool:
    return placement.showing_share <= 1 - numbers["full_cover_percent"] / 100


def _area(base: BaseShape) -> float:
    return float(base.outline.area_cm2)
