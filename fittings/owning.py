"""Gives a unit to a client, keeps how she wears it and what holds it, pairs it with another, and ends it.

The only writer of OwnedPiece and of WearEntry. The unit's own state is `pieces.stock`'s, the dates of its care
`fittings.caring`'s.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date, datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Q
from django.utils.timezone import localdate

from clients.consenting import locked, require_record_consent
from clients.models import Client
from fittings.caring import learn_life, work_out_care
from fittings.models import Candidate, Fitting, OwnedPiece, Repair, WashLink, WearEntry
from pieces.models import SaleLine, Unit, Variant
from pieces.stock import hand_over_unit, take_in_brought_unit, take_in_unit
from salon.common.days import day_and_month, day_said
from salon.models import User

LONGEST_HERS_YEARS = 30  # no piece lasts so long: an earlier day is a slip of the finger in the year
LONGEST_CLIP_MM = 80
WEAR_FACTS = ("days_per_week", "hours_per_day", "worn_to_bed", "swum_in", "water", "note")


@transaction.atomic
def give_piece(
    *, client: Client, unit: Unit, since: date, by: User, at: datetime, candidate: Candidate | None = None
) -> OwnedPiece:
    """Make a unit of the salon's hers; raises ValidationError without her consent or when the unit is not in stock.

    candidate: where it was placed when she chose it; then it is of this very piece, chosen in a visit of hers.
    """
    client = _may_be_given(client, unit, since, candidate, at)
    return _begun(client, hand_over_unit(unit=unit, to=client, by=by, at=at), since, by, at, candidate)


@transaction.atomic
def begin_sold_piece(
    *, line: SaleLine, since: date, by: User, at: datetime, candidate: Candidate | None = None
) -> OwnedPiece:
    """Keep a piece that was sold and handed over as hers; raises ValidationError as `give_piece` does."""
    if line.unit is None or line.handed_over_at is None:
        raise ValidationError("This piece has not been handed over yet.")
    client = _may_be_given(line.sale.client, line.unit, since, candidate, at)
    return _begun(client, line.unit, since, by, at, candidate)


@transaction.atomic
def take_in_brought(*, client: Client, variant: Variant, since: date, by: User, at: datetime) -> OwnedPiece:
    """Write down a piece she brought: a unit is made of that variant, received today, and is hers at once."""
    unit = take_in_brought_unit(variant=variant, received_on=localdate(at), by=by, at=at)
    return give_piece(client=client, unit=unit, since=since, by=by, at=at)


@transaction.atomic
def end_piece(*, owned: OwnedPiece, until: date, ended: str, by: User, at: datetime, note: str = "") -> OwnedPiece:
    """She no longer has it, for one of the reasons of `OwnedPiece.Ended`.

    One that she gave back lies in the drawer again, any other is written off. Her wash address, its turns and the
    dates of its care end with it; one that wore out tells how long its fibre lasts. Raises ValidationError while it is
    away for a repair.
    """
    owned = _may_end(owned, until, at)
    back = ended == OwnedPiece.Ended.RETURNED
    take_in_unit(
        unit=owned.unit,
        to=Unit.State.DRAWER if back else Unit.State.GONE,
        because="" if back else dict(OwnedPiece.Ended.choices).get(ended, "No longer hers"),
        by=by,
        at=at,
    )
    return _ended(owned, until, ended, note, by, at)


@transaction.atomic
def end_returned_piece(*, owned: OwnedPiece, until: date, by: User, at: datetime, note: str = "") -> OwnedPiece:
    """She gave a bought piece back, and the salon has taken the unit in; raises ValidationError as `end_piece` does."""
    owned = _may_end(owned, until, at)
    if owned.unit.state == Unit.State.WITH_CLIENT:
        raise ValidationError("The unit is still with her; take it back first.")
    return _ended(owned, until, OwnedPiece.Ended.RETURNED, note, by, at)


@transaction.atomic
def take_turns(*, one: OwnedPiece, other: OwnedPiece, by: User, at: datetime | None = None) -> None:
    """Two pieces of hers are worn in turns, so that each rests; raises ValidationError that says why they can't be."""
    if one.pk == other.pk:
        raise ValidationError("A piece takes turns with another piece, not with itself.")
    one, other = (held(piece) for piece in sorted((one, other), key=lambda piece: piece.pk))
    if one.client_id != other.client_id:
        raise ValidationError("Only two pieces of one client take turns.")
    for piece, with_whom in ((one, other), (other, one)):
        if piece.partner_id not in (None, with_whom.pk):
            raise ValidationError(f"{piece} takes turns with {piece.partner} already; end that first.")
    for piece, with_whom in ((one, other), (other, one)):
        piece.partner = with_whom
        _kept(piece, by, at)


@transaction.atomic
def stop_taking_turns(*, owned: OwnedPiece, by: User, at: datetime | None = None) -> None:
    """Each of the two is worn by itself again; a second press does no harm."""
    _part(hold_with_its_partner(owned), by, at)


@transaction.atomic
def tell_wear(
    *,
    owned: OwnedPiece,
    told_on: date,
    by: User,
    at: datetime,
    fitting: Fitting | None = None,
    corrects: WearEntry | None = None,
    because: str = "",
    **facts: Any,
) -> WearEntry:
    """Keep what she tells of how she wears it from that day on; facts carry the names of the columns of `WearEntry`."""
    owned = held(owned)
    require_record_consent(owned.client)
    _refuse_a_day_to_come(told_on, at, "told_on")
    if told_on < owned.since:
        raise ValidationError({"told_on": f"She has had it since {day_said(owned.since)}; it was not worn before."})
    may_answer(owned, fitting=fitting, corrects=corrects)
    entry = WearEntry(
        owned_piece=owned,
        fitting=fitting,
        told_on=told_on,
        corrects=corrects,
        corrected_because=" ".join(because.split()),
        recorded_by=by,
        recorded_at=at,
        **facts,
    )
    entry.full_clean()
    _refuse_what_was_just_told(entry)
    entry.save()
    work_out_care(owned=owned, on=localdate(at))
    return entry


@transaction.atomic
def set_fixing(
    *,
    owned: OwnedPiece,
    by: User,
    at: datetime | None = None,
    clips: Iterable[Mapping[str, Any]] | None = None,
    tape: Iterable[Mapping[str, Any]] | None = None,
) -> OwnedPiece:
    """Write down where its clips and its tape sit now; what is left out stays as it is.

    clips: u_mm from the front edge, v_mm to the left of the middle, length_mm. tape: where in words, product, since.
    """
    owned = held(owned)
    if clips is not None:
        owned.clips = [_on_the_base(owned, clip) for clip in clips]
    if tape is not None:
        owned.tape = [dict(area) for area in tape]
        if any(not str(area.get("where", "")).strip() for area in owned.tape):
            raise ValidationError("Say where each piece of tape sits, such as “front edge”.")
    return _kept(owned, by, at)


def held(owned: OwnedPiece) -> OwnedPiece:
    """The piece as kept now, held until the transaction ends; raises ValidationError when it is no longer hers."""
    kept = OwnedPiece.objects.select_for_update(of=("self",)).with_what_they_are().get(pk=owned.pk)
    if kept.until is not None:
        raise ValidationError(f"She has not had this piece since {day_said(kept.until)}; what was kept of it stands.")
    return kept


def may_answer(owned: OwnedPiece, *, fitting: Fitting | None, corrects: Any) -> None:
    """Raise ValidationError unless the visit is hers, and the entry that is corrected is of this piece and stands."""
    if fitting is not None and fitting.client_id != owned.client_id:
        raise ValidationError("This visit is another client's.")
    if corrects is None:
        return
    if corrects.owned_piece_id != owned.pk:
        raise ValidationError("The entry that is corrected is of another piece.")
    if not type(corrects).objects.standing().filter(pk=corrects.pk).exists():
        raise ValidationError("This entry has been corrected already; correct the one that stands now.")


def _may_be_given(client: Client, unit: Unit, since: date, candidate: Candidate | None, at: datetime) -> Client:
    """The client, held; raises ValidationError where this unit can't be hers since that day."""
    client = locked(client)
    require_record_consent(client)
    _refuse_a_day_to_come(since, at)
    if since.year < localdate(at).year - LONGEST_HERS_YEARS:
        raise ValidationError({"since": f"That is more than {LONGEST_HERS_YEARS} years ago; write the year again."})
    if candidate is not None and candidate.fitting.client_id != client.pk:
        raise ValidationError("This piece was chosen by somebody else.")
    if candidate is not None and candidate.variant_id != unit.variant_id:
        raise ValidationError({"unit": f"Unit {unit.number} is another piece; take one of {candidate.kept.name}."})
    return client


def _begun(client: Client, unit: Unit, since: date, by: User, at: datetime, candidate: Candidate | None) -> OwnedPiece:
    owned = OwnedPiece(
        client=client,
        unit=unit,
        candidate=candidate,
        since=since,
        clips=_clips_of_the_base(unit.variant),
        begun_by=by,
        begun_at=at,
    )
    return _kept(owned, by, at)


def _may_end(owned: OwnedPiece, until: date, at: datetime) -> OwnedPiece:
    """The piece, held with its partner; raises ValidationError where it can't have ended that day."""
    owned = hold_with_its_partner(owned)
    _refuse_a_day_to_come(until, at, "until")
    if until < owned.since:
        raise ValidationError({"until": f"She has had it since {day_said(owned.since)}; it can't have ended before."})
    if away := Repair.objects.filter(owned_piece=owned, back_on__isnull=True).first():
        raise ValidationError(
            f"It has been away with {away.done_by} since {day_and_month(away.sent_on)}. Write first how it came back, "
            "or that it did not."
        )
    return owned


def _ended(owned: OwnedPiece, until: date, ended: str, note: str, by: User, at: datetime) -> OwnedPiece:
    _part(owned, by, at)
    WashLink.objects.filter(owned_piece=owned, revoked_at__isnull=True).update(revoked_at=at, revoked_by=by)
    owned.until, owned.ended, owned.ended_note = until, ended, " ".join(note.split())
    owned.ended_by, owned.ended_at = by, at
    owned = _kept(owned, by, at)
    if ended == OwnedPiece.Ended.WORN_OUT:
        learn_life(fibre=owned.unit.variant.piece.fibre, at=at)
    return owned


def hold_with_its_partner(owned: OwnedPiece) -> OwnedPiece:
    """As `held`; both of a pair in the order of their keys, so that whoever parts them from the other side waits."""
    pair = OwnedPiece.objects.filter(Q(pk=owned.pk) | Q(partner=owned.pk)).order_by("pk")
    list(pair.select_for_update().values_list("pk"))
    return held(owned)


def _part(owned: OwnedPiece, by: User, at: datetime | None) -> None:
    if owned.partner is None:
        return
    for piece in (owned, owned.partner):
        piece.partner = None
        _kept(piece, by, at)


def _clips_of_the_base(variant: Variant) -> list[dict[str, int]]:
    return [
        {"u_mm": clip.u_mm, "v_mm": clip.v_mm, "length_mm": clip.length_mm} for clip in variant.piece.base.clips.all()
    ]


def _on_the_base(owned: OwnedPiece, clip: Mapping[str, Any]) -> dict[str, int]:
    base = owned.unit.variant.piece.base
    try:
        kept = {name: round(float(clip[name])) for name in ("u_mm", "v_mm", "length_mm")}
    except (KeyError, TypeError, ValueError, OverflowError) as wrong:
        raise ValidationError(
            "A clip says how far from the front, how far from the middle and how long it is."
        ) from wrong
    on_it = 0 <= kept["u_mm"] <= base.length_mm and abs(kept["v_mm"]) <= base.width_mm / 2
    if not (on_it and 0 < kept["length_mm"] <= LONGEST_CLIP_MM):
        raise ValidationError(
            f"A clip lies on its base, which is {base.length_mm} mm long and {base.width_mm} mm wide, and is no longer "
            f"than {LONGEST_CLIP_MM} mm."
        )
    return kept


def _refuse_a_day_to_come(day: date, at: datetime, field: str = "since") -> None:
    if day > localdate(at):
        raise ValidationError({field: f"{day_said(day)} is still to come; write today or an earlier day."})


def _refuse_what_was_just_told(entry: WearEntry) -> None:
    """The same told of the same day is a button pressed twice, or the page sent again."""
    of_that_day = WearEntry.objects.standing().filter(owned_piece=entry.owned_piece, told_on=entry.told_on)
    if any(all(getattr(kept, name) == getattr(entry, name) for name in WEAR_FACTS) for kept in of_that_day):
        raise ValidationError("This is written down already for that day; nothing in it is new.")


def _kept(owned: OwnedPiece, by: User, at: datetime | None) -> OwnedPiece:
    """Written down, and the dates of its care brought in step with it; `at` is now when nobody says."""
    owned.full_clean()
    owned._history_user = by  # type: ignore[attr-defined]  # where django-simple-history looks for who did it
    owned.save()
    work_out_care(owned=owned, on=localdate(at))
    return owned
