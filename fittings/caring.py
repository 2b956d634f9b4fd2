"""Keeps the care dates of owned pieces in step with what they rest on, and takes in washes and who was told of a date.

Which dates there are is reckoned by the pure `fittings.care` from what `fittings.care_facts` gathers. Every deed that
changes what they rest on calls `work_out_care` in its own transaction; dates that rest on a house rule or on the
salon's own figure follow at the next entry, or when the sender of messages runs (`fittings.care_afresh`).
"""

from __future__ import annotations

from dataclasses import asdict
from datetime import date, datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.timezone import now

from clients.consenting import require_record_consent
from fittings.care.dates import CareDue, care_dates
from fittings.care_facts import care_facts
from fittings.hours_kept import salon_zone
from fittings.models import CareDate, HouseRule, OwnedPiece, Service, Wash
from salon.models import User


@transaction.atomic
def work_out_care(*, owned: OwnedPiece, on: date) -> list[CareDate]:
    """Bring the dates of a piece in step with what is on record; worked out again, they stay as they are.

    A date that moves is one she has not been told of. A piece that is no longer hers has none.
    """
    owned = OwnedPiece.objects.with_what_they_are().select_for_update(of=("self",)).get(pk=owned.pk)
    kept = {row.kind: row for row in owned.care_dates.all()}
    dues: tuple[CareDue, ...] = ()
    if owned.is_hers:
        numbers = HouseRule.objects.current()
        facts = care_facts(owned, standing=kept.values(), learn_from=numbers["care_learn_from_ended"])
        dues = care_dates(facts, numbers, on)
    rows = [_in_step(kept.pop(due.kind, None), owned, due, on) for due in dues]
    if kept:
        owned.care_dates.filter(pk__in=[row.pk for row in kept.values()]).delete()
    OwnedPiece.objects.filter(pk=owned.pk).update(care_worked_out_at=now())  # when by the clock, whatever day is asked
    return rows


def _in_step(row: CareDate | None, owned: OwnedPiece, due: CareDue, on: date) -> CareDate:
    """The row of a date, written only if something of it is new."""
    because = {"grounds": [asdict(ground) for ground in due.rests_on]}
    told = {"due_on": due.span.due_on, "earliest_on": due.span.earliest_on, "latest_on": due.span.latest_on}
    if row is None:
        row = CareDate(owned_piece=owned, kind=due.kind)
    elif row.rests_on == because and all(getattr(row, name) == value for name, value in told.items()):
        return row
    elif row.due_on != due.span.due_on:
        row.told_at = row.told_by = None
    for name, value in told.items():
        setattr(row, name, value)
    row.rests_on, row.worked_out_on = because, on
    row.full_clean()
    row.save()
    return row


@transaction.atomic
def tell_wash(
    *,
    owned: OwnedPiece,
    washed_on: date,
    by: User,
    at: datetime,
    deep_care: bool = False,
    service: Service | None = None,
    corrects: Wash | None = None,
    because: str = "",
) -> Wash:
    """Write down that the piece was washed on a day; refused without her consent to the record, and said twice.

    service: the wash that was done in the salon. corrects: the wash that this one takes the place of, and why.
    """
    owned = OwnedPiece.objects.select_for_update(of=("self",)).select_related("client").get(pk=owned.pk)
    require_record_consent(owned.client)
    _check_day(owned, washed_on, at=at)
    if corrects is not None and corrects.owned_piece_id != owned.pk:
        raise ValidationError("That wash is another piece's.")
    same_day = Wash.objects.standing().filter(owned_piece=owned, washed_on=washed_on)
    if corrects is not None:
        same_day = same_day.exclude(pk=corrects.pk)
    if service is None and same_day.exists():
        raise ValidationError({"washed_on": "A wash on that day is written down already."})
    wash = Wash(
        owned_piece=owned,
        washed_on=washed_on,
        deep_care=deep_care,
        service=service,
        corrects=corrects,
        corrected_because=because,
        recorded_by=by,
        recorded_at=at,
    )
    return _keep(wash)


def _check_day(owned: OwnedPiece, washed_on: date, *, at: datetime) -> None:
    today = at.astimezone(salon_zone()).date()
    if washed_on > today:
        raise ValidationError({"washed_on": "A wash is written down on its day or later."})
    if washed_on < owned.since:
        raise ValidationError({"washed_on": "On that day the piece was not hers yet."})
    if owned.until is not None and washed_on > owned.until:
        raise ValidationError({"washed_on": "On that day the piece was no longer hers."})


def _keep(wash: Wash) -> Wash:
    wash.full_clean()
    wash.save()
    work_out_care(owned=wash.owned_piece, on=wash.recorded_at.astimezone(salon_zone()).date())
    return wash
