"""Which services are on record of a piece or a client, as pages list them: newest first, each with what it says."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from fittings.models import Fitting, OwnedPiece, Service
from fittings.models.service import ServiceQuerySet
from fittings.services.details import WrongDetails, read_details
from fittings.services.forms_of_kinds import LOGGED_KINDS, SERVICE_FORMS
from fittings.services.told import Told, told
from salon.current import SalonRequest, reader_units
from salon.models import Units

SHOWN, TO_REPEAT = 12, 6
ASKED_ANEW = (
    "Asked anew, because it is another one each time: lot numbers, the strand test, photos, the price, and what holds "
    "only now, such as whether the hair is wet."
)


@dataclass(frozen=True)
class Shown:
    service: Service
    told: list[Told]


def with_all_that_is_told(services: ServiceQuerySet) -> ServiceQuerySet:
    """With who did it, to what and in which visit, so that a list is read at once."""
    return services.select_related(
        "done_by",
        "planned_by",
        "fitting",
        "candidate__fitting",
        "owned_piece__unit__variant__piece",
        "corrects",
        "photos_before",
        "photos_after",
    ).prefetch_related("overrides__owner")


def shown(services: Iterable[Service], *, imperial: bool) -> list[Shown]:
    return [Shown(service, told(service, imperial=imperial)) for service in services]


def services_of_piece(request: SalonRequest, owned: OwnedPiece) -> dict[str, Any]:
    """What the piece's page shows of services, to those who keep them; a fixed number of queries."""
    if not request.user.has_perms(("fittings.change_fitting", "clients.view_health")):
        return {}
    done = with_all_that_is_told(Service.objects.done().filter(owned_piece=owned)).order_by("-done_at", "-pk")
    imperial = reader_units(request.user, request.salon) == Units.IMPERIAL
    tests = owned.unit.strand_tests.standing().select_related("tested_by")
    rows = list(done[: SHOWN + 1])
    return {
        "services": shown(rows[:SHOWN], imperial=imperial),
        "there_are_more_services": len(rows) > SHOWN,
        "strand_tests": tests[:SHOWN],
        "log_kinds": kinds_to_log(),
        "log_in": Fitting.objects.open().filter(client=owned.client_id).first(),
    }


def kinds_to_log() -> list[tuple[str, str]]:
    return [(kind, Service.Kind(kind).label) for kind in LOGGED_KINDS]


def to_repeat(fitting: Fitting, kind: str, piece: str, *, imperial: bool) -> list[Shown]:
    """What was done of this kind to her or to this piece before, the newest first; clips sit where they sit."""
    if kind == Service.Kind.CLIPS:
        return []
    before = Service.objects.done().filter(fitting__client=fitting.client_id, kind=kind)
    if piece:
        before = before.filter(owned_piece__reference=piece)
    return shown(with_all_that_is_told(before).order_by("-done_at", "-pk")[:TO_REPEAT], imperial=imperial)


def repeated(service: Service) -> dict[str, Any]:
    """What a form starts with when that service is done once more."""
    try:
        details = read_details(service.kind, service.details).to_repeat()
    except WrongDetails:
        return {}
    form = SERVICE_FORMS[service.kind]
    start = form.filled_from(service, details)
    return {name: value for name, value in start.items() if name not in form.asked_anew}


def as_recorded(service: Service) -> dict[str, Any]:
    """What a form starts with when that very service is done or corrected."""
    try:
        details = read_details(service.kind, service.details)
    except WrongDetails:
        return {}
    photos = {name: getattr(service, name) for name in ("photos_before", "photos_after")}
    start = SERVICE_FORMS[service.kind].filled_from(service, details)
    return start | photos | {"price_minor": service.price_minor or None}
