"""What came back: how often, why, and what it had in common; the middle of the review."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import inf

from django.urls import reverse

from fittings.house_numbers import ALL_NUMBERS
from fittings.review import pictures
from fittings.review.section import NO_PICTURE, Lead, Reading, Section
from fittings.review.tables import Cell, Column, Row, Table, count, rate, rate_columns, share_said, times_said, words
from fittings.rules.wording import Units, say_number
from pieces.owner_review import JUDGED_AFTER_DAYS, WhatWasSold
from pieces.review.in_common import (
    FEWEST_RETURNED,
    FEWEST_TO_COMPARE,
    LOOKED_AT,
    Effect,
    Factor,
    Says,
    Side,
    Split,
    compare,
)
from pieces.review.pareto import pareto
from pieces.review.ranking import Standing, rank
from pieces.review.rates import FEWEST_TO_RANK
from pieces.review_groups import Group

HOUSE: Mapping[str, tuple[str, float]] = {
    "margin_mm": ("margin_mm", 1),
    "cover": ("cover_least_percent", 0.01),
    "clips_holding": ("clips_needed", 1),
    "colour_difference": ("band_close", 1),
}
"""The house number of each measurement, and what one of it is in the unit of the measurement."""
_UNITS = {
    "margin_mm": "mm",
    "cover": "share",
    "clips_holding": "clips",
    "colour_difference": "ΔE00",
    "length_step_mm": "mm",
}
_CALLED = {
    "margin_mm": "a margin",
    "cover": "a cover",
    "clips_holding": "clips that held",
    "colour_difference": "a colour difference",
    "length_step_mm": "a length beyond her wish",
    "is_first_piece": "her first piece",
}
_VERDICTS = {
    Says.TOO_FEW: "Too few to say",
    Says.NOTHING: "No difference that chance would not make",
    Says.MORE: "Came back more often",
    Says.LESS: "Came back less often",
    Says.FOR: "Speaks for the house rule",
    Says.STRICTER: "Speaks for a stricter house rule",
    Says.AGAINST: "Speaks against the house rule",
}


def how_often(sold: WhatWasSold, reading: Reading) -> Section:
    """The rate of return of each group, as counted and as it likely is."""
    counts = {group: (sums.judged_back, sums.judged) for group, sums in sold.by_group.items() if sums.judged}
    ranking = rank(counts)
    of = reading.asked.grouping.label
    rows = [_rate_row(place, standing, reading) for place, standing in enumerate(ranking.ranked, 1)]
    rows += [_rate_row(None, standing, reading) for standing in ranking.too_few]
    young = sold.all.sold - sold.all.judged
    says = [f"Sold in the last {JUDGED_AFTER_DAYS} days and not judged yet: {young:,}."] if young else []
    if counts:
        all_together = rate(ranking.overall)
        says.insert(0, f"Of all pieces judged, {all_together.shown} came back ({all_together.more}).")
    table = Table(
        "returns",
        f"What came back, by {of.lower()}",
        of,
        (
            Column("Place"),
            rate_columns("Came back"),
            Column("Likely", ("Likely share", "Likely low 95 %", "Likely high 95 %")),
        ),
        rows,
        empty="No piece was sold long enough ago to say.",
        notes=(
            "Likely: the share that is left when the other groups are heard too, so that one of one leads no list.",
            f"Ranked by what is likely, and only with {FEWEST_TO_RANK} pieces or more; those with fewer come last.",
        ),
    )
    drawn = [
        pictures.Span(
            standing.key.name,
            standing.likely.share,
            standing.likely.low,
            standing.likely.high,
            f"{share_said(standing.likely.share)} ({standing.rate.x} of {standing.rate.n})",
        )
        for standing in ranking.ranked[: pictures.MOST_BARS]
    ]
    title = "Likely share that comes back, with its 95 % interval; dashed: all together"
    picture = (
        pictures.shares(drawn, key="returns", title=title, overall=ranking.overall)
        if drawn and reading.draws
        else NO_PICTURE
    )
    return Section("returns", "What comes back", says, (table,), picture)


def _rate_row(place: int | None, standing: Standing[Group], reading: Reading) -> Row:
    likely = standing.likely
    more = "above all together" if standing.is_above else "below all together" if standing.is_below else ""
    said = f"95 %: {100 * likely.low:.0f} to {100 * likely.high:.0f} %"
    return Row(
        standing.key.name,
        (
            Cell("too few" if place is None else str(place), ("" if place is None else place,)),
            rate(
                standing.rate,
                reading.opens("judged-back", standing.key.key),
                reading.opens("judged", standing.key.key),
            ),
            Cell(
                share_said(likely.share),
                tuple("" if part is None else round(part, 4) for part in (likely.share, likely.low, likely.high)),
                "",
                f"{said}; {more}" if more else said,
            ),
        ),
    )


def why(sold: WhatWasSold, reading: Reading) -> Section:
    """The reasons, the most frequent first, with the share that each and all before it reach together."""
    bars = pareto(sold.by_reason)
    rows = [
        Row(
            bar.key[1],
            (
                count(bar.count, reading.opens(f"reason:{bar.key[0]}")),
                rate(bar.rate),
                Cell(share_said(bar.reached), (round(bar.reached, 4),)),
            ),
        )
        for bar in bars
    ]
    table = Table(
        "reasons",
        "Reasons for what came back",
        "Reason",
        (Column("Pieces"), rate_columns("Of all that came back"), Column("Together with those above")),
        rows,
        empty="Nothing of what was sold in these days has come back.",
    )
    few = [bar.key[1] for bar in bars if bar.is_of_the_few]
    says = []
    if bars:
        reached = next(bar.reached for bar in reversed(bars) if bar.is_of_the_few)
        says = [f"{_listed(few)}: together {share_said(reached)} of {sum(bar.count for bar in bars):,} that came back."]
    drawn = [
        pictures.Bar(
            bar.key[1], bar.rate.share or 0.0, f"{bar.count} ({share_said(bar.rate.share)})", not bar.is_of_the_few
        )
        for bar in bars[: pictures.MOST_BARS]
    ]
    title = "Reasons, and the share they reach together"
    reached_by = [bar.reached for bar in bars[: pictures.MOST_BARS]]
    picture = pictures.pareto(drawn, reached_by, key="reasons", title=title) if drawn and reading.draws else NO_PICTURE
    return Section("reasons", "Why it comes back", says, (table,), picture)


def in_common(
    counts: tuple[Mapping[str, Split], Mapping[str, Split]], house: Mapping[str, float], reading: Reading
) -> Section:
    """How many times as often pieces of certain measurements came back, and the house rule that speaks to."""
    factors = [_with_house_number(factor, house) for factor in LOOKED_AT]
    effects = compare(factors, *counts)
    found = [effect for effect in effects if effect.is_found]
    looked_at = max((effect.looked_at for effect in effects), default=0)
    says = [effect_said(effect, house, reading.units) for effect in found]
    if not found:
        says = ["Nothing that was measured sets what came back apart from what was kept, as far as can be told."]
    leads = [
        Lead(f"House rule: {ALL_NUMBERS[key].label.lower()}", reverse("house-rule", args=[key]))
        for key in dict.fromkeys(HOUSE[effect.factor.key][0] for effect in found if effect.factor.key in HOUSE)
    ]
    table = Table(
        "in-common",
        "Pieces with a measurement, against those without it",
        "Sold with",
        (
            rate_columns("Came back with it"),
            rate_columns("Came back without it"),
            Column("Times as often", ("Times as often", "Times low 95 %", "Times high 95 %")),
            Column("Chance (p)"),
            Column("What it says", ("What it says", "House rule now")),
        ),
        [_effect_row(effect, house, reading) for effect in effects],
        notes=(
            f"Too few to say: under {FEWEST_TO_COMPARE} pieces on a side, or under {FEWEST_RETURNED} that came back.",
            "p: how often chance alone would make a difference as large as this. It speaks from under 0.05 on.",
            f"By Fisher’s exact test, made stricter for the {looked_at} that were looked at (Holm); the range beside "
            "“times as often” is not, so it can leave out 1 while the verdict still says chance.",
            "ΔE00 is how far two colours lie apart, here the shade and her own hair; by the house rules the difference "
            f"disappears up to {house['band_disappears']:.1f}.",
            "What goes together need not be the cause.",
        ),
    )
    drawn = [
        pictures.Span(
            trait_said(effect.factor, reading.units),
            effect.ratio,
            effect.low,
            effect.high,
            f"{effect.ratio:.1f} ({effect.low:.1f} to {times_said(effect.high)})",
        )
        for effect in effects
        if effect.ratio is not None and effect.says != Says.TOO_FEW
    ]
    title = "How many times as often pieces came back, with the 95 % interval; dashed: no difference"
    picture = pictures.ratios(drawn, key="in-common", title=title) if drawn and reading.draws else NO_PICTURE
    return Section("in-common", "What it had in common", says, (table,), picture, leads)


def _with_house_number(factor: Factor, house: Mapping[str, float]) -> Factor:
    if factor.key not in HOUSE:
        return factor
    key, scale = HOUSE[factor.key]
    return Factor(factor.key, factor.side, factor.threshold, house[key] * scale)


def trait_said(factor: Factor, units: Units) -> str:
    """“a margin under 1.0 cm”."""
    called = _CALLED[factor.key]
    if factor.side is Side.YES or factor.threshold is None:
        return called
    if factor.key == "clips_holding":
        return f"under {factor.threshold:g} clips that held"
    return f"{called} {factor.side.value} {say_number(factor.threshold, _UNITS[factor.key], units)}"


def effect_said(effect: Effect, house: Mapping[str, float], units: Units) -> str:
    """One sentence: how many times as often, how sure, and what the house rule is."""
    said = (
        f"Pieces sold with {trait_said(effect.factor, units)}" if effect.factor.side is not Side.YES else "First pieces"
    )
    said = f"{said} came back {_ratio_said(effect)}"
    said += f": {effect.having.x} of {effect.having.n} against {effect.lacking.x} of {effect.lacking.n}."
    if effect.factor.key in HOUSE:
        verdict = _VERDICTS[effect.says]
        said += f" The house rule is {_house_said(effect.factor, house, units)}. {verdict}."
    return said


def _ratio_said(effect: Effect) -> str:
    if effect.ratio is None:
        return "more often" if effect.having.x else "–"
    high = times_said(effect.high)
    return f"{effect.ratio:.1f} times as often (95 %: {effect.low:.1f} to {high})"


def _house_said(factor: Factor, house: Mapping[str, float], units: Units) -> str:
    key, _ = HOUSE[factor.key]
    return say_number(house[key], ALL_NUMBERS[key].unit, units)


def _effect_row(effect: Effect, house: Mapping[str, float], reading: Reading) -> Row:
    factor = effect.factor
    rule = _house_said(factor, house, reading.units) if factor.key in HOUSE else ""
    high = "" if effect.high == inf else round(effect.high, 3)
    ratio = "" if effect.ratio is None else round(effect.ratio, 3)
    times = "–" if effect.ratio is None else f"{effect.ratio:.1f}"
    return Row(
        trait_said(factor, reading.units),
        (
            *(
                rate(
                    side, reading.opens(f"trait:{factor.key}.{name}-back"), reading.opens(f"trait:{factor.key}.{name}")
                )
                for name, side in (("having", effect.having), ("lacking", effect.lacking))
            ),
            Cell(
                times, (ratio, round(effect.low, 3), high), "", f"95 %: {effect.low:.1f} to {times_said(effect.high)}"
            ),
            words("–" if effect.p is None else _p_said(effect.p)),
            Cell(
                _VERDICTS[effect.says],
                (_VERDICTS[effect.says], rule),
                more=f"House rule: {rule}" if rule else "",
                more_href=reverse("house-rule", args=[HOUSE[factor.key][0]]) if rule else "",
            ),
        ),
    )


def _p_said(p: float) -> str:
    return "under 0.001" if p < 0.001 else f"{p:.3f}"


def _listed(names: Sequence[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
