"""How long pieces of each fibre have lasted, and what falls due for replacement and is worth how much.

All pieces that were ever a client's are heard, not only those of the span: a life is longer than most spans. The curve
is the pure `fittings.care.life`'s; the days between are reckoned by the database, a row for each number of days.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import timedelta
from typing import Any, Final

from django.db.models import Count, DateField, F, Func, IntegerField, Q, QuerySet, Value
from django.db.models.functions import Coalesce

from fittings.care.life import Lasted
from fittings.models import CareDate, OwnedPiece
from pieces.models import Piece
from pieces.review_asked import Asked, summed

AHEAD_DAYS: Final = 90
FIBRE: Final = "unit__variant__piece__fibre"


class _DaysFromTo(Func):
    """Whole days from one date to another."""

    output_field = IntegerField()
    arity = 2

    def as_sqlite(self, compiler: Any, connection: Any, **more: Any) -> Any:
        template, joiner = "CAST(julianday(%(expressions)s) AS INTEGER)", ") - julianday("
        return self.as_sql(compiler, connection, template=template, arg_joiner=joiner, **more)

    def as_postgresql(self, compiler: Any, connection: Any, **more: Any) -> Any:
        return self.as_sql(compiler, connection, template="(%(expressions)s)", arg_joiner=" - ", **more)


def pieces_of(fibre: str, asked: Asked) -> QuerySet[OwnedPiece]:
    """Every piece of the fibre that was ever a client's."""
    return OwnedPiece.objects.filter(since__lte=asked.today, **{FIBRE: fibre})


def lasted_by_fibre(asked: Asked) -> dict[str, list[Lasted]]:
    """What is known of the lives of each fibre, in one query; fibres of which no piece was sold are left out."""
    until = Coalesce(F("until"), Value(asked.today, output_field=DateField()))
    rows = (
        OwnedPiece.objects.filter(since__lte=asked.today)
        .order_by()
        .annotate(days=_DaysFromTo(until, F("since")))
        .values_list("days", FIBRE)
        .annotate(worn_out=Count("pk", filter=Q(ended=OwnedPiece.Ended.WORN_OUT)), pieces=Count("pk"))
    )
    found: dict[str, list[Lasted]] = {}
    for days, fibre, worn_out, pieces in rows:
        of_fibre = found.setdefault(fibre, [])
        of_fibre.append(Lasted(days, True, worn_out))
        of_fibre.append(Lasted(days, False, pieces - worn_out))
    return {str(fibre): found[fibre] for fibre in Piece.Fibre if fibre in found}


@dataclass
class Due:
    """Pieces whose expected end lies ahead or behind; worth: what their like costs today, in the salon's currency."""

    due: int = 0
    worth_minor: int = 0
    overdue: int = 0
    overdue_worth_minor: int = 0


def expected_ends(asked: Asked) -> QuerySet[CareDate]:
    """The expected ends, up to AHEAD_DAYS from today, of pieces that are still worn."""
    last = asked.today + timedelta(days=AHEAD_DAYS)
    return CareDate.objects.filter(kind=CareDate.Kind.REPLACE, due_on__lte=last, owned_piece__until__isnull=True)


def due_by_fibre(asked: Asked) -> dict[str, Due]:
    """What falls due, by fibre, in one query."""
    ahead, behind = Q(due_on__gte=asked.today), Q(due_on__lt=asked.today)
    unit = "owned_piece__unit__variant"
    price, currency = F(f"{unit}__price_minor"), Q(**{f"{unit}__currency": asked.currency})
    rows = (
        expected_ends(asked)
        .order_by()
        .values_list(f"{unit}__piece__fibre")
        .annotate(
            due=Count("pk", filter=ahead),
            worth=summed(price, ahead & currency),
            overdue=Count("pk", filter=behind),
            overdue_worth=summed(price, behind & currency),
        )
    )
    found: dict[str, Due] = defaultdict(Due, {fibre: Due(*sums) for fibre, *sums in rows})
    return {str(fibre): found[fibre] for fibre in Piece.Fibre if fibre in found}
