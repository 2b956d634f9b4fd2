"""What the care sheet of one owned piece says: what it is, how it is worn and kept, what not to do, and its dates.

The piece as it is now: its fixing, the house rules and the printed notes of the rules as of today; where it was placed
when she chose it, the place and the notes frozen then. Common practice in our own words; the maker's instructions come
first, and the paper says so.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from fittings.candidates import rule_book
from fittings.keeping_findings import kept_findings
from fittings.models import CareDate, HouseRule, OwnedPiece, Service
from fittings.paper.findings_told import instructions_in
from fittings.paper.measured import Fact
from fittings.paper.piece_told import made_of
from fittings.paper.salon_words import SalonWords, joined
from fittings.paper.sheet import Entry, Section, Sheet, Table, facts, sheet, unbroken
from fittings.paper.wearing import WornPiece, instructions
from fittings.plan_facts import piece_facts
from fittings.rules.engine import Plan
from fittings.rules.rule import About
from pieces.models import Base
from salon.models import Salon

ABOUT_A_PIECE: tuple[About, ...] = ("piece",)
ASK_US = "None is worked out yet; call us whenever you like."
FROM = {
    "told": "As you told us: {}.",
    "assumed": "Not asked yet: {}.",
    "house": "{} (house rules of common practice).",
    "own pieces": "{} (the salon's own pieces).",
}
"""Where a date's figures are from, said to her; what is in the record alone is left out here."""


def care_sheet(owned: OwnedPiece, *, salon: Salon, on: date) -> Sheet:
    """The paper as it is printed that day, in a fixed number of queries. Call with unit, piece, base and shade read."""
    words, numbers = SalonWords.of(salon), HouseRule.objects.current()
    worn = _worn(owned, numbers, on=on, words=words)
    sections = [
        Section("Your piece", facts=what_it_is(owned, words)),
        Section(
            "Wearing and caring",
            says=("Wherever the maker's own instructions differ, they come first.",),
            entries=tuple(Entry(one.heading, points=one.sentences) for one in instructions([worn], words)),
        ),
        Section("What not to do", points=tuple(_never(worn))),
    ]
    if owned.is_hers:
        sections.append(_dates(owned, words, on=on))
    return sheet(
        "Care sheet",
        owned.client,
        salon=salon,
        on=on,
        subject=owned.reference,
        heading=f"How to wear and keep {owned.unit.variant.piece.name}",
        sections=tuple(sections),
        whom_to_call=True,
    )


def what_it_is(owned: OwnedPiece, words: SalonWords) -> tuple[Fact, ...]:
    """The piece, what holds it now, and since when it is hers."""
    variant = owned.unit.variant
    piece, base = variant.piece, variant.piece.base
    return facts(
        ("Piece", f"{piece.name} by {base.maker}"),
        ("Hair", f"{piece.get_fibre_display()}, {piece.get_texture_display().lower()}"),
        ("Length and shade", f"{words.length(variant.length_mm)}, {variant.shade}"),
        ("Base", f"{base.name}, {made_of(base)}"),
        ("Held by", _held_by(owned)),
        ("Takes turns with", str(owned.partner) if owned.partner else ""),
        ("Piece number", owned.unit.number),
        ("Yours since", words.day(owned.since)),
        ("Yours until", words.day(owned.until) if owned.until else ""),
    )


def _held_by(owned: OwnedPiece) -> str:
    held = []
    if owned.clips:
        held.append("1 clip" if len(owned.clips) == 1 else f"{len(owned.clips)} clips")
    by_product: dict[str, list[str]] = {}
    for area in owned.tape:
        by_product.setdefault(area.get("product", ""), []).append(str(area.get("where", "")).lower())
    for product, places in by_product.items():
        held.append(" ".join(filter(None, ("tape", joined([*filter(None, places)]), product and f"({product})"))))
    return ", ".join(held)


def _worn(owned: OwnedPiece, numbers: Mapping[str, float], *, on: date, words: SalonWords) -> WornPiece:
    variant, candidate = owned.unit.variant, owned.candidate
    piece = variant.piece
    known = piece_facts(piece, length_mm=float(variant.length_mm))
    known["has_metal_clips"] = bool(known["has_metal_clips"] or owned.clips)  # a clip may have been sewn in since
    said = kept_findings(rule_book().check(Plan(known), numbers, on=on, about=ABOUT_A_PIECE, units=words.units))
    today = {one["rule_id"] for one in said}
    then = [one for one in (candidate.findings if candidate else ()) if one["rule_id"] not in today]
    done = list(Service.objects.done().filter(owned_piece=owned).order_by("-done_at", "-pk"))
    return WornPiece(
        name=piece.name,
        fibre=piece.fibre,
        synthetic_part=piece.synthetic_part,
        rated_c=piece.rated_c,
        curl_set_c=piece.curl_set_c,
        is_coloured=bool(owned.unit.lightened_before)
        or any(one.kind in (Service.Kind.COLOUR, Service.Kind.TONE) or one.facts.get("unit_coloured") for one in done),
        front_edge=piece.base.front_edge,
        is_cap=piece.base.outline == Base.Outline.FULL_CAP,
        fixing=_fixing(owned, done),
        set_back_mm=candidate.set_back_mm if candidate else None,
        is_turned=bool(candidate and candidate.turned),
        numbers=numbers,
        own_rules=instructions_in([*said, *then]),
        wash_every_wears=numbers[f"care_wash_wears_{piece.fibre}"],
    )


def _fixing(owned: OwnedPiece, done: list[Service]) -> frozenset[str]:
    """By its clips and tape now; by an adhesive where it was fixed with one the last time."""
    fixing = {name for name, there in (("clips", owned.clips), ("tape", owned.tape)) if there}
    last = next((one for one in done if one.kind == Service.Kind.FIXING), None)
    if last and "liquid adhesive" in last.facts.get("planned_fixing", ()):
        fixing.add("liquid adhesive")
    return frozenset(fixing)


def _never(worn: WornPiece) -> list[str]:
    """What each line forbids at home, as the rule named beside it does in the salon."""
    said = ["Do not sleep in it."]  # sleep
    if worn.weakest_fibre == "standard":
        said.append(
            "No heat: no iron, tong, hot rollers, hair dryer or steam at home."
        )  # heat-standard, steam-standard
    if worn.fibre == "human":
        said.append("Do not colour or lighten it yourself: it is tried on a strand first, and it never grows out.")
    else:
        said.append("Do not colour or lighten it: its fibre takes no dye, and what is done stays.")  # colour-synthetic
    if worn.is_stuck:
        said.append("No other tape or adhesive than the one your skin was tested with.")  # adhesive-test
    said.append("No household glue, on your skin or on the piece.")  # glue-household
    said.append(
        "Do not wear it over sore, broken or inflamed skin, and never where it pulls or hurts."
    )  # adhesive-skin
    wet = ", least of all while a remover is wet" if worn.is_stuck else ""  # heat-solvent
    said.append(f"No flame, cigarette or hot tool near it{wet}.")
    return said


def _dates(owned: OwnedPiece, words: SalonWords, *, on: date) -> Section:
    tables = dates_table(owned, words, on=on)
    if not tables:
        return Section("Its dates", empty=ASK_US)
    says = "They move with how often you wear and wash it: tell us of both, and we work them out anew."
    return Section("Its dates", says=(says,), tables=tables)


def dates_table(owned: OwnedPiece, words: SalonWords, *, on: date | None = None) -> tuple[Table, ...]:
    """Its care dates with what they rest on; no table while there are none. `on`: the day past dates are told from."""
    rows = tuple((str(one.get_kind_display()), _when(one, words, on), _why(one)) for one in owned.care_dates.all())
    return (Table("What it wants, and when", ("What", "When", "Why"), rows),) if rows else ()


def _when(one: CareDate, words: SalonWords, on: date | None) -> str:
    """The day, “since” where it is past; of an expected end, about when and between which days."""
    is_past = on is not None and one.due_on < on
    about = "about " if one.kind == CareDate.Kind.REPLACE else "since " if is_past else ""
    if not one.earliest_on and not one.latest_on:
        return f"{about}{unbroken(words.day(one.due_on))}"
    first = unbroken(words.day(one.earliest_on)) if one.earliest_on else "no earliest day known"
    last = unbroken(words.day(one.latest_on)) if one.latest_on else "no latest day known"
    return f"{about}{unbroken(words.day(one.due_on))} ({first} to {last})"


def _why(one: CareDate) -> str:
    """What it rests on, by where that is from: her own words, what is assumed, the salon's figures as such."""
    by_source: dict[str, list[str]] = {}
    for ground in one.rests_on.get("grounds", []):
        if ground["source"] in FROM:
            by_source.setdefault(ground["source"], []).append(ground["says"])
    return " ".join(FROM[source].format("; ".join(said)) for source, said in by_source.items())
