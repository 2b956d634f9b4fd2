"""Gathers the whole page: every number in a fixed number of queries, whatever there is to count."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from functools import cached_property

from fittings.models import HouseRule
from fittings.review.life_sections import how_long, what_falls_due
from fittings.review.lives import due_by_fibre, lasted_by_fibre
from fittings.review.order_form import missed_table, proposal_table
from fittings.review.return_sections import how_often, in_common, why
from fittings.review.section import Reading, Section
from fittings.review.selling_sections import from_consult_to_kept, in_the_drawers
from fittings.review.tables import Table
from fittings.review.visits import led_to, tried_by_group
from pieces.owner_review import in_common_counts, what_was_sold
from pieces.reorder_review import Reorder, reorder
from pieces.review.in_common import LOOKED_AT
from pieces.stock_review import stock_by_group


@dataclass(frozen=True)
class ReviewPage:
    sections: list[Section]
    reorder: Reorder
    proposal: Table
    missed: Table

    @cached_property
    def tables(self) -> dict[str, Table]:
        """Every table of the page by its key, as files are asked for."""
        shown = [table for section in self.sections for table in section.tables]
        return {table.key: table for table in (*shown, self.proposal, self.missed)}


def review_page(reading: Reading, also: Collection[int] = ()) -> ReviewPage:
    """also: variants that were written into the reorder proposal."""
    asked = reading.asked
    sold = what_was_sold(asked)
    proposed = reorder(asked, also)
    return ReviewPage(
        sections=[
            from_consult_to_kept(led_to(asked), sold, tried_by_group(asked), reading),
            in_the_drawers(sold, stock_by_group(asked), reading),
            how_often(sold, reading),
            why(sold, reading),
            in_common(in_common_counts(asked, LOOKED_AT), HouseRule.objects.current(), reading),
            how_long(lasted_by_fibre(asked), reading),
            what_falls_due(due_by_fibre(asked), reading),
        ],
        reorder=proposed,
        proposal=proposal_table(proposed, reading),
        missed=missed_table(proposed, reading),
    )
