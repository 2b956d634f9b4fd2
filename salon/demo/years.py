"""What the demo's clients did with their pieces after they were chosen: wear, washes, check-ups, repairs, an end.

Everything is done by the deeds of the pages, in the order of time and with the clock set to when it happened; what is
told here stands in `lives`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import datetime, time, timedelta
from functools import partial

from django.utils.timezone import localdate

from clients.keeping_products import add_product
from clients.repainting import begin_repainting, keep_painting
from clients.scalp.head import Head
from fittings.caring import make_wash_link, mark_told, tell_wash, wash_by_link, work_out_care
from fittings.checking import check_condition
from fittings.lending import lend, take_loan_back
from fittings.models import CareDate, Fitting, OwnedPiece, Service, TryOn
from fittings.owning import end_piece, take_in_brought, tell_wear
from fittings.planning import findings_about_service
from fittings.repairing import back_from_repair, send_to_repair
from fittings.serving import log_service, record_strand_test
from fittings.visiting import begin_visit, finish_visit
from pieces.models import SaleLine, Unit, Variant
from salon.demo.clock import clock_at
from salon.demo.days import Desk, days_ago
from salon.demo.history import PAST
from salon.demo.lives import PRODUCTS, YEARS, CheckUp, Done, Years
from salon.demo.painting import Painting
from salon.demo.shop import CHAIR_1, CHAIR_2, CHECK_UP
from salon.demo.story import Story
from salon.demo.takings import Buying, buy
from salon.models import Salon

Kind = Service.Kind
Event = tuple[datetime, Callable[[datetime], None]]
FETCHED_AFTER_DAYS = 7
VISIT_TAKES = timedelta(minutes=90)
LENT_FOR_DAYS = 16
CHAIRS = (CHAIR_1, CHAIR_2)
FIRST_OF_THE_DAY, EACH_TAKES = timedelta(hours=10), timedelta(minutes=30)
REPAINTED = ("part", "top-2", "front", "top-3", "part-4", "top-even")


def live_on(desk: Desk, salon: Salon, story: Story) -> None:
    """Let the years go by for every client who took a piece home."""
    _list_products(desk)
    for years in YEARS:
        if years.brought:
            story.then(days_ago(desk.at, years.brought_days_ago, time(15, 0)), _bring, years, desk, salon, story)
        else:
            story.then(_chosen_at(years, desk), _buy, years, desk, salon, story)


def look_back(desk: Desk) -> None:
    """What stands there now that the years have gone by."""
    for owned in OwnedPiece.objects.all():
        work_out_care(owned=owned, on=localdate(desk.at))
    _paint_twice(desk)
    _tell_one(desk)


def _list_products(desk: Desk) -> None:
    with clock_at(days_ago(desk.at, 430, time(9, 0))):
        for name, sort, fields in PRODUCTS:
            add_product(name=name, sort=sort, by=desk.staff["owner"], **fields)  # type: ignore[arg-type]  # a table of words


def _bring(years: Years, desk: Desk, salon: Salon, story: Story, at: datetime) -> None:
    """A piece she had from elsewhere, taken in at the salon's table."""
    client = desk.clients[years.client]
    variant = Variant.objects.filter(piece__name=years.brought).order_by("pk").first()
    assert variant is not None  # noqa: S101  # the catalogue has it
    owned = take_in_brought(client=client, variant=variant, since=localdate(at), by=desk.staff["stylist2"], at=at)
    _go_on(owned, years, desk, salon, story)


def _buy(years: Years, desk: Desk, salon: Salon, story: Story, at: datetime) -> None:
    """The piece she chose in her first visit that ended with one, fetched a week later."""
    chosen = Fitting.objects.filter(client=desk.clients[years.client], try_ons__outcome=TryOn.Outcome.CHOSEN)

    def go_on(_line: SaleLine, owned: OwnedPiece, _at: datetime) -> None:
        _go_on(owned, years, desk, salon, story)

    buying = Buying(fetched_after_days=FETCHED_AFTER_DAYS, then=go_on)
    buy(chosen.earliest("began_at"), buying, desk, salon, story, at)


def _chosen_at(years: Years, desk: Desk) -> datetime:
    """The end of that visit."""
    visit = next(visit for visit in PAST if visit.client == years.client and visit.choice.chosen is not None)
    return days_ago(desk.at, visit.days_ago, visit.begins) + VISIT_TAKES


def _go_on(owned: OwnedPiece, years: Years, desk: Desk, salon: Salon, story: Story) -> None:
    for at, happens in _what_happened(owned, years, desk, salon):
        story.then(at, happens)


def _what_happened(owned: OwnedPiece, years: Years, desk: Desk, salon: Salon) -> Iterator[Event]:
    """Each with its moment, in no order."""
    since, last = owned.begun_at, years.ended_after_days or (desk.at - owned.begun_at).days - 2
    yield since + timedelta(days=28), partial(_tell_wear, owned, years)
    secret = make_wash_link(owned=owned, by=owned.begun_by, at=since)[1] if years.by_her_own_address else ""
    for number, after in enumerate(range(years.washed_every_days, last, years.washed_every_days), start=1):
        if all(abs(after - check_up.after_days) > 2 for check_up in years.check_ups):  # else it was washed here
            yield since + timedelta(days=after, hours=7), partial(_wash, owned, secret, number % 4 == 0)
    for check_up in years.check_ups:
        hers = FIRST_OF_THE_DAY + YEARS.index(years) * EACH_TAKES  # a time of her own, so that no two clash
        midnight = days_ago(desk.at, (desk.at - since).days - check_up.after_days, time(0))
        began_at = midnight + hers
        place = CHAIRS[YEARS.index(years) % len(CHAIRS)]
        yield began_at, partial(_check_up, owned, check_up, desk, salon, place)
    if years.repaired_after_days is not None:
        yield since + timedelta(days=years.repaired_after_days), partial(_repair, owned)
    if years.ended_after_days is not None:
        yield since + timedelta(days=years.ended_after_days), partial(_end, owned, years)


def _tell_wear(owned: OwnedPiece, years: Years, at: datetime) -> None:
    tell_wear(
        owned=owned,
        told_on=owned.since,
        by=owned.begun_by,
        at=at,
        days_per_week=years.days_per_week,
        hours_per_day=years.hours_per_day,
        worn_to_bed=years.worn_to_bed,
        swum_in=years.swum_in,
        water=years.water,
    )


def _wash(owned: OwnedPiece, secret: str, deep_care: bool, at: datetime) -> None:
    if secret:
        wash_by_link(secret=secret, at=at, deep_care=deep_care)
    else:
        tell_wash(owned=owned, washed_on=localdate(at), deep_care=deep_care, by=owned.begun_by, at=at)


def _end(owned: OwnedPiece, years: Years, at: datetime) -> None:
    end_piece(owned=owned, until=localdate(at), ended=years.ended, note=years.ended_note, by=owned.begun_by, at=at)


@dataclass(frozen=True)
class _Visit:
    """What is booked of a check-up, as `Desk.book` reads it."""

    client: str
    stylist: str
    place: str
    kind: str = CHECK_UP
    note: str = ""


def _check_up(owned: OwnedPiece, check_up: CheckUp, desk: Desk, salon: Salon, place: str, at: datetime) -> None:
    stylist = owned.begun_by
    row = _Visit(
        client=next(key for key, client in desk.clients.items() if client.pk == owned.client_id),
        stylist=next(key for key, user in desk.staff.items() if user.pk == stylist.pk),
        place=place,
    )
    appointment = desk.book(row, at, "The demo lets them come when they came.")
    visit = begin_visit(client=owned.client, stylist=stylist, at=at, appointment=appointment)
    looked_at = at + timedelta(minutes=10)
    with clock_at(looked_at):
        check_condition(
            owned=owned, grades=check_up.grades, note=check_up.note, by=stylist, at=looked_at, fitting=visit
        )
        if check_up.strand_of:
            record_strand_test(
                unit=owned.unit,
                product=check_up.strand_of,
                held=True,
                seen="Even, and cooler by a shade after five minutes.",
                minutes=5,
                fitting=visit,
                by=stylist,
                at=looked_at,
            )
    for number, done in enumerate(check_up.done, start=1):
        done_at = looked_at + timedelta(minutes=5 * number)
        with clock_at(done_at):
            _do(done, owned, visit, salon, done_at)
    finished_at = at + timedelta(minutes=28)
    with clock_at(finished_at):
        finish_visit(fitting=visit, by=stylist, at=finished_at, next_visit_on=None)


def _do(done: Done, owned: OwnedPiece, visit: Fitting, salon: Salon, at: datetime) -> None:
    on, piece = localdate(at), owned if done.on_piece else None
    findings = findings_about_service(
        fitting=visit, candidate=None, owned_piece=piece, facts=done.facts, salon=salon, at=at, on=on
    )
    log_service(
        fitting=visit,
        kind=done.kind,
        facts=done.facts,
        details=done.details,
        owned_piece=piece,
        note=done.note,
        price_minor=done.price_minor,
        acknowledged={one.rule_id for one in findings if one.severity == "caution"},
        salon=salon,
        by=visit.stylist,
        at=at,
        on=on,
    )


def _repair(owned: OwnedPiece, at: datetime) -> None:
    """It goes out for two weeks, and she wears one of the salon's meanwhile."""
    back_at, stylist = at + timedelta(days=LENT_FOR_DAYS), owned.begun_by
    repair = send_to_repair(
        owned=owned,
        what="Two knots at the parting, and the left clip.",
        done_by="Weir Lane workshop",
        sent_on=localdate(at),
        expected_on=localdate(back_at),
        by=stylist,
        at=at,
    )
    other = Unit.objects.in_drawer().filter(purpose=Unit.Purpose.TRY_ON).order_by("number").first()
    assert other is not None  # noqa: S101  # the demo's drawer is full
    loan = lend(
        client=owned.client,
        unit=other,
        lent_on=localdate(at),
        due_back_on=localdate(back_at),
        instead_of=owned,
        by=stylist,
        at=at,
    )
    with clock_at(back_at):
        back_from_repair(
            repair=repair, back_on=localdate(back_at), found="As before.", cost_minor=4200, by=stylist, at=back_at
        )
        take_loan_back(loan=loan, back_on=localdate(back_at), by=stylist, at=back_at)


def _paint_twice(desk: Desk) -> None:
    """A stylist painted example heads twice, months apart, so that an interval can be shown."""
    head = Head.from_tapes()
    for number, pattern in enumerate(REPAINTED):
        first_at = days_ago(desk.at, 60 + 9 * number, time(18, 0))
        second_at = first_at + timedelta(days=1)
        with clock_at(first_at):
            pair = begin_repainting(by=desk.staff["stylist"], at=first_at, pattern=pattern)
        for at, phase in ((first_at, 0.3 * number), (second_at, 0.3 * number + 0.8)):
            painted = Painting(pattern, uneven=0.08, strength=1 + 0.03 * (phase - 0.9), phase=phase).on(head)
            with clock_at(at):
                pair = keep_painting(repainting=pair, density_hex=painted.to_hex(), by=desk.staff["stylist"], at=at)


def _tell_one(desk: Desk) -> None:
    """The desk has rung one of those on its list."""
    due = CareDate.objects.due_by(localdate(desk.at)).first()
    if due:
        mark_told(care_date=due, by=desk.staff["desk"], at=desk.at)
