"""Which moves a unit's page offers while it lies somewhere, what they are called, and whose they are.

Whether a move may be is `pieces.stock`'s to say; what is sold, lent or taken back is moved where that is written down.
"""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass

from pieces.models import Unit
from pieces.stock import back_from_cleaning, keep_apart, let_in_again, release_unit, send_to_be_cleaned, write_off

EVERYBODY, OWNER = "pieces.add_stockmovement", "pieces.change_unit"


@dataclass(frozen=True)
class Move:
    """One press of the unit's page. slug: how its address ends; done: what is said of `{unit}` afterwards."""

    slug: str
    says: str
    done: str
    deed: Callable[..., Unit]
    offered: Collection[str]
    needs: str = EVERYBODY
    asks_why: str = ""
    """Of a move with a reason: an example of one."""

    @property
    def name(self) -> str:
        """Of its address."""
        return f"unit-{self.slug}"


_DRAWER, _CLEANING, _APART = Unit.State.DRAWER, Unit.State.CLEANING, Unit.State.APART
MOVES = (
    Move(
        "release", "Put it back into the drawer", "{unit} is back in the drawer.", release_unit, [Unit.State.RESERVED]
    ),
    Move("clean", "Send it to be cleaned", "{unit} is to be cleaned.", send_to_be_cleaned, [_DRAWER, _APART]),
    Move("cleaned", "It is clean: into the drawer", "{unit} is clean, in the drawer.", back_from_cleaning, [_CLEANING]),
    Move("let-in", "It is fit for the drawer", "{unit} is back in the drawer.", let_in_again, [_APART]),
    Move(
        "apart",
        "Keep it apart",
        "{unit} is kept apart.",
        keep_apart,
        [_DRAWER, _CLEANING],
        asks_why="such as: seal broken, to be looked at",
    ),
    Move(
        "write-off",
        "Write it off",
        "{unit} is written off.",
        write_off,
        [_DRAWER, _CLEANING, _APART],
        needs=OWNER,
        asks_why="such as: torn beyond repair",
    ),
)
