"""What happens in the demo's past, told in the order of time, so that receipts and movements are numbered as they came.

Each happening may lead to later ones. The clock stands at its moment while it is told.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from functools import partial
from heapq import heappop, heappush
from itertools import count

from salon.demo.clock import clock_at


class Story:
    """A queue of what is still to happen; of two at one moment the one that was announced first."""

    def __init__(self) -> None:
        self._to_come: list[tuple[datetime, int, Callable[[datetime], object]]] = []
        self._number = count()

    def then(self, at: datetime, happens: Callable[..., object], *about: object) -> None:
        """Let it happen at that moment; it is called with what it is about, and the moment last."""
        told: Callable[[datetime], object] = partial(happens, *about)
        heappush(self._to_come, (at, next(self._number), told))

    def tell(self, *, until: datetime, month_begins: Callable[[datetime], None] | None = None) -> None:
        """All that happens up to this moment; what would come after it stays untold.

        month_begins: called with the first moment of each month in which something happens.
        """
        month = None
        while self._to_come and self._to_come[0][0] <= until:
            at, _, happens = heappop(self._to_come)
            if month_begins and (at.year, at.month) != month:
                month = (at.year, at.month)
                month_begins(at)
            with clock_at(at):
                happens(at)
