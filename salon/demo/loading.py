"""Makes the demo salon, whole or not at all: its people, drawers and clients, a small past, and a day that goes on.

Everything is done by the deeds that the pages call, with the clock set to when it happened; the same moment gives the
same salon, but for the references, which are drawn by lot as always.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, time, timedelta
from zoneinfo import ZoneInfo

from django.core.exceptions import ValidationError
from django.db import connection, transaction
from django.utils import timezone
from django.utils.timezone import localdate

from clients.consenting import give_consent, withdraw_consent
from clients.models import Client, SkinTest
from clients.models.consent import ConsentKind
from clients.registering import change_client, register_client
from clients.skin_testing import apply_skin_test, read_skin_test
from fittings.models import Appointment, Fitting, TryOn
from fittings.visiting import begin_visit, finish_visit
from pieces.stock import reserve_unit
from salon.demo.catalogue_loading import load_catalogue
from salon.demo.clients import CLIENTS, DemoClient
from salon.demo.clock import clock_at
from salon.demo.days import CHOOSING, IN_THE_CHAIR, Desk, book_the_days, days_ago, let_the_days_pass
from salon.demo.desk import fill_the_desk, note_pieces
from salon.demo.examinations import CORALIE, LEONIE
from salon.demo.history import PAST, PastVisit, SkinTestOf
from salon.demo.photos import FROM_ALL_SIDES, photograph_colour, photograph_own_hair, photograph_piece_on
from salon.demo.piece_pictures import picture_pieces
from salon.demo.ring import read_ring
from salon.demo.sending import send_up_to
from salon.demo.shop import look_ahead, open_shop, opened_at, set_up, take_staff_on
from salon.demo.story import Story
from salon.demo.takings import BY_CARD, agree, ordered
from salon.demo.trade import trade
from salon.demo.visits import NEARLY, WELL, Choice, Look, choose, conclude, examine, sign, try_on
from salon.demo.years import live_on, look_back
from salon.models import Salon, User

NOT_YET_COLLECTED_DAYS = 30
RING_READ_DAYS_AGO = 133
LEONIES_CHOICE = Choice(
    looks=(Look(WELL, NEARLY, WELL, "Longer than the photograph."), Look(WELL, WELL, WELL), Look(WELL, WELL, WELL)),
    narrowed_to=(),
    pieces=("Curlew Bank", "Letter Home", "Lantern Court"),
)


@transaction.atomic
def load_demo_salon(
    *, at: datetime, years: int = 0, seed: int = 1, month_begins: Callable[[datetime], None] | None = None
) -> None:
    """Fill an empty database as the salon stands at this moment; ValidationError when clients are in it already.

    years: so long strangers have come besides those who are told of by name, drawn by lot from `seed`.
    month_begins: called as the story goes on, for whoever waits.
    A failure takes all rows back; files of photos taken till then stay behind, for `demo --fresh` to throw away.
    """
    if Client.objects.exists():
        raise ValidationError(
            "There are clients in this database already: a demo is loaded only into an empty one, so that nothing "
            "real is ever mixed with it."
        )
    salon = open_shop()
    with timezone.override(ZoneInfo(salon.time_zone)):
        opened = opened_at(at, years=years)
        staff = take_staff_on(opened=opened)
        set_up(staff, opened=opened)
        with clock_at(opened):
            load_catalogue(by=staff["owner"])
            picture_pieces(by=staff["owner"], at=opened)
        read_ring(salon, by=staff["stylist"], at=days_ago(at, RING_READ_DAYS_AGO, time(18, 10)))
        clients = {client.key: _register(client, staff["desk"], at) for client in CLIENTS}
        desk = Desk(clients, staff, at)
        story = Story()
        for visit in PAST:
            began_at = days_ago(at, visit.days_ago, visit.begins)
            story.then(desk.booked_at(visit, began_at), _book, visit, desk, salon, story)
        live_on(desk, salon, story)
        trade(desk, salon, story, years=years, seed=seed)
        booked = book_the_days(desk, note_pieces(desk), story)

        def a_month_begins(first: datetime) -> None:
            _count_rows_anew()
            if month_begins:
                month_begins(first)

        story.tell(until=at, month_begins=a_month_begins if years else month_begins)
        look_back(desk)
        _change_minds(desk)
        let_the_days_pass(desk, booked)
        fill_the_desk(desk)
        look_ahead(staff, at=at)
        _begin_the_examination(booked[IN_THE_CHAIR], desk, salon)
        _begin_the_choosing(booked[CHOOSING], desk, salon)
        send_up_to(at)


def _count_rows_anew() -> None:
    """PostgreSQL does so by itself, but not for the rows of an open transaction; it would go on as if there were few.

    "Populating a Database: Run ANALYZE Afterwards" of its manual (MEMORY).
    """
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("ANALYZE")


def printable_consult() -> Fitting | None:
    """The newest finished visit in which a piece was chosen: its summary can be printed."""
    chosen = TryOn.objects.filter(outcome=TryOn.Outcome.CHOSEN)
    return Fitting.objects.finished().filter(pk__in=chosen.values("fitting")).order_by("-finished_at").first()


def _register(client: DemoClient, desk: User, at: datetime) -> Client:
    """Register her on the day she first came, and let her, or her guardian, sign."""
    came_at = days_ago(at, client.known_for_days, time(9, 0))
    with clock_at(came_at):
        registered = register_client(
            given_name=client.given_name,
            family_name=client.family_name,
            preferred_name=client.preferred_name,
            phone=client.phone,
            email=client.email,
            born_on=client.born_on(localdate(at)),
            guardian_name=client.guardian_name,
            private_note=client.private_note,
            by=desk,
        )
    signs_at = came_at + timedelta(minutes=10)
    for kind in client.consents:
        give_consent(
            client=registered,
            kind=kind,
            signed_name=client.guardian_name or f"{client.given_name} {client.family_name}",
            guardian_name=client.guardian_name,
            by=desk,
            at=signs_at,
        )
    return registered


def _book(visit: PastVisit, desk: Desk, salon: Salon, story: Story, _at: datetime) -> None:
    """Her visit is booked, after the skin test that goes before it."""
    began_at = days_ago(desk.at, visit.days_ago, visit.begins)
    if visit.skin_test:
        _test_skin(desk.clients[visit.client], visit.skin_test, desk.staff[visit.stylist], began_at)
    story.then(began_at, _go_through, visit, desk.book(visit, began_at), desk, salon)


def _go_through(visit: PastVisit, appointment: Appointment, desk: Desk, salon: Salon, began_at: datetime) -> None:
    """One finished visit from her coming in to the goodbye."""
    client, stylist = desk.clients[visit.client], desk.staff[visit.stylist]
    fitting = begin_visit(client=client, stylist=stylist, at=began_at, appointment=appointment)
    draft = examine(fitting, visit.found, salon=salon, by=stylist, at=began_at + timedelta(minutes=25))
    photograph_own_hair(fitting, visit.photos, by=stylist, at=began_at + timedelta(minutes=26))
    sign(draft, by=stylist, at=began_at + timedelta(minutes=32))
    fitting.refresh_from_db()
    candidates = choose(fitting, visit.choice, salon=salon, by=stylist, at=began_at + timedelta(minutes=40))
    worn = try_on(fitting, candidates, visit.choice.looks, by=stylist, at=began_at + timedelta(minutes=46))
    concluded_at, finished_at = began_at + timedelta(minutes=70), began_at + timedelta(minutes=85)
    conclude(fitting, worn, visit.choice, salon=salon, by=stylist, owner=desk.staff["owner"], at=concluded_at)
    photograph_piece_on(fitting, visit.photos, by=stylist, at=began_at + timedelta(minutes=78))
    with clock_at(finished_at):
        finish_visit(
            fitting=fitting,
            by=stylist,
            at=finished_at,
            next_visit_on=None
            if visit.next_visit_in_days is None
            else localdate(began_at) + timedelta(days=visit.next_visit_in_days),
            why_chosen=visit.choice.why,
            none_chosen_because=visit.choice.none_because,
        )
        if visit.days_ago < NOT_YET_COLLECTED_DAYS:
            for taken in fitting.try_ons.exclude(outcome=TryOn.Outcome.TRIED).filter(unit__isnull=False):
                assert taken.unit is not None  # noqa: S101  # just asked for
                reserve_unit(unit=taken.unit, by=stylist, client=client)
        if visit.pays_in_parts:
            chosen = fitting.try_ons.get(outcome=TryOn.Outcome.CHOSEN)
            line = (
                None
                if chosen.unit
                else ordered(fitting, comes_in_days=NOT_YET_COLLECTED_DAYS, salon=salon, at=finished_at)
            )
            agree(fitting, chosen.unit, line, BY_CARD, desk, salon, finished_at)


def _test_skin(client: Client, test: SkinTestOf, stylist: User, visit_at: datetime) -> SkinTest:
    applied_at = visit_at - timedelta(days=test.days_before)
    applied = apply_skin_test(
        client=client, kind=test.kind, product=test.product, lot=test.lot, by=stylist, at=applied_at
    )
    return read_skin_test(test=applied, reacted=test.reacted, by=stylist, at=applied_at + timedelta(hours=49))


def _change_minds(desk: Desk) -> None:
    """One takes a consent back, one has a new number, and a test is still to be read."""
    dorothea, amara, rosalind = (desk.clients[key] for key in ("dorothea", "amara", "rosalind"))
    front_desk, stylist = desk.staff["desk"], desk.staff["stylist"]
    withdraw_consent(
        consent=dorothea.consents.get(kind=ConsentKind.PHOTOS), by=front_desk, at=days_ago(desk.at, 90, time(12, 15))
    )
    with clock_at(days_ago(desk.at, 33, time(10, 40))):
        change_client(client=amara, by=front_desk, phone="07700 900 851")
    apply_skin_test(
        client=rosalind,
        kind="adhesive",
        product="Skin tape, clear, for polyurethane",
        lot="CT-2307",
        by=stylist,
        at=days_ago(desk.at, 1, time(16, 40)),
    )


def _begin_the_examination(appointment: Appointment, desk: Desk, salon: Salon) -> None:
    """The visit that is in the middle of its steps: story, tapes and map are written, a photo of her hair is taken and
    not read yet, the rest is still to come."""
    began_at, client, stylist = appointment.starts_at, appointment.client, appointment.stylist
    fitting = begin_visit(client=client, stylist=stylist, at=began_at, appointment=appointment)
    examine(fitting, CORALIE, salon=salon, by=stylist, at=began_at + timedelta(minutes=20))
    photograph_colour(client, CORALIE.by_chart, salon, by=stylist, at=began_at + timedelta(minutes=22))


def _begin_the_choosing(appointment: Appointment, desk: Desk, salon: Salon) -> None:
    """The visit in which pieces lie ready to try, and the first has been on."""
    began_at, client, stylist = appointment.starts_at, appointment.client, appointment.stylist
    fitting = begin_visit(client=client, stylist=stylist, at=began_at, appointment=appointment)
    draft = examine(fitting, LEONIE, salon=salon, by=stylist, at=began_at + timedelta(minutes=25))
    photograph_own_hair(fitting, FROM_ALL_SIDES, by=stylist, at=began_at + timedelta(minutes=27))
    sign(draft, by=stylist, at=began_at + timedelta(minutes=30))
    fitting.refresh_from_db()
    candidates = choose(fitting, LEONIES_CHOICE, salon=salon, by=stylist, at=began_at + timedelta(minutes=36))
    try_on(fitting, candidates, LEONIES_CHOICE.looks[:1], by=stylist, at=began_at + timedelta(minutes=44))
