"""What is missing before a client sits down, in words that may be overheard, and in how many queries."""

from datetime import UTC, date, datetime, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from clients.consenting import give_consent, withdraw_consent
from clients.models import Consent, Sensitivity
from clients.models.health import SkinTestKind
from clients.skin_testing import read_skin_test, strike_out_skin_test
from fittings.awaiting import await_piece, give_up, piece_came_in
from fittings.models import HouseRule
from fittings.readiness import missing_of
from tests.factories import ClientFactory, DeskFactory, ProductFactory, SkinTestFactory, StylistFactory
from tests.fittings.factories import AppointmentFactory, ServiceKindFactory
from tests.pieces.factories import PaymentFactory, SaleFactory

pytestmark = pytest.mark.django_db

NOW = datetime(2026, 11, 24, 10, 0, tzinfo=UTC)  # a Tuesday; London keeps UTC then
SOON = NOW + timedelta(hours=1)


def kind(purpose="other", **needs):
    return ServiceKindFactory(name=f"{purpose} {sorted(needs)}", purpose=purpose, **needs)


def told(appointment, at=NOW):
    return [(one.code, one.says) for one in missing_of([appointment], at=at)[appointment.pk]]


def ready_client(**known):
    return ClientFactory(record_consent=True, **known)


def booked(client, what, starts_at=SOON, **more):
    return AppointmentFactory(client=client, kind=what, starts_at=starts_at, **more)


def skin_test(client, hours_ago, kind=SkinTestKind.ADHESIVE, reacted=None, read_after=50, product="Soft tape no. 3"):
    applied_at = NOW - timedelta(hours=hours_ago)
    test = SkinTestFactory(client=client, kind=kind, product=product, at=applied_at)
    if reacted is None:
        return test
    return read_skin_test(test=test, reacted=reacted, by=StylistFactory(), at=applied_at + timedelta(hours=read_after))


def test_nothing_is_missing_for_a_visit_that_needs_only_her_consent():
    assert told(booked(ready_client(), kind())) == []


def test_a_consent_that_is_not_signed_or_taken_back_is_missing():
    her = ClientFactory()
    appointment = booked(her, kind())
    assert told(appointment) == [("consent", "Consent: not signed yet")]
    consent = give_consent(client=her, kind="record", signed_name="Ada Ashdown", by=DeskFactory(), at=NOW)
    assert told(appointment) == []
    withdraw_consent(consent=consent, by=DeskFactory(), at=NOW)
    assert told(appointment) == [("consent", "Consent: not signed yet")]


def test_under_age_her_guardian_signs():
    her = ClientFactory(born_on=date(2012, 5, 1))
    appointment = booked(her, kind())
    assert told(appointment) == [("guardian", "Consent: guardian to sign")]
    give_consent(
        client=her, kind="record", signed_name="Ruth Ashdown", guardian_name="Ruth Ashdown", by=DeskFactory(), at=NOW
    )
    assert told(appointment) == []


def test_a_consent_she_signed_herself_does_not_do_once_she_is_known_to_be_under_age():
    her = ready_client()
    her.born_on = date(2012, 5, 1)
    her.save()
    assert told(booked(her, kind())) == [("guardian", "Consent: guardian to sign")]


@pytest.mark.parametrize(
    ("needs", "test_kind", "code", "name"),
    [
        ("needs_tape_test", SkinTestKind.ADHESIVE, "tape-test", "Tape test"),
        ("needs_colour_test", SkinTestKind.COLOUR, "colour-test", "Colour test"),
    ],
)
def test_a_test_is_put_on_then_48_hours_old_then_read(needs, test_kind, code, name):
    her = ready_client()
    # in two days and an hour, so that a test of this hour is old enough by then
    appointment = booked(her, kind(**{needs: True}), NOW + timedelta(hours=49))
    assert told(appointment) == [(code, f"{name}: none yet")]
    test = skin_test(her, 0, test_kind)
    assert told(appointment) == [("test-too-fresh", "Test: to be read from Thu 10:00")]
    assert told(appointment, at=NOW + timedelta(hours=47, minutes=59))[0][0] == "test-too-fresh"
    assert told(appointment, at=NOW + timedelta(hours=48)) == [(code, f"{name}: to be read")]
    read_skin_test(test=test, reacted=False, by=StylistFactory(), at=NOW + timedelta(hours=48))
    assert told(appointment, at=NOW + timedelta(hours=48)) == []


def test_a_test_that_will_not_be_48_hours_old_when_the_visit_begins_is_too_fresh():
    her = ready_client()
    skin_test(her, 20)
    assert told(booked(her, kind(needs_tape_test=True))) == [("test-too-fresh", "Test: to be read from Wed 14:00")]


def test_of_a_reaction_the_desk_is_told_only_to_ask():
    her = ready_client()
    skin_test(her, 24 * 20, reacted=False)
    skin_test(her, 70, reacted=True, product="Firm tape")
    assert told(booked(her, kind(needs_tape_test=True))) == [("tape-test", "Test: ask the stylist")]


def test_a_clear_test_after_a_reaction_to_another_product_is_enough():
    her = ready_client()
    skin_test(her, 24 * 20, reacted=True, product="Firm tape")
    skin_test(her, 70, reacted=False)
    assert told(booked(her, kind(needs_tape_test=True))) == []


def test_whom_hair_dye_is_not_for_is_not_told_to_the_desk():
    her, young = ready_client(), ClientFactory(born_on=date(2012, 5, 1))
    Sensitivity.objects.create(
        client=her, substance="black henna tattoo", told_on=NOW.date(), recorded_by=StylistFactory()
    )
    colour = kind(needs_colour_test=True)
    assert told(booked(her, colour)) == [("colour-test", "Test: ask the stylist")]
    assert ("colour-test", "Test: ask the stylist") in told(booked(young, colour))


@pytest.mark.parametrize(("days_until_the_visit", "missing"), [(6, []), (8, ["Colour test: too old by then"])])
def test_a_clear_test_holds_for_as_long_as_the_house_rule_says(days_until_the_visit, missing):
    her = ready_client()
    skin_test(her, 50, SkinTestKind.COLOUR, reacted=False)  # read now; holds for 7 days
    appointment = booked(her, kind(needs_colour_test=True), NOW + timedelta(days=days_until_the_visit))
    assert [says for _, says in told(appointment)] == missing


def test_the_owners_own_number_of_days_counts():
    her = ready_client()
    skin_test(her, 24 * 40, reacted=False)
    appointment = booked(her, kind(needs_tape_test=True))
    assert told(appointment) == []
    HouseRule.objects.create(key="adhesive_test_valid_days", value=30)
    assert told(appointment) == [("tape-test", "Tape test: too old by then")]


@pytest.mark.parametrize(("days", "missing"), [(30, []), (20, ["Tape test: too old by then"])])
def test_a_products_own_number_of_days_counts_before_the_house_rules(days, missing):
    HouseRule.objects.create(key="adhesive_test_valid_days", value=24)
    her = ready_client()
    test = skin_test(her, 24 * 28, product=ProductFactory(test_valid_days=days))
    read_skin_test(test=test, reacted=False, by=StylistFactory(), at=NOW - timedelta(days=25))
    assert [says for _, says in told(booked(her, kind(needs_tape_test=True)))] == missing


def test_a_test_is_too_fresh_for_as_long_as_its_product_says():
    her = ready_client()
    skin_test(her, 60, product=ProductFactory(read_after_hours=96))
    assert told(booked(her, kind(needs_tape_test=True))) == [("test-too-fresh", "Test: to be read from Wed 22:00")]


def test_a_test_that_was_struck_out_is_none_and_a_reaction_is_asked_about_all_the_same():
    her = ready_client()
    tape = kind(needs_tape_test=True)
    clear = skin_test(her, 24 * 20, reacted=False)
    strike_out_skin_test(test=clear, because="Another client's", by=StylistFactory(), at=NOW)
    assert told(booked(her, tape)) == [("tape-test", "Tape test: none yet")]
    reacted = skin_test(her, 70, reacted=True, product="Firm tape")
    strike_out_skin_test(test=reacted, because="Pressed by mistake", by=StylistFactory(), at=NOW)
    later = SOON + timedelta(hours=6)
    assert told(booked(her, tape, later)) == [("tape-test", "Test: ask the stylist")]


def test_a_visit_that_reads_a_test_wants_one_that_is_old_enough():
    her = ready_client()
    appointment = booked(her, kind("test reading"))
    assert told(appointment) == [("tape-test", "Test: none yet")]
    skin_test(her, 20)
    assert told(appointment) == [("test-too-fresh", "Test: to be read from Wed 14:00")]
    skin_test(her, 60, SkinTestKind.COLOUR)
    assert told(appointment) == []


def test_a_piece_on_its_way_is_missing_for_a_fitting_until_it_is_in_or_given_up():
    her, desk = ready_client(), DeskFactory()
    fitting, wash = kind("fitting"), kind("wash")
    first = await_piece(client=her, what="Heron Weir, walnut", expected_on=date(2026, 11, 27), by=desk, at=NOW)
    second = await_piece(client=her, what="A second one", by=desk, at=NOW)
    appointment = booked(her, fitting)
    assert {says for _, says in told(appointment)} == {
        "Piece not in yet: Heron Weir, walnut, expected Fri 27 Nov",
        "Piece not in yet: A second one, no date known",
    }
    assert told(booked(her, wash, SOON + timedelta(days=1))) == []
    waits = booked(her, wash, SOON + timedelta(days=2), awaits=second)
    assert told(waits) == [("piece", "Piece not in yet: A second one, no date known")]
    piece_came_in(awaited=first, by=desk, at=NOW)
    give_up(awaited=second, by=desk, at=NOW)
    assert told(appointment) == told(waits) == []


def test_a_deposit_is_due_until_it_is_taken():
    her = ready_client()
    appointment = booked(her, kind(), deposit_minor=2500)
    assert told(appointment) == [("deposit", "Deposit: £25.00 due")]
    appointment.deposit_paid_at, appointment.deposit_taken_by = NOW, DeskFactory()
    assert told(appointment) == []


def test_what_is_still_to_be_paid_of_a_sale_is_said_until_it_is_paid():
    her = ready_client()
    sale = SaleFactory(client=her)
    appointment = booked(her, kind())
    assert told(appointment) == [("balance", f"Still to pay: £1,249.00 of sale {sale}")]
    PaymentFactory(sale=sale, amount_minor=100_000)
    assert told(appointment) == [("balance", f"Still to pay: £249.00 of sale {sale}")]
    PaymentFactory(sale=sale, amount_minor=24_900)
    assert told(appointment) == []


def test_before_a_first_consult_her_own_answers_are_asked_for():
    her = ready_client()
    assert told(booked(her, kind("consult"))) == [("intake", "Her answers: not sent yet")]


@pytest.mark.parametrize("state", ["in the chair", "done", "cancelled", "missed"])
def test_what_has_begun_or_is_over_misses_nothing(state):
    assert told(booked(ClientFactory(), kind("consult", needs_tape_test=True), state=state)) == []


def test_a_whole_day_takes_the_same_queries_for_three_as_for_thirty():
    what = kind("fitting", needs_tape_test=True, needs_colour_test=True)

    def queries(appointments):
        with CaptureQueriesContext(connection) as captured:
            missing_of(appointments, at=NOW)
        return len(captured)

    def day(count):
        made = [booked(ready_client(), what, deposit_minor=100) for _ in range(count)]
        for appointment in made:
            skin_test(appointment.client, 10)
            await_piece(client=appointment.client, what="A piece", by=appointment.stylist, at=NOW)
        return made

    assert queries(day(3)) == queries(day(30)) == 9
    assert Consent.objects.count() == 33
