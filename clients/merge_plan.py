"""What would happen if one client's record went into another's: what moves or stays, whose words hold, what forbids it.

Reads only; `clients.merging` does it, and the page shows this first.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any, Final

from django.utils.formats import date_format
from django.utils.timezone import localtime

from clients.belonging import Belonging, Clash, belongings, clashes
from clients.models import Client, Consent, Sensitivity
from clients.models.consent import ConsentKind

KEPT, GONE, BOTH = "kept", "gone", "both"
FIELDS: Final = (
    "given_name",
    "family_name",
    "preferred_name",
    "phone",
    "email",
    "born_on",
    "guardian_name",
    "private_note",
)
MAY_BE_JOINED: Final = ("private_note",)
STAY_BEHIND: Final = (Consent, Sensitivity)  # facts that the kept record says already; anything else forbids the merge


@dataclass(frozen=True)
class MergePlan:
    """`moves` counts rows by table; `stays` are those the kept record has already; `refusals` say what forbids it."""

    moves: list[tuple[Belonging, int]]
    stays: list[Clash]
    refusals: list[str]

    def staying(self, belonging: Belonging) -> list[int]:
        return [clash.row.pk for clash in self.stays if clash.belonging == belonging]


def plan_merge(keep: Client, gone: Client) -> MergePlan:
    """How `gone` would go into `keep`; both are read as they are now."""
    if keep.pk == gone.pk:
        return MergePlan([], [], ["These are one record; choose another one that goes into it."])
    moves, stays, refusals = [], [], _against_her_last_word(keep, gone)
    for belonging in belongings():
        found = list(clashes(belonging, keep, gone))
        if issubclass(belonging.model, STAY_BEHIND):
            stays += found
        else:
            refusals += [_refusal(clash) for clash in found]
        if count := belonging.of(gone).count() - (len(found) if issubclass(belonging.model, STAY_BEHIND) else 0):
            moves.append((belonging, count))
    return MergePlan(moves, stays, refusals)


def _refusal(clash: Clash) -> str:
    name = str(clash.belonging.model._meta.verbose_name).capitalize()
    return f"{name} {clash.row} and {name.lower()} {clash.other}: {clash.message} Settle one of the two first."


def _against_her_last_word(keep: Client, gone: Client) -> list[str]:
    """A consent that lives in one record, though she took it back later in the other, must not come to life by this."""
    refusals = []
    consents = list(Consent.objects.filter(client__in=[keep, gone]).select_related("client"))
    for kind in ConsentKind:
        of_kind = [consent for consent in consents if consent.kind == kind]
        lives = [consent for consent in of_kind if consent.withdrawn_at is None]
        newest = max(lives, key=lambda consent: consent.given_at, default=None)
        for consent in of_kind:
            if newest and consent.withdrawn_at and consent.withdrawn_at > newest.given_at:
                refusals.append(
                    f"{kind.label}: agreed to on {_day(newest.given_at)} in {newest.client.reference}, taken back on "
                    f"{_day(consent.withdrawn_at)} in {consent.client.reference}. Her last word holds: take it back in "
                    f"{newest.client.reference} too, or ask her to sign anew, and then merge."
                )
                break
    return refusals


def _day(moment: Any) -> str:
    return date_format(localtime(moment), "j F Y")


def merged_details(keep: Client, gone: Client, take: Mapping[str, str]) -> dict[str, Any]:
    """What the kept record says then, by field. `take`: whose word holds, or for a note both; where nothing is chosen
    the kept record's own holds, if it has one, and two notes are joined."""
    details: dict[str, Any] = {}
    for name in FIELDS:
        hers, others = getattr(keep, name), getattr(gone, name)
        joined = name in MAY_BE_JOINED and hers and others and hers != others
        choice = take.get(name) or (BOTH if joined else KEPT if hers else GONE)
        details[name] = {KEPT: hers, GONE: others, BOTH: f"{hers}\n\n{others}" if joined else hers or others}[choice]
    return details


def as_stored(value: date | str | None) -> str | None:
    """A field's value as JSON keeps it."""
    return value.isoformat() if isinstance(value, date) else value
