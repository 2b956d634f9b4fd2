"""Logs a service that was done, in a visit, to a piece or to her own hair, and what a strand of a unit took.

The rules are asked again before it is kept, as `planning` asks them. What was done is never edited or removed: it is
corrected by another, which keeps the day and the hand of the first and says who wrote it (`planned_by`, `planned_at`).
`correcting` strikes out. What follows from a service is written with it: a wash, where clips and tape sit now, the
dates of its care.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from datetime import date, datetime
from typing import Any, Required, TypedDict, Unpack
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.timezone import localdate

from clients.consenting import locked, require_record_consent
from clients.models import PhotoSet
from fittings.caring import tell_wash, work_out_care
from fittings.models import Candidate, Fitting, Override, OwnedPiece, Service, StrandTest, Wash
from fittings.owning import set_fixing
from fittings.passing_stops import record_passes
from fittings.planning import findings_about_service, hers, must_be_heard
from fittings.services.details import (
    TAPE_WORDS,
    ClipAt,
    ClipMoves,
    Colouring,
    Details,
    Taping,
    Washing,
    WrongDetails,
    read_details,
)
from fittings.unit_facts import known_of_unit, unit_of
from pieces.models import Unit
from salon.models import Salon, User


class Said(TypedDict, total=False):
    """What is said of a service that was done. details: plain data as `services.details` reads it."""

    facts: Required[Mapping[str, Any]]
    details: Required[Mapping[str, Any]]
    salon: Required[Salon]
    by: Required[User]
    at: Required[datetime]
    on: Required[date]
    owned_piece: OwnedPiece | None
    candidate: Candidate | None
    note: str
    price_minor: int
    photos_before: PhotoSet | None
    photos_after: PhotoSet | None
    acknowledged: Collection[str]
    owner: User | None
    reasons: Mapping[str, str] | None


@transaction.atomic
def log_service(
    *,
    fitting: Fitting,
    kind: str,
    corrects: Service | None = None,
    because: str = "",
    once: UUID | None = None,
    **said: Unpack[Said],
) -> Service:
    """Keep what was done just now, or what was really done in place of `corrects`, for which a reason is written.

    once: the form's own key; the same again gives the service that it logged. Raises ValidationError, a sentence a
    reason: the visit is finished, the piece is not hers, a fact is missing, a rule stops it, a caution is unread, or
    what it corrects can't be corrected.
    """
    fitting = _held(fitting)
    if once and (logged := Service.objects.filter(once=once, fitting=fitting).first()):
        return logged  # type: ignore[no-any-return]  # rows of an abstract model are untyped
    if corrects is None:
        _refuse_if_finished(fitting)
    else:
        corrects = _may_be_corrected(corrects, fitting, kind, said)
    service = Service(
        fitting=fitting,
        kind=kind,
        corrects=corrects,
        corrected_because=" ".join(because.split()),
        planned_by=said["by"],
        done_by=corrects.done_by if corrects else said["by"],
        done_at=corrects.done_at if corrects else said["at"],
        once=once,
    )
    return _kept(service, said, heard_in=corrects)


@transaction.atomic
def do_planned(*, service: Service, **said: Unpack[Said]) -> Service:
    """What was planned is done now, with the facts as they turned out; refused as `log_service` refuses.

    A caution read and a stop let pass when it was planned count again where the rules say the very same. Pressed twice
    it is done once.
    """
    fitting = _held(service.fitting)
    planned = Service.objects.select_for_update(of=("self",)).filter(pk=service.pk).first()
    if planned is None:
        raise ValidationError(
            "That plan is gone: somebody has taken it away meanwhile. What was done can still be logged."
        )
    service = planned
    if service.is_done:
        return service
    _refuse_if_finished(fitting)
    service.fitting, service.done_by, service.done_at = fitting, said["by"], said["at"]
    return _kept(service, said, heard_in=service)


@transaction.atomic
def record_strand_test(
    *,
    unit: Unit,
    product: str,
    held: bool,
    seen: str,
    by: User,
    at: datetime,
    lot: str = "",
    minutes: int | None = None,
    fitting: Fitting | None = None,
    photo_set: PhotoSet | None = None,
    corrects: StrandTest | None = None,
    because: str = "",
    once: UUID | None = None,
) -> StrandTest:
    """Keep how one strand of this very unit took a product; ValidationError says what is missing."""
    unit = Unit.objects.select_for_update(no_key=True).get(pk=unit.pk)  # two presses come one after the other
    if once and (kept := StrandTest.objects.filter(once=once, unit=unit).first()):
        return kept  # type: ignore[no-any-return]  # as above
    if corrects is not None and corrects.unit_id != unit.pk:
        raise ValidationError("The strand test that is corrected is of another unit.")
    if corrects is not None and not StrandTest.objects.standing().filter(pk=corrects.pk).exists():
        raise ValidationError("This strand test has been corrected already; correct the one that stands now.")
    test = StrandTest(
        unit=unit,
        fitting=fitting,
        product=" ".join(product.split()),
        lot=" ".join(lot.split()),
        minutes=minutes,
        held=held,
        seen=" ".join(seen.split()),
        tested_at=corrects.tested_at if corrects else at,
        tested_by=by,
        photo_set=photo_set,
        corrects=corrects,
        corrected_because=" ".join(because.split()),
        once=once,
    )
    test.full_clean()
    test.save()
    return test


def _held(fitting: Fitting) -> Fitting:
    """The visit as kept now, it and its client held; ValidationError once her consent to a record is gone."""
    require_record_consent(locked(fitting.client))
    visits = Fitting.objects.select_for_update(of=("self",), no_key=True)  # an entry may name the visit meanwhile
    visits = visits.select_related("client", "assessment__client")
    return visits.get(pk=fitting.pk)


def _refuse_if_finished(fitting: Fitting) -> None:
    if fitting.is_finished:
        raise ValidationError("This visit is finished; begin another one, or correct what was logged in this one.")


def _may_be_corrected(service: Service, fitting: Fitting, kind: str, said: Said) -> Service:
    service = Service.objects.select_for_update(of=("self",)).get(pk=service.pk)
    if not service.is_done:
        raise ValidationError("This is only planned; take it out of the plan instead.")
    if not Service.objects.done().filter(pk=service.pk).exists():
        raise ValidationError("This was corrected already; correct the newer entry, if that is wrong too.")
    pieces = [said.get(name) for name in ("candidate", "owned_piece")]
    if (service.fitting_id, service.kind) != (fitting.pk, kind) or pieces != [service.candidate, service.owned_piece]:
        raise ValidationError(
            "A correction says what was really done in the same visit to the same piece. Where it was another piece, "
            "strike this out and log it on that one."
        )
    return service


def _kept(service: Service, said: Said, *, heard_in: Service | None) -> Service:
    """Save it as done, with what follows from it. heard_in: where the rules were heard before."""
    service.candidate, service.owned_piece = said.get("candidate"), _as_it_is(said.get("owned_piece"))
    hers(service.fitting, service.candidate, service.owned_piece)
    if service.corrects is None and service.owned_piece is not None and not service.owned_piece.is_hers:
        raise ValidationError("She no longer has this piece; what was kept of it stands.")
    service.photos_before, service.photos_after = said.get("photos_before"), said.get("photos_after")
    for photo_set in (service.photos_before, service.photos_after):
        if photo_set is not None and photo_set.client_id != service.fitting.client_id:
            raise ValidationError("These photos are somebody else's.")
    details = _details(service, said["details"])
    if isinstance(details, ClipMoves) and service.corrects is None:
        _refuse_if_moved_meanwhile(service.owned_piece, details)
    service.details, service.facts = details.as_kept(), dict(said["facts"])
    service.note, service.price_minor = said.get("note", ""), said.get("price_minor", 0)
    findings = findings_about_service(
        fitting=service.fitting,
        candidate=service.candidate,
        owned_piece=service.owned_piece,
        facts=service.facts,
        salon=said["salon"],
        at=said["at"],
        on=said["on"],
        corrects=service.corrects,  # type: ignore[arg-type]  # what a service corrects is a service
        clips_then=details.clips_now if isinstance(details, ClipMoves) else None,
        products=details.on_skin,
    )
    passed = list(heard_in.overrides.all()) if heard_in else []
    owner, reasons = said.get("owner"), said.get("reasons") or {}
    heard = must_be_heard(
        findings,
        acknowledged=said.get("acknowledged", ()),
        owner=owner,
        reasons=reasons,
        heard_before=heard_in.findings if heard_in else (),
        passed_before=passed,
    )
    service.findings = heard.kept
    service.full_clean()
    service.save()
    record_passes(heard.stops, fitting=service.fitting, service=service, owner=owner, reasons=reasons)
    _carry_over(service, passed)
    _what_follows(service, details, by=said["by"], at=said["at"])
    return service


def _as_it_is(owned: OwnedPiece | None) -> OwnedPiece | None:
    """The piece as kept now, held until the transaction ends."""
    if owned is None:
        return None
    return OwnedPiece.objects.select_for_update(of=("self",)).with_what_they_are().get(pk=owned.pk)


def _details(service: Service, plain: Mapping[str, Any]) -> Details:
    """Read whole; a colour is kept with the strand test of the very unit as it stood when the colour was done."""
    plain = {name: value for name, value in plain.items() if name != "strand_test"}
    unit = unit_of(service.candidate, service.owned_piece)
    test = known_of_unit(unit, before=service.done_at).strand_test if unit else None
    try:
        details = read_details(service.kind, plain)
        if test is None or not isinstance(details, Colouring):
            return details
        tried = {"product": test.product, "held": test.held, "seen": test.seen}
        return read_details(
            service.kind,
            details.as_kept() | {"strand_test": tried | {"tested_on": localdate(test.tested_at).isoformat()}},
        )
    except WrongDetails as refusal:
        raise ValidationError(str(refusal)) from refusal


def _refuse_if_moved_meanwhile(owned: OwnedPiece | None, details: ClipMoves) -> None:
    was = [move.was for move in details.moves if move.was is not None]
    if owned is not None and was != [ClipAt.read(clip) for clip in owned.clips]:
        raise ValidationError("Its clips have been moved meanwhile. Open the page again to see where they sit now.")


def _carry_over(service: Service, passed: Iterable[Override]) -> None:
    """What was let pass for the entry that this one corrects is kept and printed with this one too."""
    said = {(one["rule_id"], one["says"]) for one in service.findings}
    for one in passed:
        if one.service_id != service.pk and (one.rule_id, one.finding) in said:
            again = Override(
                fitting=service.fitting,
                service=service,
                rule_id=one.rule_id,
                finding=one.finding,
                reason=one.reason,
                owner=one.owner,
            )
            again.full_clean()
            again.save()


def _what_follows(service: Service, details: Details, *, by: User, at: datetime) -> None:
    """A wash of hers, where her clips and tape sit now, and what that moves among the dates of its care."""
    owned = service.owned_piece
    if owned is None:
        return
    if isinstance(details, Washing):
        tell_wash(
            owned=owned,
            washed_on=localdate(service.done_at),
            by=by,
            at=at,
            deep_care=details.deep_care,
            service=service,
            corrects=Wash.objects.standing().filter(service=service.corrects).first() if service.corrects else None,
            because=service.corrected_because,
        )
    if owned.is_hers and not _is_older(service):
        if isinstance(details, ClipMoves):
            set_fixing(owned=owned, by=by, clips=details.clips_now)
        if isinstance(details, Taping):
            set_fixing(owned=owned, by=by, tape=_tape_now(service, owned, details))
    work_out_care(owned=owned, on=localdate(at))


def _is_older(service: Service) -> bool:
    newer = Service.objects.done().filter(kind=service.kind, owned_piece=service.owned_piece)
    return bool(newer.filter(done_at__gt=service.done_at).exists())


def _tape_now(service: Service, owned: OwnedPiece, details: Taping) -> list[dict[str, Any]]:
    """The areas taped now in place of what was there, those that a corrected entry had written taken back."""
    since = localdate(service.done_at).isoformat()
    before: Any = service.corrects
    wrong = {TAPE_WORDS[word] for word in before.details.get("where", ())} if before else set()
    taped = {TAPE_WORDS[word] for word in details.where}
    stays = [
        area
        for area in owned.tape
        if area["where"] not in taped and not (area["where"] in wrong and area.get("since") == since)
    ]
    return stays + [{"where": where, "product": details.product, "since": since} for where in sorted(taped)]
