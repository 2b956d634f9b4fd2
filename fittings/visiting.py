"""Begins and finishes a visit, and lets an examination begin anew within it: the only writer of `Fitting`'s span.

What is examined is written by `clients.assessing`, what is tried and chosen by the modules named for it.
"""

from __future__ import annotations

from datetime import date, datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.formats import date_format
from django.utils.timezone import localtime

from clients.assessing import begin_assessment
from clients.consenting import locked, require_record_consent
from clients.models import Assessment, Client
from fittings.booking import mark_done, mark_in_chair
from fittings.models import Appointment, Fitting, TryOn
from salon.models import User

_STILL_TO_COME = (Appointment.State.BOOKED, Appointment.State.ARRIVED)


@transaction.atomic
def begin_visit(
    *, client: Client, stylist: User, at: datetime, appointment: Appointment | None = None, for_care: bool = False
) -> Fitting:
    """Open a visit with the assessment it works on, and put the appointment in the chair.

    The assessment is the draft left open last time, or a new one; a visit that was booked for something else than a
    consult takes the newest signed-off one as it is, and one begun for the care of a piece does so even while a draft
    lies open. Refused without her consent to the record, while a visit of hers
    is open, and for an appointment that is somebody else's or over.
    """
    client = locked(client)
    require_record_consent(client)
    if appointment is not None:
        _take_up(appointment, client, by=stylist, at=at)
    fitting = Fitting(client=client, stylist=stylist, appointment=appointment, began_at=at)
    fitting.full_clean()  # an open visit is refused before an assessment is begun for this one
    fitting.assessment = _assessment_for(client, stylist, at, appointment, for_care=for_care)
    fitting.full_clean()
    fitting.save()
    return fitting


@transaction.atomic
def examine_anew(*, client: Client, stylist: User, at: datetime) -> Fitting:
    """A new assessment that starts from the last, in the client's open visit or in one begun for it.

    What was already chosen in the visit keeps the assessment it was computed from.
    """
    client = locked(client)
    fitting = Fitting.objects.open().filter(client=client).select_related("assessment").first()
    if fitting is None:
        return begin_visit(client=client, stylist=stylist, at=at)
    if fitting.assessment is None or not fitting.assessment.is_draft:
        fitting.assessment = begin_assessment(client=client, stylist=stylist, at=at)
        fitting.full_clean()
        fitting.save()
    return fitting


@transaction.atomic
def finish_visit(
    *,
    fitting: Fitting,
    by: User,
    at: datetime,
    next_visit_on: date | None,
    why_chosen: str = "",
    none_chosen_because: str = "",
) -> Fitting:
    """Close the visit. It says which piece was chosen, or why none was; one that was all care says neither."""
    fresh = Fitting.objects.select_for_update().get(pk=fitting.pk)
    if fresh.is_finished:
        raise ValidationError("This visit is already finished.")
    chosen = TryOn.objects.filter(fitting=fresh, outcome=TryOn.Outcome.CHOSEN).exists()
    none_chosen_because = none_chosen_because.strip()
    if not chosen and not none_chosen_because and not was_for_care(fresh):
        raise ValidationError(
            {"none_chosen_because": "Nothing is chosen yet: choose a piece that was tried, or write why none was."}
        )
    if chosen and none_chosen_because:
        raise ValidationError(
            {"none_chosen_because": "A piece is chosen; leave this empty, or take the choice back first."}
        )
    today = localtime(at).date()
    if next_visit_on is not None and next_visit_on < today:
        raise ValidationError(
            {"next_visit_on": f"{date_format(next_visit_on, 'j F Y')} is over; choose a day to come."}
        )
    fresh.finished_at, fresh.finished_by = at, by
    fresh.next_visit_on, fresh.none_chosen_because = next_visit_on, none_chosen_because
    fresh.why_chosen = why_chosen.strip()
    fresh.full_clean()
    fresh.save()
    appointment = fresh.appointment
    if appointment is not None and appointment.state in (*_STILL_TO_COME, Appointment.State.IN_CHAIR):
        mark_done(appointment=appointment, by=by, at=at)
    return fresh


def was_for_care(fitting: Fitting) -> bool:
    """Nothing was proposed to her, and something was done to a piece of hers or looked over."""
    if fitting.candidates.exists():
        return False
    return fitting.services.done().exists() or fitting.checks.standing().exists()


def _take_up(appointment: Appointment, client: Client, *, by: User, at: datetime) -> None:
    appointment.refresh_from_db()
    if appointment.client_id != client.pk:
        raise ValidationError(f"Appointment {appointment.reference} is somebody else's.")
    if Fitting.objects.filter(appointment=appointment).exists():
        raise ValidationError(f"The visit of appointment {appointment.reference} has already begun.")
    if appointment.state in _STILL_TO_COME:
        mark_in_chair(appointment=appointment, by=by, at=at)
    elif appointment.state != Appointment.State.IN_CHAIR:
        raise ValidationError(
            f"Appointment {appointment.reference} is {appointment.get_state_display().lower()}: "
            "begin a visit without it, or book anew."
        )


def _assessment_for(
    client: Client, stylist: User, at: datetime, appointment: Appointment | None, *, for_care: bool
) -> Assessment:
    draft = Assessment.objects.drafts().filter(client=client).first()
    signed_off = Assessment.objects.signed_off().filter(client=client).first()
    if for_care and signed_off is not None:
        return signed_off
    if draft is not None:
        return draft
    if signed_off is not None and appointment is not None and not appointment.kind.is_consult:
        return signed_off
    return begin_assessment(client=client, stylist=stylist, at=at)
