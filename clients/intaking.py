"""Lets a client tell about herself and sign before her visit: makes the link, takes in what she sends, hands it on.

A link works once and for a time: an hour on the salon's tablet, a week at home (common practice). One sending stores
all of it or nothing: the consents she signs or takes back, her answers, and that the link is used. Answers are kept
only under her consent to the record. A stylist takes them into an examination; what she sent stays as she sent it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from datetime import datetime, timedelta
from typing import Final

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.formats import date_format
from django.utils.timezone import localtime

from clients.assessing import save_story, save_wishes
from clients.consent_texts import CONSENT_TEXTS
from clients.consenting import (
    give_consent,
    is_under_age,
    live_consents,
    locked,
    require_record_consent,
    withdraw_by_link,
)
from clients.models import Assessment, Client, Intake, IntakeLink
from clients.models.assessment import ScalpCondition, YesNo
from clients.models.consent import SignedWhere
from clients.models.health import Substance
from clients.signatures import Strokes
from salon.common.secrets_in_addresses import digest_of, new_secret
from salon.models import Salon, User

LASTS: Final = {SignedWhere.TABLET: timedelta(minutes=60), SignedWhere.HOME: timedelta(days=7)}


class IntakeClosed(ValidationError):  # noqa: N818  # says what is the matter, as the page does
    """The link opens nothing any more: used, over, or taken back. Nothing has been stored."""


class AnswersNeedConsent(ValidationError):  # noqa: N818  # as above
    """She answered about her hair and health and does not agree that it is kept. Nothing has been stored."""


@dataclass(frozen=True)
class Answers:
    """What she tells, in her own words; empty is not answered."""

    story: str = ""
    losing_since: str = ""
    chemotherapy: str = ""
    under_treatment: str = ""
    reacts: str = ""
    substances: tuple[str, ...] = ()
    reaction: str = ""
    medicines: str = ""
    wishes: str = ""

    def __bool__(self) -> bool:
        return any(asdict(self).values())


@dataclass(frozen=True)
class TakenOver:
    """The examination with her answers in it, and the names of what stayed out because something was there already."""

    assessment: Assessment
    left_out: tuple[str, ...]


@transaction.atomic
def make_intake_link(*, client: Client, where: str, by: User, at: datetime) -> tuple[IntakeLink, str]:
    """A new link and the secret that opens it, which is kept nowhere. On the tablet it replaces those that wait."""
    if where not in LASTS:
        raise ValidationError("An intake is filled in on the salon's tablet or at home.")
    client = locked(client)
    if where == SignedWhere.TABLET:
        client.intake_links.usable(at).filter(where=where).update(revoked_at=at, revoked_by=by)
    secret = new_secret()
    link = IntakeLink(
        client=client,
        digest=digest_of(secret),
        where=where,
        made_by=by,
        made_at=at,
        expires_at=at + LASTS[SignedWhere(where)],
    )
    link.full_clean()
    link.save()
    return link, secret


def open_intake(*, secret: str, at: datetime) -> IntakeLink | None:
    """The link of that secret, also when it was used; None, in one query, for every other that opens nothing."""
    links = IntakeLink.objects.usable(at) | IntakeLink.objects.filter(used_at__isnull=False)
    kept = links.filter(digest=digest_of(secret), client__in=Client.objects.active())
    return kept.select_related("client", "made_by").first()


@transaction.atomic
def revoke_intake_link(*, link: IntakeLink, by: User, at: datetime) -> IntakeLink:
    """Take a waiting link back; refused when there is nothing left to take back."""
    locked(link.client)
    kept = IntakeLink.objects.usable(at).select_for_update().filter(pk=link.pk).first()
    if kept is None:
        raise ValidationError("This link opens nothing any more: it was used, is over, or was taken back.")
    kept.revoked_at, kept.revoked_by = at, by
    kept.full_clean()
    kept.save()
    return kept


@transaction.atomic
def send_intake(
    *,
    link: IntakeLink,
    answers: Answers,
    agrees: Mapping[str, bool],
    signed_name: str = "",
    signature: Strokes | None = None,
    guardian_signs: bool = False,
    at: datetime,
) -> Intake:
    """Store all that she sent and close the link, or nothing.

    agrees: by kind of consent, True to give one that is not on file, False to take back one that is; the rest changes
    nothing. guardian_signs: `signed_name` is her guardian's, because she is under age or says so herself.
    Raises IntakeClosed, AnswersNeedConsent, or ValidationError beside the field it is about.
    """
    link = _held_open(link, at)
    client = link.client
    live = live_consents(client)
    given = [kind for kind in CONSENT_TEXTS if agrees.get(kind) and kind not in live]
    if given and not " ".join(signed_name.split()):
        raise ValidationError({"signed_name": "To agree, sign: type your full name here."})
    if given and not guardian_signs and is_under_age(client, Salon.objects.default(), at):
        raise ValidationError({"signed_name": "She is under age: her guardian signs with her or his own name."})
    for kind in given:
        give_consent(
            client=client,
            kind=kind,
            signed_name=signed_name,
            guardian_name=signed_name if guardian_signs else "",
            signature=signature,
            where=link.where,
            by=link.made_by,
            at=at,
        )
    for kind, consent in live.items():
        if agrees.get(kind) is False:
            withdraw_by_link(consent=consent, at=at)
    _check(answers)
    if answers:
        try:
            require_record_consent(client)
        except ValidationError:
            raise AnswersNeedConsent(
                "What you tell about your hair and your health can only be kept if you agree that a record is kept. "
                "Nothing has been sent. Either choose “Yes” there, or send your choices without these answers."
            ) from None
    intake = Intake(client=client, link=link, sent_at=at, **asdict(answers) | {"substances": list(answers.substances)})
    intake.full_clean()
    intake.save()
    link.used_at = at
    link.full_clean()
    link.save()
    return intake


@transaction.atomic
def take_over_intake(*, intake: Intake, assessment: Assessment, by: User, at: datetime) -> TakenOver:
    """Write what she sent into the examination's story and wishes where nothing stands yet, and mark it as taken."""
    client = locked(assessment.client)
    intake = Intake.objects.select_for_update().get(pk=intake.pk)
    if intake.client_id != client.pk:
        raise ValidationError("These answers are another client's.")
    if intake.taken_over_at:
        raise ValidationError(
            f"{intake.taken_over_by} has taken these answers over already, on "
            f"{date_format(localtime(intake.taken_over_at), 'j F Y, H:i')}."
        )
    draft = Assessment.objects.select_for_update().get(pk=assessment.pk)
    told = _for_the_story(intake)
    fills = {name: value for name, value in told.items() if value and not getattr(draft, name)}
    on_file = set(client.sensitivities.values_list("substance", flat=True))
    draft = save_story(
        assessment=draft,
        revision=draft.revision,
        by=by,
        reactions=on_file | set(intake.substances),
        on=localtime(intake.sent_at).date(),
        **fills,
    )
    if intake.wishes and not draft.wishes:
        draft = save_wishes(assessment=draft, revision=draft.revision, by=by, wishes=intake.wishes)
    wanted = told | {"wishes": intake.wishes}
    intake.taken_over_at, intake.taken_over_by = at, by
    intake.full_clean()
    intake.save()
    return TakenOver(draft, tuple(_label(name) for name, value in wanted.items() if _stays_out(draft, name, value)))


def _held_open(link: IntakeLink, at: datetime) -> IntakeLink:
    """The link as kept now, its client held first as every deed does, until the transaction ends."""
    closed = "This form can't be sent any more: it was sent already, its time is over, or the salon took it back."
    try:
        client = locked(link.client)
    except ValidationError:
        raise IntakeClosed(closed) from None
    kept = IntakeLink.objects.usable(at).select_for_update().filter(pk=link.pk, client=client).first()
    if kept is None:
        raise IntakeClosed(closed)
    kept.client = client
    return kept


def _check(answers: Answers) -> None:
    """Refuse answers that contradict each other, or that name a substance that is not on the list."""
    if set(answers.substances) - set(Substance.values):
        raise ValidationError({"substances": "One of the ticked things is not on the list; tick it there."})
    if answers.reacts == YesNo.NO and (answers.substances or answers.reaction):
        raise ValidationError(
            {"reacts": "You answered “No” and wrote down a reaction too. Choose “Yes”, or take the reaction out."}
        )


def _for_the_story(intake: Intake) -> dict[str, object]:
    """Her answers under the names of the examination's story. What has no field there is told in the story's text."""
    told_besides = [
        ("What happened when her skin reacted", intake.reaction),
        ("What she says of her health", intake.medicines),
    ]
    story = [intake.story, *(f"{what}: {words}" for what, words in told_besides if words)]
    is_treated = intake.under_treatment == YesNo.YES
    # a “yes” that names no substance is still to be asked about: it must not pass for “asked, none known”
    named = intake.reacts == YesNo.NO or bool(intake.substances)
    return {
        "story": "\n\n".join(part for part in story if part),
        "losing_since": intake.losing_since,
        "chemotherapy": intake.chemotherapy,
        "scalp_condition": str(ScalpCondition.TREATED) if is_treated else "",
        "reactions_asked": named,
    }


def _stays_out(draft: Assessment, name: str, value: object) -> bool:
    return bool(value) and getattr(draft, name) != value


def _label(name: str) -> str:
    return {"story": "her story", "reactions_asked": "that she was asked about reactions"}.get(name) or str(
        getattr(Assessment._meta.get_field(name), "verbose_name", name)
    )
