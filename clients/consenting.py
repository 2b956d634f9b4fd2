"""Takes a client's consents and takes them back; and refuses what may not be written down without one.

Each kind stands alone, is signed in the exact words shown, by a drawn signature or by the typed name alone, and is
withdrawn by one press. Under the salon's age of consent the guardian signs.
"""

from __future__ import annotations

from datetime import datetime
from zoneinfo import ZoneInfo

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.timezone import localdate

from clients.consent_texts import CONSENT_TEXTS, consent_words
from clients.models import Client, Consent
from clients.models.consent import SignedHow, SignedWhere
from clients.models.search import folded
from clients.signatures import Strokes, checked_strokes
from salon.common.days import day_said
from salon.models import Salon, User


@transaction.atomic
def give_consent(
    *,
    client: Client,
    kind: str,
    signed_name: str,
    guardian_name: str = "",
    signature: Strokes | None = None,
    where: str = SignedWhere.DESK,
    by: User,
    at: datetime,
) -> Consent:
    """Store what was just signed; raises ValidationError that says who has to sign, or that one is on file already.

    guardian_name: the guardian's, when she signs; then `signed_name` is hers too, and neither is the client's own.
    signature: the strokes drawn (`clients.signatures`); without them the typed name is the signature.
    by: who takes it down, or who made the link by which she signs alone.
    """
    if kind not in CONSENT_TEXTS:
        raise ValidationError(f"There is no consent called “{kind}”. There are: {', '.join(CONSENT_TEXTS)}.")
    client = locked(client)
    strokes = checked_strokes(signature or [])
    signed_name, guardian_name = " ".join(signed_name.split()), " ".join(guardian_name.split())
    salon = Salon.objects.default()
    if is_under_age(client, salon, at) and not guardian_name:
        raise ValidationError(
            {"guardian_name": f"{client} is under {salon.age_of_consent}: write the name of her guardian, who signs."}
        )
    if guardian_name and folded(signed_name) != folded(guardian_name):
        raise ValidationError({"signed_name": f"The guardian signs with her or his own name: {guardian_name}."})
    if guardian_name and folded(guardian_name) == folded(full_name(client)):
        raise ValidationError(
            {"signed_name": f"{full_name(client)} is under age herself: the guardian signs with her or his own name."}
        )
    consent = Consent(
        client=client,
        kind=kind,
        text_version=CONSENT_TEXTS[kind].version,
        text=consent_words(kind, salon_name=salon.name, guardian_of=full_name(client) if guardian_name else ""),
        signed_name=signed_name,
        guardian_name=guardian_name,
        signed_how=SignedHow.DRAWN if strokes else SignedHow.TYPED,
        signed_where=where,
        signature=strokes,
        given_at=at,
        recorded_by=by,
    )
    consent.full_clean()
    consent.save()
    return consent


@transaction.atomic
def withdraw_consent(*, consent: Consent, by: User, at: datetime) -> Consent:
    """Take a consent back: it stays on file with the day it ended."""
    consent = _still_given(consent)
    consent.withdrawn_by = by
    return _end(consent, at)


@transaction.atomic
def withdraw_by_link(*, consent: Consent, at: datetime) -> Consent:
    """Take a consent back as the client herself does, by a link that was sent or handed to her."""
    consent = _still_given(consent)
    consent.withdrawn_by_link = True
    return _end(consent, at)


def require_record_consent(client: Client) -> None:
    """Raise ValidationError unless the client agrees now that her health is written down."""
    if not Consent.objects.allows_record(client):
        raise ValidationError(
            f"{client} has not agreed that her hair, scalp and health are written down, or has taken it back. "
            "Ask for that consent first.",
            code="no record consent",
        )


def require_photo_consent(client: Client) -> None:
    """Raise ValidationError unless the client agrees now that photos of her are taken and looked at."""
    if not Consent.objects.allows_photos(client):
        raise ValidationError(
            f"{client} has not agreed to photos, or has taken it back: none may be taken, and none of those kept may "
            "be opened. Ask for that consent first.",
            code="no photo consent",
        )


def is_under_age(client: Client, salon: Salon, at: datetime) -> bool:
    """Whether a guardian has to sign for her; False when her date of birth is not recorded."""
    age = client.age_on(localdate(at, ZoneInfo(salon.time_zone)))  # the salon's day: nobody may be signed in
    return age is not None and age < salon.age_of_consent


def full_name(client: Client) -> str:
    """The name on papers, whatever she likes to be called."""
    return f"{client.given_name} {client.family_name}"


def locked(client: Client) -> Client:
    """The client as kept now, held until the transaction ends, so that two presses of a button come one after the
    other."""
    kept = Client.objects.active().select_for_update(no_key=True).filter(pk=client.pk).first()
    if kept is None:
        raise ValidationError("This record has been erased; nothing can be added to it.")
    return kept


def live_consents(client: Client) -> dict[str, Consent]:
    """What she agrees to now, by kind."""
    return {consent.kind: consent for consent in Consent.objects.live().filter(client=client)}


def _still_given(consent: Consent) -> Consent:
    """The consent as kept now, held until the transaction ends; refused when it has been taken back before."""
    locked(consent.client)
    consent = Consent.objects.get(pk=consent.pk)
    if consent.withdrawn_at:
        raise ValidationError(f"This consent was already withdrawn on {day_said(localdate(consent.withdrawn_at))}.")
    return consent


def _end(consent: Consent, at: datetime) -> Consent:
    """End it, and those of its kind that stayed behind in records that went into hers: she takes back all of them."""
    consent.withdrawn_at = at
    consent.full_clean()
    consent.save()
    behind = Consent.objects.live().filter(client__in=Client.objects.that_went_into(consent.client), kind=consent.kind)
    behind.update(withdrawn_at=at, withdrawn_by=consent.withdrawn_by, withdrawn_by_link=consent.withdrawn_by_link)
    return consent
