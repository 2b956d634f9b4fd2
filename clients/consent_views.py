"""The four consents of a client: read, signed one by one, taken back by one press, and what was signed before."""

from __future__ import annotations

from dataclasses import dataclass

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.safestring import SafeString
from django.utils.timezone import now
from django.views.decorators.http import require_POST, require_safe

from clients.consent_form import ConsentForm
from clients.consent_texts import CONSENT_TEXTS, consent_words
from clients.consenting import full_name, is_under_age, withdraw_consent
from clients.models import Client, Consent
from clients.models.consent import ConsentKind
from clients.signatures import draw_signature
from salon.common.access import needs
from salon.current import SalonRequest


@dataclass(frozen=True)
class SignedConsent:
    """A consent that was given, and the drawing of its signature where there is one."""

    consent: Consent
    drawing: SafeString | None

    @classmethod
    def of(cls, consent: Consent) -> SignedConsent:
        title = f"Signature of {consent.signed_name}"
        return cls(consent, draw_signature(consent.signature, title=title) if consent.signature else None)


@needs("clients.view_consent")
@require_safe
def client_consents(request: SalonRequest, reference: str) -> HttpResponse:
    return _page(request, _client(reference))


@needs("clients.add_consent")
@require_POST
def consent_sign(request: SalonRequest, reference: str) -> HttpResponse:
    client, kind = _client(reference), request.POST.get("kind", "")
    if kind not in CONSENT_TEXTS:
        messages.error(request, "Choose which of the four consents is signed.")
        return redirect("client-consents", reference)
    form = ConsentForm(request.POST, kind=kind, client=client, salon=request.salon, at=now())
    if form.is_valid() and (consent := form.sign(by=request.user)):
        messages.success(request, f"Signed by {consent.signed_name}: {consent.get_kind_display().lower()}.")
        return redirect("client-consents", reference)
    return _page(request, client, form)


@needs("clients.change_consent")
@require_POST
def consent_withdraw(request: SalonRequest, reference: str) -> HttpResponse:
    client, kind = _client(reference), request.POST.get("kind", "")
    consent = Consent.objects.live().filter(client=client, kind=kind).first() if kind in CONSENT_TEXTS else None
    if consent is None:
        messages.error(request, "There is no such consent on file to withdraw.")
        return redirect("client-consents", reference)
    try:
        withdraw_consent(consent=consent, by=request.user, at=now())
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
    else:
        messages.success(request, f"Withdrawn. {CONSENT_TEXTS[kind].on_withdrawal}")
    return redirect("client-consents", reference)


def _page(request: SalonRequest, client: Client, refused: ConsentForm | None = None) -> HttpResponse:
    at = now()
    signed = list(Consent.objects.filter(client=client).select_related("recorded_by", "withdrawn_by"))
    guardian_of = full_name(client) if is_under_age(client, request.salon, at) else ""
    kinds = []
    for kind in ConsentKind:
        of_kind = [SignedConsent.of(consent) for consent in signed if consent.kind == kind]
        asks_again = refused is not None and refused["kind"].value() == kind
        kinds.append(
            {
                "kind": kind,
                "live": next((one for one in of_kind if not one.consent.withdrawn_at), None),
                "earlier": [one for one in of_kind if one.consent.withdrawn_at],
                "words": consent_words(kind, salon_name=request.salon.name, guardian_of=guardian_of),
                "version": CONSENT_TEXTS[kind].version,
                "on_withdrawal": CONSENT_TEXTS[kind].on_withdrawal,
                "form": refused if asks_again else ConsentForm(kind=kind, client=client, salon=request.salon, at=at),
            }
        )
    context = {
        "place": "clients",
        "client": client,
        "kinds": kinds,
        "guardian_of": guardian_of,
        "may_print": bool(signed),
    }
    return render(request, "clients/consents.html", context)


def _client(reference: str) -> Client:
    return get_object_or_404(Client.objects.active(), reference=reference)
