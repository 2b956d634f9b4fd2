"""What is the stock worth to the salon: sell-through, days in the drawer, margin, dead stock, money tied up.

The caller sums in the database and folds sums with `+`; here they become figures. Money is whole minor units of one
currency, without tax. A unit whose cost nobody wrote down counts in numbers and never in money: margins say how many
they rest on.
"""

from __future__ import annotations

from dataclasses import dataclass, fields

from pieces.review.rates import Rate, rate_of


@dataclass(frozen=True)
class Held:
    """Sums over units of one group in one span.

    at_start: lay in the salon when the span began; came: came in new during it; sold, came_back: handed over in the
    span, and those of them taken back since. takings_minor: what the sold were sold for, without tax and less refunds;
    costed, costed_takings_minor, cost_minor: of the sold, those whose cost is known. lying: units in the drawer now;
    lain_days: the days they have lain there, summed; lying_costed, lying_minor: those of known cost; dead, dead_minor.
    """

    at_start: int = 0
    came: int = 0
    sold: int = 0
    came_back: int = 0
    takings_minor: int = 0
    costed: int = 0
    costed_takings_minor: int = 0
    cost_minor: int = 0
    lying: int = 0
    lain_days: int = 0
    lying_costed: int = 0
    lying_minor: int = 0
    dead: int = 0
    dead_minor: int = 0

    def __add__(self, other: Held) -> Held:
        return Held(*(getattr(self, field.name) + getattr(other, field.name) for field in fields(Held)))


@dataclass(frozen=True)
class Worth:
    """sell_through: sold and kept among all that could have been; margin: None where no cost is known."""

    sell_through: Rate
    days_in_drawer: float | None
    margin_minor: int | None
    margin_share: float | None
    margin_of: int
    tied_up_minor: int
    tied_up_of: int
    dead: Rate
    dead_minor: int


def worth_of(held: Held) -> Worth:
    """The figures of one group.

    >>> worth_of(Held(at_start=4, came=6, sold=5, came_back=1)).sell_through.share
    0.4
    """
    kept = max(held.sold - held.came_back, 0)
    # a special order may be handed over in a span in which it neither lay nor came
    could = max(held.at_start + held.came, kept)
    margin = held.costed_takings_minor - held.cost_minor if held.costed else None
    return Worth(
        sell_through=rate_of(kept, could),
        days_in_drawer=held.lain_days / held.lying if held.lying else None,
        margin_minor=margin,
        margin_share=margin / held.costed_takings_minor
        if margin is not None and held.costed_takings_minor > 0
        else None,
        margin_of=held.costed,
        tied_up_minor=held.lying_minor,
        tied_up_of=held.lying_costed,
        dead=rate_of(held.dead, held.lying),
        dead_minor=held.dead_minor,
    )
