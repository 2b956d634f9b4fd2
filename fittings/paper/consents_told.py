"""What a client's consents say on paper: each in the exact words signed, with signature, version, times and its end.

Words and times are those kept with each consent; nothing is taken from the texts asked today.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from django.core.exceptions import ValidationError
from django.utils.safestring import SafeString

from clients.consenting import full_name
from clients.models import Client, Consent
from clients.models.consent import ConsentKind, SignedHow, SignedWhere
from clients.signatures import draw_signature
from fittings.paper.salon_words import SalonWords, in_one_line
from salon.models import Salon

FOOTER = "These are the words as they were signed. Each can be taken back at any time by saying so."


@dataclass(frozen=True)
class ConsentTold:
    """One consent that was given. `drawing` is empty where the typed name signs; `ended` where it stands."""

    words: str
    version: str
    signed_by: str
    how: str
    drawing: SafeString | None
    ended: str

    @property
    def stands(self) -> bool:
        return not self.ended


@dataclass(frozen=True)
class KindTold:
    """One kind: whether it stands now in a sentence, and everything ever signed of it, newest first."""

    heading: str
    stands: str
    signed: tuple[ConsentTold, ...]


@dataclass(frozen=True)
class ConsentsPaper:
    salon_name: str
    salon_address: str
    salon_phone: str
    client_name: str
    client_reference: str
    printed_on: str
    kinds: tuple[KindTold, ...]
    footer: str = FOOTER

    @property
    def title(self) -> str:
        return f"Consents {self.client_reference}, {self.printed_on}"


def consents_paper(client: Client, *, salon: Salon, on: date) -> ConsentsPaper:
    """The paper as it is printed that day, in one query. Raises ValidationError while nothing was ever signed."""
    words = SalonWords.of(salon)
    kinds = kinds_told(client, words)
    if not any(kind.signed for kind in kinds):
        raise ValidationError("Nothing has been signed yet, so there is nothing to print.")
    return ConsentsPaper(
        salon_name=salon.name,
        salon_address=in_one_line(salon.address),
        salon_phone=salon.phone,
        client_name=full_name(client),
        client_reference=client.reference,
        printed_on=words.day(on),
        kinds=kinds,
    )


def kinds_told(client: Client, words: SalonWords) -> tuple[KindTold, ...]:
    """Each kind with everything ever signed of it, in one query."""
    signed = list(Consent.objects.filter(client=client).select_related("recorded_by", "withdrawn_by"))
    return tuple(_kind(kind, [one for one in signed if one.kind == kind], words) for kind in ConsentKind)


def _kind(kind: ConsentKind, signed: list[Consent], words: SalonWords) -> KindTold:
    live = next((one for one in signed if not one.withdrawn_at), None)
    if live:
        stands = f"Agreed to on {words.moment(live.given_at)}, and not taken back."
    else:
        stands = "Agreed to before, and taken back." if signed else "Not agreed to."
    return KindTold(str(kind.label), stands, tuple(_told(one, words) for one in signed))


def _told(consent: Consent, words: SalonWords) -> ConsentTold:
    guardian = ", guardian," if consent.guardian_name else ""
    is_drawn = consent.signed_how == SignedHow.DRAWN
    taken_down = "taken down by" if consent.signed_where == SignedWhere.DESK else "the link was made by"
    where = SignedWhere(consent.signed_where).label.lower()
    return ConsentTold(
        words=consent.text,
        version=consent.text_version,
        signed_by=consent.signed_name,
        how=f"Signed by {consent.signed_name}{guardian} on {words.moment(consent.given_at)}, "
        f"{'with a drawn signature' if is_drawn else 'with her or his name, typed'}, {where}; "
        f"{taken_down} {consent.recorded_by}.",
        drawing=draw_signature(consent.signature, title=f"Signature of {consent.signed_name}") if is_drawn else None,
        ended=_ended(consent, words),
    )


def _ended(consent: Consent, words: SalonWords) -> str:
    if consent.withdrawn_at is None:
        return ""
    by = "by herself, by a link" if consent.withdrawn_by_link else f"taken down by {consent.withdrawn_by}"
    return f"Taken back on {words.moment(consent.withdrawn_at)}, {by}."
