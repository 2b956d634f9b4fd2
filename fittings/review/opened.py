"""The rows behind a number of the review: which they are by the name a table gives them, and what is shown of each.

How many rows there are is the number. Names of clients are left out: a sale, a visit or a piece leads to hers.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import Exists, OuterRef, Q, QuerySet
from django.urls import reverse
from django.utils.formats import date_format
from django.utils.timezone import localtime

from fittings.models import Candidate, CareDate, Fitting, OwnedPiece
from fittings.review import lives, visits
from pieces import owner_review, reorder_review, stock_review
from pieces.models import AskedFor, Piece, Return, ReturnReason, SaleLine, Unit, Variant
from pieces.review.in_common import LOOKED_AT
from pieces.review_asked import Asked
from pieces.review_groups import ALL
from salon.common.money import format_minor

Shown = tuple[str, str]
"""Words, and where they lead (nowhere when empty)."""


@dataclass(frozen=True)
class Kind:
    """One sort of row: its columns, how it is fetched and ordered, and where a variant and a stylist stand on it."""

    header: Sequence[str]
    fetched: Callable[[QuerySet[Any]], QuerySet[Any]]
    shown: Callable[[Any], list[Shown]]
    variant: str | None
    stylist: str = ""


@dataclass(frozen=True)
class Opened:
    title: str
    kind: Kind
    rows: QuerySet[Any]


def opened(what: str, asked: Asked, group: str) -> Opened | None:
    """The rows of that name in one group (empty: in all); None where nothing is called so."""
    name, _, of = what.partition(":")
    found = _PLAIN.get(name) if not of else None
    if found is not None:
        title, kind, rows = found
        every = rows(asked)
    elif of and name in _OF:
        kind = _OF[name][0]
        told = _OF[name][1](asked, of)
        if told is None:
            return None
        title, every = told
    else:
        return None
    if group and group != ALL.key:
        if kind.variant is None and not (asked.grouping.by_stylist and kind.stylist):
            return None
        where = asked.grouping.where(group, variant=kind.variant or "", stylist=kind.stylist)
        if where is None:
            return None
        every = every.filter(where)
    return Opened(title, kind, kind.fetched(every))


def _moment(at: Any) -> str:
    return date_format(localtime(at), "j M Y") if at else ""


def _day(day: Any) -> str:
    return date_format(day, "j M Y") if day else ""


def _money(minor: int | None, currency: str) -> str:
    return "–" if minor is None else format_minor(minor, currency)


def _visit(reference: str) -> Shown:
    return reference, reverse("fitting", args=[reference]) if reference else ""


def _line(line: SaleLine) -> list[Shown]:
    back: Return | None = getattr(line, "taken_back", None)
    return [
        (line.sale.reference, reverse("sale", args=[line.sale.reference])),
        (_moment(line.handed_over_at), ""),
        (line.says, ""),
        (_money(line.total_minor, line.sale.currency), ""),
        _visit(line.visit_reference),
        (f"after {back.days_since} days: {back.reason}" if back else "", ""),
    ]


def _unit(unit: Unit) -> list[Shown]:
    return [
        (unit.number, reverse("unit", args=[unit.number])),
        (f"{unit.variant.piece}, {unit.variant.shade}", ""),
        (_day(unit.received_on), ""),
        (str(unit.get_state_display()), ""),
        (_money(unit.cost_minor, unit.variant.currency), ""),
    ]


def _fitting(visit: Fitting) -> list[Shown]:
    return [_visit(visit.reference), (_moment(visit.began_at), ""), (str(visit.stylist), "")]


def _candidate(candidate: Candidate) -> list[Shown]:
    return [
        _visit(candidate.fitting.reference),
        (_moment(candidate.chosen_at), ""),
        (f"{candidate.variant.piece}, {candidate.variant.shade}", ""),
        (str(candidate.get_verdict_display()), ""),
    ]


def _owned(owned: OwnedPiece) -> list[Shown]:
    return [
        (owned.reference, owned.get_absolute_url()),
        (f"{owned.unit.variant.piece}, {owned.unit.variant.shade}", ""),
        (_day(owned.since), ""),
        (_day(owned.until), ""),
        (str(owned.get_ended_display()) if owned.ended else "", ""),
    ]


def _due(due: CareDate) -> list[Shown]:
    variant = due.owned_piece.unit.variant
    return [
        (due.owned_piece.reference, due.owned_piece.get_absolute_url()),
        (f"{variant.piece}, {variant.shade}", ""),
        (_day(due.due_on), ""),
        (_money(variant.price_minor, variant.currency), ""),
    ]


def _asked(asked: AskedFor) -> list[Shown]:
    return [
        _visit(asked.visit_reference),
        (_moment(asked.asked_at), ""),
        (f"{asked.variant.piece}, {asked.variant.shade}" if asked.variant else asked.words, ""),
    ]


LINE = Kind(
    ("Sale", "Handed over", "Piece", "Price with tax", "Chosen in", "Came back"),
    lambda rows: rows.select_related("sale", "taken_back__reason").order_by("-handed_over_at", "-pk"),
    _line,
    "variant",
    "sale__stylist",
)
UNIT = Kind(
    ("Unit", "Piece", "Came in", "Where it is now", "Cost"),
    lambda rows: rows.select_related("variant__piece", "variant__shade").order_by("received_on", "pk"),
    _unit,
    "variant",
)
VISIT = Kind(
    ("Visit", "Day", "Stylist"),
    lambda rows: rows.select_related("stylist").order_by("-began_at", "-pk"),
    _fitting,
    None,
    "stylist",
)
CANDIDATE = Kind(
    ("Visit", "Day", "Piece", "As proposed"),
    lambda rows: (
        rows.select_related("fitting", "variant__piece", "variant__shade")
        .defer("piece_as_chosen", "findings", "house_rules", "colour")
        .order_by("-chosen_at", "-pk")
    ),
    _candidate,
    "variant",
    "fitting__stylist",
)
OWNED = Kind(
    ("Piece of hers", "What it is", "Since", "Until", "Why it ended"),
    lambda rows: rows.select_related("unit__variant__piece", "unit__variant__shade").order_by("-since", "-pk"),
    _owned,
    "unit__variant",
)
DUE = Kind(
    ("Piece of hers", "What it is", "Expected end", "Its like costs today"),
    lambda rows: rows.select_related("owned_piece__unit__variant__piece", "owned_piece__unit__variant__shade").order_by(
        "due_on", "pk"
    ),
    _due,
    "owned_piece__unit__variant",
)
ASKED = Kind(
    ("Visit", "Day", "What was asked for"),
    lambda rows: rows.select_related("variant__piece", "variant__shade").order_by("-asked_at", "-pk"),
    _asked,
    "variant",
)


def _old(days: int) -> Callable[[Asked], QuerySet[Any]]:
    return lambda asked: owner_review.sold_lines(asked).filter(asked.old_enough(days))


def _kept(days: int) -> Callable[[Asked], QuerySet[Any]]:
    kept = Q(taken_back__isnull=True) | Q(taken_back__days_since__gt=days)
    return lambda asked: owner_review.sold_lines(asked).filter(asked.old_enough(days), kept)


def _not_yet(days: int) -> Callable[[Asked], QuerySet[Any]]:
    return lambda asked: owner_review.sold_lines(asked).exclude(asked.old_enough(days))


def _lines_of_visit() -> QuerySet[SaleLine]:
    return SaleLine.objects.sold().filter(visit_reference=OuterRef("reference"))


def _visits_old(days: int) -> Callable[[Asked], QuerySet[Any]]:
    return lambda asked: visits.consults(asked).filter(Exists(_lines_of_visit().filter(asked.old_enough(days))))


def _visits_kept(days: int) -> Callable[[Asked], QuerySet[Any]]:
    def rows(asked: Asked) -> QuerySet[Any]:
        within = owner_review.taken_back_within(days, asked)
        back = Return.objects.filter(within, line__visit_reference=OuterRef("reference"))
        return _visits_old(days)(asked).filter(~Exists(back))

    return rows


_PLAIN: dict[str, tuple[str, Kind, Callable[[Asked], QuerySet[Any]]]] = {
    "consults": ("Consults", VISIT, visits.consults),
    "consults-tried": (
        "Consults with a try-on",
        VISIT,
        lambda asked: visits.consults(asked).filter(visits.with_try_on()),
    ),
    "consults-sold": (
        "Consults that led to a sale",
        VISIT,
        lambda asked: visits.consults(asked).filter(Exists(_lines_of_visit())),
    ),
    "put-forward": ("Pieces put forward", CANDIDATE, visits.put_forward),
    "tried-on": ("Pieces tried on", CANDIDATE, lambda asked: visits.put_forward(asked).filter(visits.put_on())),
    "sold": ("Pieces sold", LINE, owner_review.sold_lines),
    "kept": (
        "Pieces sold and not taken back",
        LINE,
        lambda asked: owner_review.sold_lines(asked).exclude(owner_review.TAKEN_BACK),
    ),
    "judged": ("Pieces sold long enough ago to judge", LINE, owner_review.judged_lines),
    "judged-back": (
        "Of those, pieces that came back",
        LINE,
        lambda asked: owner_review.judged_lines(asked).filter(owner_review.TAKEN_BACK),
    ),
    "costed": (
        "Pieces that the margin rests on",
        LINE,
        lambda asked: owner_review.sold_lines(asked).filter(owner_review.with_known_cost(asked)),
    ),
    "could": ("Units that could have been sold", UNIT, stock_review.units_that_could_be_sold),
    "lying": (
        "Units for sale in the salon now",
        UNIT,
        lambda asked: stock_review.units_here().filter(stock_review.FOR_SALE),
    ),
    "dead": ("Dead stock", UNIT, lambda asked: stock_review.units_here().filter(stock_review.is_dead(asked))),
    "try-on": (
        "Units for trying on in the salon now",
        UNIT,
        lambda asked: stock_review.units_here().exclude(stock_review.FOR_SALE),
    ),
    **{
        f"{name}-{days}": (title.format(days=days), kind, rows(days))
        for days in (30, 90)
        for name, title, kind, rows in (
            ("old", "Pieces sold more than {days} days ago", LINE, _old),
            ("kept", "Pieces kept after {days} days", LINE, _kept),
            ("not-yet", "Pieces sold in the last {days} days", LINE, _not_yet),
            ("consults-old", "Consults with a piece sold more than {days} days ago", VISIT, _visits_old),
            ("consults-kept", "Consults of which nothing came back within {days} days", VISIT, _visits_kept),
        )
    },
}

Told = tuple[str, QuerySet[Any]] | None


def _of_reason(asked: Asked, of: str) -> Told:
    if not _is_key(of):
        return None
    reason = ReturnReason.objects.filter(pk=int(of)).first()
    lines = owner_review.sold_lines(asked).filter(taken_back__reason=int(of))
    return _about("Pieces that came back for this reason", reason), lines


def _of_trait(asked: Asked, of: str) -> Told:
    key, _, side = of.partition(".")
    factor = next((factor for factor in LOOKED_AT if factor.key == key), None)
    sides = {"having": True, "lacking": False, "having-back": True, "lacking-back": False}
    if factor is None or side not in sides:
        return None
    lines = owner_review.judged_lines(asked).filter(owner_review.was_measured(factor))
    trait = owner_review.has_trait(factor)
    lines = lines.filter(trait) if sides[side] else lines.exclude(trait)
    if side.endswith("back"):
        return "Pieces of these measurements that came back", lines.filter(owner_review.TAKEN_BACK)
    return "Pieces of these measurements", lines


def _of_fibre(asked: Asked, of: str) -> Told:
    fibre, _, only = of.partition(".")
    pieces = lives.pieces_of(fibre, asked)
    name = _fibre_named(fibre)
    if only == "worn-out":
        return _about("Pieces of this fibre that wore out", name), pieces.filter(ended=OwnedPiece.Ended.WORN_OUT)
    return None if only else (_about("Pieces of this fibre that were ever a client’s", name), pieces)


def _of_due(asked: Asked, of: str) -> Told:
    fibre, _, when = of.partition(".")
    dates = lives.expected_ends(asked)
    if fibre != ALL.key:
        dates = dates.filter(**{f"owned_piece__{lives.FIBRE}": fibre})
    match when:
        case "ahead":
            return _about(f"Due within {lives.AHEAD_DAYS} days", _fibre_named(fibre)), dates.filter(
                due_on__gte=asked.today
            )
        case "behind":
            return _about("Expected to have ended by now", _fibre_named(fibre)), dates.filter(due_on__lt=asked.today)
    return None


def _of_variant_sold(asked: Asked, of: str) -> Told:
    return _of_variant("Sold in the span", of, owner_review.sold_lines(asked))


def _of_variant_asked(asked: Asked, of: str) -> Told:
    return _of_variant("Asked for, not in the drawer", of, reorder_review.asked_in_vain(asked))


def _of_variant_here(asked: Asked, of: str) -> Told:
    return _of_variant("To sell here now", of, reorder_review.units_to_sell())


def _of_variant(title: str, of: str, rows: QuerySet[Any]) -> Told:
    if not _is_key(of):
        return None
    variant = Variant.objects.select_related("piece", "shade").filter(pk=int(of)).first()
    return _about(title, variant), rows.filter(variant=int(of))


def _of_missed(asked: Asked, of: str) -> Told:
    length, _, said = of.partition(".")
    if not said or (length and not _is_key(length)):
        return None
    missed = reorder_review.asked_in_vain(asked).filter(variant__isnull=True, words=said)
    return "Asked for, and not in the catalogue", missed.filter(length_mm=int(length) if length else None)


def _about(title: str, about: object) -> str:
    """The title, and what it is about where that is known."""
    return f"{title}: {about}" if about else title


def _fibre_named(fibre: str) -> str:
    """The name of that fibre; empty for all of them and for none of ours."""
    return dict(Piece.Fibre.choices).get(fibre, "")


def _is_key(of: str) -> bool:
    return of.isascii() and of.isdecimal() and len(of) <= 18


_OF: dict[str, tuple[Kind, Callable[[Asked, str], Told]]] = {
    "reason": (LINE, _of_reason),
    "trait": (LINE, _of_trait),
    "fibre": (OWNED, _of_fibre),
    "due": (DUE, _of_due),
    "variant-sold": (LINE, _of_variant_sold),
    "variant-asked": (ASKED, _of_variant_asked),
    "variant-here": (UNIT, _of_variant_here),
    "missed": (ASKED, _of_missed),
}
