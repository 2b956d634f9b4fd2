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
from django.db.models import Exists, OuterRef
from django.utils.timezone import now

from clients.consenting import require_record_consent
from clients.models import Client, Consent
from clients.models.consent import ConsentKind
from fittings.care.dates import CareDue, care_dates
from fittings.care.life import Lasted, life_of
from fittings.care_facts import care_facts
from fittings.hours_kept import salon_zone
from fittings.models import CareDate, HouseRule, LifeLearnt, OwnedPiece, Service, Wash, WashLink
from salon.common.secrets_in_addresses import digest_of, new_secret
from salon.models import User


@transaction.atomic
def work_out_care(*, owned: OwnedPiece, on: date) -> list[CareDate]:
    """Bring the dates of a piece in step with what is on record; worked out again, they stay as they are.

    A date that moves is one she has not been told of. A piece that is no longer hers has none.
    """
    owned = OwnedPiece.objects.with_what_they_are().select_for_update(of=("self",)).get(pk=owned.pk)
    kept = {row.kind: row for row in owned.care_dates.select_for_update()}  # one may be marked as told meanwhile
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
    owned = OwnedPiece.objects.select_for_update().get(pk=owned.pk)  # whose it is may have changed meanwhile
    require_record_consent(owned.client)
    _check_day(owned, washed_on, at=at)
    if corrects is not None and corrects.owned_piece_id != owned.pk:
        raise ValidationError("That wash is another piece's.")
    if corrects is not None and not Wash.objects.standing().filter(pk=corrects.pk).exists():
        raise ValidationError("This wash has been corrected already; correct the one that stands now.")
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


def _kept_date(care_date: CareDate) -> CareDate:
    """The date as kept now, held; dates come and go as the care of a piece is worked out anew."""
    kept = CareDate.objects.select_for_update(of=("self",)).filter(pk=care_date.pk).first()
    if kept is None:
        raise ValidationError("That date is gone: what her piece needs was worked out anew meanwhile.")
    return kept


def _keep(wash: Wash) -> Wash:
    wash.full_clean()
    wash.save()
    work_out_care(owned=wash.owned_piece, on=wash.recorded_at.astimezone(salon_zone()).date())
    return wash


@transaction.atomic
def make_wash_link(*, owned: OwnedPiece, by: User, at: datetime) -> tuple[WashLink, str]:
    """The address with which she tells of a wash, and the secret in it, which nobody can ask for again."""
    owned = OwnedPiece.objects.select_for_update().get(pk=owned.pk)
    require_record_consent(owned.client)
    if not owned.is_hers:
        raise ValidationError("This piece is no longer hers; there is no wash to tell of.")
    secret = new_secret()
    link = WashLink(owned_piece=owned, digest=digest_of(secret), made_by=by, made_at=at)
    link.full_clean()
    link.save()
    return link, secret


@transaction.atomic
def revoke_wash_link(*, link: WashLink, by: User, at: datetime) -> WashLink:
    """From now on the address is answered as one that never was; taking it back twice changes nothing."""
    kept = WashLink.objects.select_for_update().get(pk=link.pk)
    if kept.revoked_at is None:
        kept.revoked_at, kept.revoked_by = at, by
        kept.full_clean()
        kept.save()
    return kept


def open_wash_link(*, secret: str) -> WashLink | None:
    """The live address of that secret, in one query; None for one that was taken back, or whose piece or client went,
    and while she does not agree that a record is kept."""
    agrees = Consent.objects.live().filter(kind=ConsentKind.RECORD, client=OuterRef("owned_piece__client"))
    live = WashLink.objects.live().filter(Exists(agrees), owned_piece__client__in=Client.objects.active())
    return live.filter(digest=digest_of(secret)).select_related("owned_piece").first()


@transaction.atomic
def wash_by_link(*, secret: str, at: datetime, deep_care: bool = False) -> bool | None:
    """She says that she washed it today. True: it is noted now; False: it was noted already; None: no such address."""
    link = open_wash_link(secret=secret)
    if link is None:
        return None
    owned = OwnedPiece.objects.select_for_update(of=("self",)).get(pk=link.owned_piece_id)
    today = at.astimezone(salon_zone()).date()
    of_today = Wash.objects.filter(owned_piece=owned, washed_on=today)
    if of_today.standing().exists() or of_today.filter(link__isnull=False).exists() or not owned.is_hers:
        return False
    _check_day(owned, today, at=at)
    _keep(Wash(owned_piece=owned, washed_on=today, deep_care=deep_care, link=link, recorded_at=at))
    WashLink.objects.filter(pk=link.pk).update(used_at=at)
    return True


@transaction.atomic
def mark_told(*, care_date: CareDate, by: User, at: datetime) -> CareDate:
    """Somebody told her of a date; saying so twice keeps the first."""
    kept = _kept_date(care_date)
    if kept.told_at is None:
        kept.told_at, kept.told_by = at, by
        kept.full_clean()
        kept.save()
    return kept


@transaction.atomic
def take_back_told(*, care_date: CareDate) -> CareDate:
    """It was pressed by mistake: the date stands among the untold again."""
    kept = _kept_date(care_date)
    kept.told_at = kept.told_by = None
    kept.full_clean()
    kept.save()
    return kept


@transaction.atomic
def learn_life(*, fibre: str, at: datetime) -> LifeLearnt:
    """Learn anew how long the salon's own pieces of a fibre last, from all of them; `learnt_at` moves with the figure.

    What did not wear out counts for as long as it was worn: still hers, given back, lost, outgrown or laid aside.
    """
    today = at.astimezone(salon_zone()).date()
    lasted = OwnedPiece.objects.filter(unit__variant__piece__fibre=fibre).lasted(today)
    life = life_of(Lasted(days, worn_out, pieces) for days, worn_out, pieces in lasted)
    LifeLearnt.objects.get_or_create(fibre=fibre, defaults={"pieces": 0, "ended": 0, "learnt_at": at})
    learnt = LifeLearnt.objects.select_for_update().get(fibre=fibre)  # two pieces that end at once come one by one
    figure = (life.median_days, life.low_days, life.high_days)
    if figure != (learnt.median_days, learnt.low_days, learnt.high_days):
        learnt.learnt_at = at
    learnt.pieces, learnt.ended = life.pieces, life.worn_out
    learnt.median_days, learnt.low_days, learnt.high_days = figure
    learnt.full_clean()
    learnt.save()
    return learnt
