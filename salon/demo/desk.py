"""What the front desk of the demo has in hand besides its appointments: who waits for a time, which pieces are on their
way, what lies ready for the next visit, and who was asked to tell about herself at home.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import time, timedelta

from django.utils.timezone import localdate

from clients.intaking import Answers, make_intake_link, send_intake
from clients.models.consent import ConsentKind, SignedWhere
from clients.signatures import Strokes
from fittings.awaiting import await_piece, piece_came_in
from fittings.laying_out import add_unit_to_try, mark_laid_out, units_suggested
from fittings.models import Appointment, AwaitedPiece, PartOfDay, ServiceKind
from fittings.waiting import put_on_list
from pieces.models import Unit
from salon.demo.clock import clock_at
from salon.demo.days import Desk, days_ago, working_day
from salon.demo.sending import send_up_to
from salon.demo.shop import CHECK_UP, CONSULT, CUT_IN, FITTING, REPAIR, WASH


@dataclass(frozen=True)
class OnItsWay:
    """Days are counted from the day of loading; those still to come are working days."""

    client: str
    what: str
    noted_days_ago: int
    expected_in_days: int | None = None
    came_in_days_ago: int | None = None


@dataclass(frozen=True)
class Waits:
    """One wish. `instead_of_next`: she has an appointment of that kind, and would come earlier."""

    client: str
    kind: str
    days_ago: int
    stylist: str = ""
    from_days: int = 0
    for_days: int | None = None
    part_of_day: PartOfDay = PartOfDay.ANY
    weekdays: tuple[int, ...] = ()
    short_notice: bool = False
    instead_of_next: bool = False
    note: str = ""


ON_THEIR_WAY = (
    OnItsWay("rosalind", "Lantern Court, a shade lighter at the front", noted_days_ago=20, came_in_days_ago=2),
    OnItsWay("josephine", "Thimble Lane, with a lace front", noted_days_ago=30, expected_in_days=2),
    OnItsWay("maud", "Bellfounder, a second one to change with", noted_days_ago=12),
)
TUESDAY, WEDNESDAY, THURSDAY = 2, 3, 4
WAITING = (  # of these, three could take the time that Amara gives back
    Waits("maud", REPAIR, 9, from_days=5, for_days=30, weekdays=(TUESDAY, WEDNESDAY), note="The clasp of her spare."),
    Waits("ines", CONSULT, 5, "stylist2", part_of_day=PartOfDay.AFTERNOONS, instead_of_next=True),
    Waits("yvette", FITTING, 4, "stylist", note="Her reworked piece; she lives round the corner."),
    Waits("dorothea", CHECK_UP, 3, part_of_day=PartOfDay.MORNINGS, instead_of_next=True),
    Waits("henrike", WASH, 2, short_notice=True, note="Ring, don't write."),
)
FOR_A_FIRST_VISIT = ("Letter Home", "Osier Bend")  # pieces to lay out before Philippa comes
WINIFREDS_NAME: Strokes = [
    [[0.10, 0.10], [0.14, 0.25], [0.19, 0.14], [0.24, 0.26], [0.29, 0.09]],
    [[0.36, 0.21], [0.42, 0.17], [0.47, 0.23], [0.55, 0.18], [0.66, 0.22], [0.82, 0.16]],
]
WINIFRED_TELLS = Answers(
    story="It has grown thinner at the crown for some years; since my husband died I mind it more.",
    losing_since="five years or so",
    chemotherapy="none",
    under_treatment="no",
    reacts="no",
    wishes="Something light that I can put on without a second mirror.",
)


def note_pieces(desk: Desk) -> dict[str, AwaitedPiece]:
    """Pieces on their way, and one that has come, by the client each is for."""
    noted = {}
    by = desk.staff["desk"]
    for row in ON_THEIR_WAY:
        noted_at = days_ago(desk.at, row.noted_days_ago, time(15, 20))
        expected_on = None
        if row.expected_in_days is not None:
            expected_on = localdate(working_day(desk.at, row.expected_in_days, time(12)))
        client = desk.clients[row.client]
        piece = await_piece(client=client, what=row.what, expected_on=expected_on, by=by, at=noted_at)
        if row.came_in_days_ago is not None:
            piece = piece_came_in(awaited=piece, by=by, at=days_ago(desk.at, row.came_in_days_ago, time(11, 5)))
        noted[row.client] = piece
    return noted


def fill_the_desk(desk: Desk) -> None:
    """All else that waits there, once the days are filled."""
    for wish in WAITING:
        _put_on_list(wish, desk)
    _lay_out(desk)
    _ask_at_home(desk)


def _put_on_list(wish: Waits, desk: Desk) -> None:
    made_at, today = days_ago(desk.at, wish.days_ago, time(12, 40)), localdate(desk.at)
    client, kind = desk.clients[wish.client], ServiceKind.objects.get(name=wish.kind)
    put_on_list(
        client=client,
        kind=kind,
        stylist=desk.staff[wish.stylist] if wish.stylist else None,
        earliest_on=today + timedelta(days=wish.from_days),
        latest_on=None if wish.for_days is None else today + timedelta(days=wish.for_days),
        part_of_day=wish.part_of_day,
        weekdays=wish.weekdays,
        short_notice=wish.short_notice,
        instead_of=_next_of(desk, wish.client, wish.kind) if wish.instead_of_next else None,
        note=wish.note,
        by=desk.staff["desk"],
        at=made_at,
    )


def _lay_out(desk: Desk) -> None:
    """The piece that Marguerite chose lies ready; of two that Philippa may try, one is still to be looked out."""
    for_marguerite = _next_of(desk, "marguerite", CUT_IN)
    chosen = units_suggested(for_marguerite)[0]
    by, at = desk.staff["desk"], days_ago(desk.at, 1, time(17, 30))
    mark_laid_out(to_try=add_unit_to_try(appointment=for_marguerite, unit=chosen, by=by, at=at), by=by, at=at)
    for_philippa = _next_of(desk, "philippa", CONSULT)
    listed = [
        add_unit_to_try(appointment=for_philippa, unit=_in_the_drawer(piece), by=desk.staff["stylist"], at=at)
        for piece in FOR_A_FIRST_VISIT
    ]
    mark_laid_out(to_try=listed[0], by=by, at=at)


def _ask_at_home(desk: Desk) -> None:
    """Winifred has told and signed at home; Saskia's link waits for her to open it."""
    winifred, saskia, by = desk.clients["winifred"], desk.clients["saskia"], desk.staff["desk"]
    asked_at = days_ago(desk.at, 2, time(11, 15))
    link, _ = make_intake_link(client=winifred, where=SignedWhere.HOME, by=by, at=asked_at)
    sent_at = days_ago(desk.at, 1, time(12, 10))
    with clock_at(sent_at):
        send_intake(
            link=link,
            answers=WINIFRED_TELLS,
            agrees={ConsentKind.RECORD: True, ConsentKind.REMINDERS: True},
            signed_name="Winifred Astercombe",
            signature=WINIFREDS_NAME,
            at=sent_at,
        )
    send_up_to(sent_at)
    make_intake_link(client=saskia, where=SignedWhere.HOME, by=by, at=days_ago(desk.at, 1, time(10, 30)))


def _next_of(desk: Desk, client: str, kind: str) -> Appointment:
    booked = desk.clients[client].appointments.filter(kind__name=kind, state=Appointment.State.BOOKED)
    return booked.earliest("starts_at")


def _in_the_drawer(piece: str) -> Unit:
    return Unit.objects.in_drawer().filter(variant__piece__name=piece).order_by("number")[0]
