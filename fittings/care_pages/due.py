"""What falls due for whom, or is overdue, one page of it in a fixed number of queries however many pieces there are.

A page begins after the key of the last row before it, so the hundredth page costs what the first does.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Final

from clients.models import Client
from fittings.messages.wanted import care_told_as
from fittings.models import Appointment, CareDate, Purpose, Reminder, ServiceKind

Kind = CareDate.Kind
AHEAD: Final = timedelta(weeks=4)
A_PAGE, A_PRINTED_PAGE = 40, 400
COMES_FOR: Final = {
    Kind.WASH: Purpose.WASH,
    Kind.DEEP: Purpose.WASH,
    Kind.TAPE: Purpose.FITTING,
    Kind.CHECK: Purpose.CHECK_UP,
    Kind.ORDER: Purpose.CONSULT,
    Kind.REPLACE: Purpose.CONSULT,
}
"""What a visit for it is for, so that the right kind of visit is offered."""


@dataclass(frozen=True)
class DueRow:
    """A date, what is booked for her already, the message about it, the kind of visit to book, and the expected end
    of the piece where the next one is to be ordered."""

    care_date: CareDate
    overdue_days: int
    coming: Appointment | None = None
    message: Reminder | None = None
    visit: ServiceKind | None = None
    ends_on: date | None = None

    @property
    def client(self) -> Client:
        return self.care_date.owned_piece.client


@dataclass(frozen=True)
class DueWeek:
    """Rows of one week by its Monday; `begins` is None for all that is overdue."""

    begins: date | None
    rows: list[DueRow]


@dataclass(frozen=True)
class DuePage:
    weeks: list[DueWeek]
    next_key: str


def due_page(*, kind: str, after: str, on: date, at: datetime, length: int = A_PAGE) -> DuePage:
    """The rows after the key `after` ("2026-03-02~17"; empty: from the longest overdue on), by week."""
    dates = CareDate.objects.due_by(on + AHEAD)
    dates = dates.filter(kind=kind) if kind else dates.exclude(kind=Kind.REPLACE)  # of which she is told by its order
    if key := _read(after):
        dates = dates.filter(due_on__gte=key[0]).exclude(due_on=key[0], pk__lte=key[1])
    # first the keys alone, which the index holds in order: a join would let a database begin with the clients
    keys = list(dates.values_list("pk", "due_on")[: length + 1])
    found = CareDate.objects.filter(
        pk__in=[pk for pk, _ in keys[:length]], owned_piece__client__in=Client.objects.active()
    ).select_related(
        "owned_piece__client", "owned_piece__unit__variant__piece__base__maker", "owned_piece__unit__variant__shade"
    )
    page = list(found.order_by("due_on", "pk"))
    last = keys[length - 1] if len(keys) > length else None
    return DuePage(_by_week(_rows(page, on=on, at=at), on), f"{last[1]}~{last[0]}" if last else "")


def _read(after: str) -> tuple[date, int] | None:
    day, _, key = after.partition("~")
    try:
        return date.fromisoformat(day), int(key[:18])
    except ValueError:
        return None


def _rows(page: Sequence[CareDate], *, on: date, at: datetime) -> list[DueRow]:
    clients = {row.owned_piece.client_id for row in page}
    pieces = {row.owned_piece_id for row in page}
    coming: dict[int, Appointment] = {}
    booked = Appointment.objects.filter(client__in=clients, state=Appointment.State.BOOKED, starts_at__gt=at)
    for appointment in booked.select_related("kind").order_by("-starts_at"):
        coming[appointment.client_id] = appointment  # the earliest last
    about_care = Reminder.objects.filter(owned_piece__in=pieces, kind=Reminder.Kind.CARE).exclude(
        state=Reminder.State.DROPPED
    )
    messages = {(message.owned_piece_id, message.about): message for message in about_care}
    visits: dict[str, ServiceKind] = {}
    for kind in ServiceKind.objects.offered().order_by("pk"):
        visits.setdefault(kind.purpose, kind)
    ends = dict(
        CareDate.objects.filter(owned_piece__in=pieces, kind=Kind.REPLACE).values_list("owned_piece_id", "due_on")
    )
    return [
        DueRow(
            care_date=row,
            overdue_days=max(0, (on - row.due_on).days),
            coming=coming.get(row.owned_piece.client_id),
            message=messages.get((row.owned_piece_id, care_told_as(row))),
            visit=visits.get(COMES_FOR[Kind(row.kind)]),
            ends_on=ends.get(row.owned_piece_id),
        )
        for row in page
    ]


def _by_week(rows: Sequence[DueRow], on: date) -> list[DueWeek]:
    weeks: list[DueWeek] = []
    for row in rows:
        monday = row.care_date.due_on - timedelta(days=row.care_date.due_on.weekday())
        begins = None if row.overdue_days else monday
        if not weeks or weeks[-1].begins != begins:
            weeks.append(DueWeek(begins, []))
        weeks[-1].rows.append(row)
    return weeks
