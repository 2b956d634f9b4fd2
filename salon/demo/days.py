"""Who comes today and in the days around: the demo's appointments besides those of its finished visits.

The day is laid out around the moment of loading, so that somebody has just been, somebody sits in the chair and
somebody comes next, whenever the demo is begun.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, time, timedelta
from typing import Protocol

from django.utils.timezone import localtime

from clients.models import Client
from fittings.booking import book_appointment, cancel_appointment, mark_arrived, mark_done, mark_missed, take_deposit
from fittings.models import Appointment, AwaitedPiece, Place, ServiceKind
from salon.demo.clock import clock_at
from salon.demo.sending import send_before_it_began
from salon.demo.shop import (
    BASIN,
    CHAIR_1,
    CHAIR_2,
    CHECK_UP,
    CONSULT,
    CUT_IN,
    FITTING,
    PRIVATE_ROOM,
    SKIN_TEST,
    SUNDAY,
    WASH,
    while_open,
)
from salon.demo.story import Story
from salon.models import Salon, User

State = Appointment.State
BOOKED_DAYS_BEFORE = 8
LATEST_MIDDLE_OF_THE_DAY = time(17, 0)
ANYWAY = "The demo lays its day around the moment it is loaded."


@dataclass(frozen=True)
class Today:
    """Minutes from the middle of the day: before it over, around it going on, after it still to come."""

    client: str
    kind: str
    stylist: str
    place: str
    minutes: int
    state: Appointment.State = State.BOOKED
    note: str = ""
    anyway_because: str = ANYWAY
    """Written down where the moment of loading lies outside the salon's hours, or something else stands in the way."""


@dataclass(frozen=True)
class Another:
    """An appointment of another day, in working days from today (the salon rests on Sundays)."""

    client: str
    kind: str
    stylist: str
    place: str
    days: int
    begins: time
    state: Appointment.State = State.BOOKED
    note: str = ""
    because: str = ""
    is_for_her_piece: bool = False
    """The one that `desk` says is on its way for her, or has come."""


Row = Today | Another

TODAY = (
    Today("maud", WASH, "stylist2", BASIN, -150, State.DONE),
    Today("henrike", CHECK_UP, "stylist", CHAIR_1, -75, State.DONE, note="Tape at the left temple lifts."),
    Today("yvette", CHECK_UP, "stylist2", CHAIR_2, -90, State.DONE),
    Today("saskia", SKIN_TEST, "stylist2", CHAIR_1, 45, State.ARRIVED, note="Signs her consent first."),
    Today("marguerite", CUT_IN, "stylist2", CHAIR_2, 75, note="Hairpins for the wedding; she brings a picture."),
    Today("philippa", CONSULT, "stylist", PRIVATE_ROOM, 90, note="First visit; would like the door shut."),
    Today("amara", WASH, "stylist2", BASIN, 165),
)
IN_THE_CHAIR = Today("coralie", CONSULT, "stylist", PRIVATE_ROOM, -30, note="Sent by her hairdresser.")
CHOOSING = Today(
    "leonie", CONSULT, "stylist2", CHAIR_2, -50, anyway_because="The quiet room is taken; she does not mind the chair."
)

AROUND = (
    Another("josephine", CHECK_UP, "stylist", CHAIR_1, -2, time(9, 30), State.DONE),
    Another(
        "winifred",
        CONSULT,
        "stylist2",
        PRIVATE_ROOM,
        -2,
        time(14, 0),
        State.CANCELLED,
        because="She rang: snow on her road.",
    ),
    Another("philippa", CONSULT, "stylist", PRIVATE_ROOM, -1, time(10, 0), State.MISSED),
    Another("maud", CHECK_UP, "stylist2", CHAIR_1, -1, time(15, 0), State.DONE),
    Another(
        "rosalind", CUT_IN, "stylist", CHAIR_1, 1, time(10, 0), note="Her new piece has come.", is_for_her_piece=True
    ),
    Another(
        "amara",
        FITTING,
        "stylist",
        PRIVATE_ROOM,
        1,
        time(11, 45),
        State.CANCELLED,
        because="She rang: her daughter is ill.",
    ),
    Another("winifred", CONSULT, "stylist2", PRIVATE_ROOM, 1, time(14, 0)),
    Another("saskia", CONSULT, "stylist", PRIVATE_ROOM, 2, time(9, 30), note="Her skin test is read then."),
    Another("tilde", CHECK_UP, "stylist2", CHAIR_1, 2, time(16, 30), note="With Agnes."),
    Another("josephine", FITTING, "stylist2", PRIVATE_ROOM, 3, time(11, 0), is_for_her_piece=True),
    Another("yvette", WASH, "stylist2", BASIN, 3, time(14, 0)),
    Another("dorothea", CHECK_UP, "stylist2", CHAIR_1, 4, time(11, 0)),
    Another("josephine", WASH, "stylist", BASIN, 6, time(9, 30)),
    Another("ines", CONSULT, "stylist2", PRIVATE_ROOM, 9, time(17, 0)),
)


class Booked(Protocol):
    """What a row says of an appointment, by the names of `clients`, `people` and `shop`."""

    @property
    def client(self) -> str: ...
    @property
    def kind(self) -> str: ...
    @property
    def stylist(self) -> str: ...
    @property
    def place(self) -> str: ...
    @property
    def note(self) -> str: ...


@dataclass(frozen=True)
class Desk:
    """The desk of the demo: whom the rows name, and when now is."""

    clients: Mapping[str, Client]
    staff: Mapping[str, User]
    at: datetime

    def book(
        self, row: Booked, starts_at: datetime, anyway_because: str = "", awaits: AwaitedPiece | None = None
    ) -> Appointment:
        """Book it as the desk did; whoever has come paid her deposit.

        She is told of it in the time until it began, if she agreed to that.
        """
        client, booked_at = self.clients[row.client], self.booked_at(row, starts_at)
        with clock_at(booked_at):
            appointment = book_appointment(
                client=client,
                kind=ServiceKind.objects.get(name=row.kind),
                stylist=self.staff[row.stylist],
                place=Place.objects.get(name=row.place),
                starts_at=starts_at,
                by=self.staff["desk"],
                at=booked_at,
                note=row.note,
                anyway_because=anyway_because,
                awaits=awaits,
            )
            if appointment.owes_deposit and starts_at < self.at:
                appointment = take_deposit(
                    appointment=appointment,
                    method="card",
                    salon=Salon.objects.default(),
                    by=self.staff["desk"],
                    at=booked_at,
                )
        send_before_it_began(appointment, now=self.at)
        return appointment

    def booked_at(self, row: Booked, starts_at: datetime) -> datetime:
        """About a week before, or when the client first came."""
        return max(self.clients[row.client].created_at, min(self.at, starts_at) - timedelta(days=BOOKED_DAYS_BEFORE))

    def bring_to(self, appointment: Appointment, state: Appointment.State, because: str = "") -> None:
        """Let it come to that state, as the desk marks it."""
        if state == State.ARRIVED:
            mark_arrived(appointment=appointment, by=self.staff["desk"], at=self.at)
        elif state == State.DONE:
            over_at = min(appointment.ends_at, self.at)
            with clock_at(over_at):
                mark_done(appointment=appointment, by=appointment.stylist, at=over_at)
        elif state == State.MISSED:
            with clock_at(appointment.ends_at):
                mark_missed(appointment=appointment, by=self.staff["desk"], at=appointment.ends_at)
        elif state == State.CANCELLED:
            the_day_before = min(appointment.starts_at - timedelta(days=1), self.at)
            with clock_at(the_day_before):
                cancel_appointment(
                    appointment=appointment,
                    by=self.staff["desk"],
                    because=because,
                    at=the_day_before,
                )


def middle_of_the_day(at: datetime) -> datetime:
    """The quarter of an hour that the day is laid out around: now, or a late afternoon when it is later."""
    here = localtime(at)
    here = here.replace(minute=here.minute - here.minute % 15, second=0, microsecond=0)
    return min(here, here.replace(hour=LATEST_MIDDLE_OF_THE_DAY.hour, minute=LATEST_MIDDLE_OF_THE_DAY.minute))


def working_day(at: datetime, days: int, begins: time) -> datetime:
    """That time of day, as many working days from today; on a short Saturday, in its morning."""
    day, step = localtime(at).date(), timedelta(days=1 if days > 0 else -1)
    for _ in range(abs(days)):
        day += step
        if day.isoweekday() == SUNDAY:
            day += step
    return datetime.combine(day, while_open(day, begins), tzinfo=localtime(at).tzinfo)


def days_ago(at: datetime, days: int, begins: time) -> datetime:
    """That time of day, so many days ago, or on the Saturday before when that is a Sunday; on a Saturday, mornings."""
    day = localtime(at).date() - timedelta(days=days)
    if day.isoweekday() == SUNDAY:
        day -= timedelta(days=1)
    return datetime.combine(day, while_open(day, begins), tzinfo=localtime(at).tzinfo)


def book_the_days(desk: Desk, pieces: Mapping[str, AwaitedPiece], story: Story) -> dict[Row, Appointment]:
    """Let everything above be booked; `loading` begins the two visits that are going on.

    pieces: those on their way, by the client each is for. What was booked is in the answer once the story is told.
    """
    booked: dict[Row, Appointment] = {}
    middle = middle_of_the_day(desk.at)

    def book(row: Row, starts_at: datetime, _at: datetime) -> None:
        if isinstance(row, Today):
            booked[row] = desk.book(row, starts_at, row.anyway_because)
        else:
            booked[row] = desk.book(row, starts_at, awaits=pieces[row.client] if row.is_for_her_piece else None)

    for other in AROUND:
        starts_at = working_day(desk.at, other.days, other.begins)
        story.then(desk.booked_at(other, starts_at), book, other, starts_at)
    for row in (*TODAY, CHOOSING, IN_THE_CHAIR):
        starts_at = middle + timedelta(minutes=row.minutes)
        story.then(desk.booked_at(row, starts_at), book, row, starts_at)
    return booked


def let_the_days_pass(desk: Desk, booked: Mapping[Row, Appointment]) -> None:
    """Bring every appointment to where it stands."""
    for other in AROUND:
        desk.bring_to(booked[other], other.state, other.because)
    for row in TODAY:
        desk.bring_to(booked[row], row.state)
