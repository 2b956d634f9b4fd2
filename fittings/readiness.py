"""What is still missing before a client sits down, for a whole day at once.

Every sentence may be overheard at the desk: of a test it says that there is one to be made or read, never what was seen
on it. What is missing forbids nothing here; consent is asked again where something is written down, and a test where
something is planned that touches skin. What a kind of visit needs stands on the kind; how long a clear test holds is a
house rule or its product's figure, and from when it can be read its product's too. Makers' instructions come first.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from functools import partial

from django.db.models import Q
from django.utils.formats import date_format
from django.utils.timezone import localdate, localtime

from clients.consenting import is_under_age
from clients.models import Assessment, Client, Consent, Intake, Sensitivity, SkinTest
from clients.models.consent import ConsentKind
from clients.models.health import SkinTestKind
from clients.skin_testing import COLOUR_FROM_AGE, NO_COLOUR_AFTER
from fittings.free_times import FOR_A_PIECE
from fittings.models import Appointment, AwaitedPiece, HouseRule, Purpose
from pieces.models import Sale
from salon.common.money import format_minor
from salon.models import Salon

_STILL_TO_BEGIN = (Appointment.State.BOOKED, Appointment.State.ARRIVED)
_ASK = "Test: ask the stylist"
_TESTS = {  # kind of test: code, its name at the desk, the house rule that says how long it holds
    SkinTestKind.ADHESIVE: ("tape-test", "Tape test", "adhesive_test_valid_days"),
    SkinTestKind.COLOUR: ("colour-test", "Colour test", "allergy_test_valid_days"),
}


@dataclass(frozen=True)
class Missing:
    """One thing to see to. Codes: consent, guardian, tape-test, colour-test, test-too-fresh, piece, deposit,
    balance, intake."""

    code: str
    says: str


@dataclass(frozen=True)
class _Known:
    """What is on file about the clients of the day, by client."""

    consents: Mapping[int, Consent]
    tests: Mapping[int, list[SkinTest]]
    no_colour: Collection[int]
    told: Collection[int]
    examined: Collection[int]
    awaited: Mapping[int, list[AwaitedPiece]]
    owing: Mapping[int, list[Sale]]
    numbers: Mapping[str, float]
    salon: Salon


def missing_of(appointments: Iterable[Appointment], *, at: datetime) -> dict[int, list[Missing]]:
    """What is missing for each, by its primary key, in nine queries however many there are.

    Call with `client` and `kind` fetched. One that has begun, is over or is cancelled misses nothing.
    """
    asked = list(appointments)
    known = _known_of(asked)
    return {
        appointment.pk: _missing(appointment, known, at) if appointment.state in _STILL_TO_BEGIN else []
        for appointment in asked
    }


def _known_of(asked: list[Appointment]) -> _Known:
    clients = {appointment.client_id for appointment in asked}
    mine = Q(client__in=clients)
    tests, awaited, owing = defaultdict(list), defaultdict(list), defaultdict(list)
    recorded = Q(struck_out_at__isnull=True) | Q(reacted=True)  # a reaction that was struck out: ask all the same
    for test in SkinTest.objects.filter(mine & recorded).order_by("-applied_at", "-pk"):
        tests[test.client_id].append(test)
    for piece in AwaitedPiece.objects.still_awaited().filter(mine):
        awaited[piece.client_id].append(piece)
    for sale in Sale.objects.owing().filter(mine):
        owing[sale.client_id].append(sale)
    record = Consent.objects.live().filter(mine, kind=ConsentKind.RECORD)
    reacted = Sensitivity.objects.filter(mine, substance__in=NO_COLOUR_AFTER)
    return _Known(
        consents={consent.client_id: consent for consent in record},
        tests=tests,
        no_colour=set(reacted.values_list("client", flat=True)),
        told=set(Intake.objects.filter(mine).values_list("client", flat=True)),
        examined=set(Assessment.objects.signed_off().filter(mine).order_by().values_list("client", flat=True)),
        awaited=awaited,
        owing=owing,
        numbers=HouseRule.objects.current(),
        salon=Salon.objects.default(),
    )


def _missing(appointment: Appointment, known: _Known, at: datetime) -> list[Missing]:
    kind, found = appointment.kind, _consent(appointment, known)
    if kind.needs_tape_test:
        found += _test(appointment, SkinTestKind.ADHESIVE, known, at)
    if kind.needs_colour_test:
        found += _test(appointment, SkinTestKind.COLOUR, known, at)
    if kind.purpose == Purpose.TEST_READING:
        found += _reading(appointment, known, at)
    found += _piece(appointment, known)
    if appointment.owes_deposit:
        found.append(
            Missing("deposit", f"Deposit: {format_minor(appointment.deposit_minor, known.salon.currency)} due")
        )
    for sale in known.owing.get(appointment.client_id, []):
        owed = sale.total_minor - sale.paid_minor  # type: ignore[attr-defined]  # annotated by `owing`
        found.append(Missing("balance", f"Still to pay: {format_minor(owed, sale.currency)} of sale {sale}"))
    unexamined = appointment.client_id not in known.examined and appointment.client_id not in known.told
    if kind.purpose == Purpose.CONSULT and unexamined:
        found.append(Missing("intake", "Her answers: not sent yet"))
    return found


def _consent(appointment: Appointment, known: _Known) -> list[Missing]:
    consent = known.consents.get(appointment.client_id)
    if is_under_age(appointment.client, known.salon, appointment.starts_at):
        signed = consent is not None and consent.guardian_name
        return [] if signed else [Missing("guardian", "Consent: guardian to sign")]
    return [] if consent else [Missing("consent", "Consent: not signed yet")]


def _test(appointment: Appointment, kind: SkinTestKind, known: _Known, at: datetime) -> list[Missing]:
    """Whether a test of the kind that her skin needs will have been read, clear, when she sits down."""
    code, name, rule = _TESTS[kind]
    missing = partial(Missing, code)
    tests = [test for test in known.tests.get(appointment.client_id, []) if test.kind == kind]
    if kind == SkinTestKind.COLOUR and _may_not_be_tested(appointment, known):
        return [missing(_ASK)]
    if not tests:
        return [missing(f"{name}: none yet")]
    newest = tests[0]
    if newest.reacted:  # another product may have been clear before: which may be used, the stylist says
        return [missing(_ASK)]
    until = [test.counts_until(house_days=known.numbers[rule]) for test in tests]
    if any(moment is not None and moment > appointment.starts_at for moment in until):
        return []
    if newest.read_at:
        return [missing(f"{name}: too old by then")]
    return [_too_fresh(newest, appointment, at) or missing(f"{name}: to be read")]


def _reading(appointment: Appointment, known: _Known, at: datetime) -> list[Missing]:
    """For a visit that reads a test: one that will be old enough."""
    unread = [test for test in known.tests.get(appointment.client_id, []) if test.read_at is None]
    if not unread:
        return [Missing("tape-test", "Test: none yet")]
    ready = [test for test in unread if test.to_be_read_from <= appointment.starts_at]
    return [] if ready else [too_fresh for test in unread[-1:] if (too_fresh := _too_fresh(test, appointment, at))]


def _too_fresh(test: SkinTest, appointment: Appointment, at: datetime) -> Missing | None:
    """That the test can't be read yet; said also of one that will not be old enough when the visit begins."""
    from_when = test.to_be_read_from
    if from_when <= at and from_when <= appointment.starts_at:
        return None
    return Missing("test-too-fresh", f"Test: to be read from {date_format(localtime(from_when), 'D H:i')}")


def _may_not_be_tested(appointment: Appointment, known: _Known) -> bool:
    """Hair dye is not for everybody; why, the desk need not know."""
    client: Client = appointment.client
    age = client.age_on(localdate(appointment.starts_at))
    return client.pk in known.no_colour or (age is not None and age < COLOUR_FROM_AGE)


def _piece(appointment: Appointment, known: _Known) -> list[Missing]:
    awaited = known.awaited.get(appointment.client_id, [])
    if appointment.awaits_id:
        awaited = [piece for piece in awaited if piece.pk == appointment.awaits_id]
    elif appointment.kind.purpose not in FOR_A_PIECE:
        awaited = []
    return [Missing("piece", f"Piece not in yet: {piece.what}, {_expected(piece)}") for piece in awaited]


def _expected(piece: AwaitedPiece) -> str:
    return f"expected {date_format(piece.expected_on, 'D j M')}" if piece.expected_on else "no date known"
