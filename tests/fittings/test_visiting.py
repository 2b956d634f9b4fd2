"""Beginning and finishing a visit: with which assessment, what becomes of the appointment, and what is refused."""

from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError
from django.utils.timezone import localdate, now

from clients.assessing import begin_assessment, sign_off
from clients.models import Assessment
from fittings.booking import cancel_appointment
from fittings.models import Fitting, TryOn
from fittings.visiting import begin_visit, examine_anew, finish_visit
from tests.factories import ClientFactory, StylistFactory
from tests.fittings.factories import AppointmentFactory, CandidateFactory, ServiceKindFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def stylist():
    return StylistFactory()


@pytest.fixture
def her():
    return ClientFactory(record_consent=True)


@pytest.fixture
def visit(her, stylist):
    return begin_visit(client=her, stylist=stylist, at=now())


def chosen_in(visit, by):
    candidate = CandidateFactory(fitting=visit)
    return TryOn.objects.create(
        fitting=visit, candidate=candidate, covers="well", sits="well", matches="well", outcome="chosen", logged_by=by
    )


def test_a_visit_begins_with_a_draft(visit, her):
    assert (visit.client, visit.assessment.state, visit.is_finished) == (her, "draft", False)


def test_the_appointment_goes_into_the_chair(her, stylist):
    appointment = AppointmentFactory(client=her, stylist=stylist)
    visit = begin_visit(client=her, stylist=stylist, at=now(), appointment=appointment)
    appointment.refresh_from_db()
    assert (appointment.state, visit.appointment) == ("in the chair", appointment)


def test_without_consent_nothing_begins_and_the_appointment_stays_as_it_was(stylist):
    appointment = AppointmentFactory(stylist=stylist)
    with pytest.raises(ValidationError, match="Ask for that consent first"):
        begin_visit(client=appointment.client, stylist=stylist, at=now(), appointment=appointment)
    appointment.refresh_from_db()
    assert appointment.state == "booked"
    assert not Fitting.objects.exists()
    assert not Assessment.objects.exists()


def test_a_second_open_visit_is_refused(visit, her, stylist):
    with pytest.raises(ValidationError, match="already open; go on with that one"):
        begin_visit(client=her, stylist=stylist, at=now())


def test_an_appointment_of_somebody_else_is_refused(her, stylist):
    with pytest.raises(ValidationError, match="somebody else's"):
        begin_visit(client=her, stylist=stylist, at=now(), appointment=AppointmentFactory())


def test_a_cancelled_appointment_is_refused_in_words(her, stylist):
    appointment = AppointmentFactory(client=her)
    cancel_appointment(appointment=appointment, by=stylist, because="a cold", at=now())
    with pytest.raises(ValidationError, match="is cancelled: begin a visit without it"):
        begin_visit(client=her, stylist=stylist, at=now(), appointment=appointment)


def test_the_draft_left_open_last_time_is_taken_up(visit, her, stylist):
    draft = visit.assessment
    finish_visit(fitting=visit, by=stylist, at=now(), next_visit_on=None, none_chosen_because="had to leave")
    assert begin_visit(client=her, stylist=stylist, at=now()).assessment == draft


def test_a_visit_that_is_no_consult_takes_the_last_signed_assessment_as_it_is(visit, her, stylist):
    signed = sign_off(assessment=visit.assessment, by=stylist, at=now())
    finish_visit(fitting=visit, by=stylist, at=now(), next_visit_on=None, none_chosen_because="to think it over")
    wash = AppointmentFactory(client=her, kind=ServiceKindFactory(name="Wash", purpose="wash"))
    assert begin_visit(client=her, stylist=stylist, at=now(), appointment=wash).assessment == signed


def test_examining_anew_stays_in_the_open_visit(visit, her, stylist):
    old = sign_off(assessment=visit.assessment, by=stylist, at=now())
    again = examine_anew(client=her, stylist=stylist, at=now())
    assert again == visit
    assert (again.assessment.state, again.assessment.supersedes) == ("draft", old)
    assert examine_anew(client=her, stylist=stylist, at=now()).assessment == again.assessment


def test_examining_anew_begins_a_visit_where_none_is_open(visit, her, stylist):
    sign_off(assessment=visit.assessment, by=stylist, at=now())
    finish_visit(fitting=visit, by=stylist, at=now(), next_visit_on=None, none_chosen_because="to think it over")
    assert examine_anew(client=her, stylist=stylist, at=now()) != visit


# Finishing


def test_finishing_says_what_was_chosen_or_why_nothing_was(visit, stylist):
    with pytest.raises(ValidationError, match="Nothing is chosen yet"):
        finish_visit(fitting=visit, by=stylist, at=now(), next_visit_on=None)
    with pytest.raises(ValidationError, match="Nothing is chosen yet"):
        finish_visit(fitting=visit, by=stylist, at=now(), next_visit_on=None, none_chosen_because="  ")
    visit.refresh_from_db()
    assert not visit.is_finished


def test_a_chosen_piece_and_a_reason_for_none_contradict(visit, stylist):
    chosen_in(visit, stylist)
    with pytest.raises(ValidationError, match="A piece is chosen"):
        finish_visit(fitting=visit, by=stylist, at=now(), next_visit_on=None, none_chosen_because="none fitted")


def test_a_finished_visit_closes_its_appointment_and_is_not_finished_twice(her, stylist):
    appointment = AppointmentFactory(client=her, stylist=stylist)
    visit = begin_visit(client=her, stylist=stylist, at=now(), appointment=appointment)
    chosen_in(visit, stylist)
    next_on = localdate() + timedelta(weeks=6)
    done = finish_visit(fitting=visit, by=stylist, at=now(), next_visit_on=next_on, why_chosen="Lightest that covers")
    appointment.refresh_from_db()
    assert (done.finished_by, done.next_visit_on, done.why_chosen) == (stylist, next_on, "Lightest that covers")
    assert appointment.state == "done"
    with pytest.raises(ValidationError, match="already finished"):
        finish_visit(fitting=visit, by=stylist, at=now(), next_visit_on=None)


def test_the_next_visit_is_a_day_to_come(visit, stylist):
    yesterday = localdate() - timedelta(days=1)
    with pytest.raises(ValidationError, match="is over; choose a day to come"):
        finish_visit(fitting=visit, by=stylist, at=now(), next_visit_on=yesterday, none_chosen_because="none fitted")


def test_a_visit_begun_for_care_takes_what_is_signed_even_while_a_draft_lies_open(her, stylist):
    signed = sign_off(assessment=begin_visit(client=her, stylist=stylist, at=now()).assessment, by=stylist, at=now())
    finish_visit(
        fitting=Fitting.objects.get(), by=stylist, at=now(), next_visit_on=None, none_chosen_because="Another day"
    )
    begin_assessment(client=her, stylist=stylist, at=now())
    assert begin_visit(client=her, stylist=stylist, at=now(), for_care=True).assessment == signed
