"""What the client wrote before the visit, beside the story: read there, and taken into the examination by one press."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db.models import Q
from django.http import HttpResponse
from django.shortcuts import redirect
from django.utils.timezone import now
from django.views.decorators.http import require_POST

from clients.intake.told import told_in
from clients.intaking import take_over_intake
from clients.models import Intake
from fittings.consult.step_form import StepForm
from fittings.consult.step_page import assessment_of, visit
from salon.common.access import needs
from salon.current import SalonRequest


def written_before(form: StepForm) -> dict[str, Any]:
    """Her answers that wait to be taken over, or were since this examination began; newest first."""
    began = form.assessment.started_at
    waits_or_new = Q(taken_over_at__isnull=True) | Q(taken_over_at__gte=began)
    intakes = form.assessment.client.intakes.filter(waits_or_new).select_related("link", "taken_over_by")
    told = [(intake, told_in(intake)) for intake in intakes]
    return {"written_before": [(intake, answers) for intake, answers in told if answers]}


@needs("fittings.change_fitting", "clients.view_health", "clients.change_intake")
@require_POST
def take_over(request: SalonRequest, reference: str) -> HttpResponse:
    fitting = visit(reference)
    assessment = assessment_of(fitting)
    asked = request.POST.get("intake", "")
    intake = Intake.objects.filter(client=fitting.client, pk=asked).first() if _is_key(asked) else None
    if intake is None:
        messages.error(request, "There are no such answers of hers to take over.")
        return redirect("consult-story", fitting.reference)
    try:
        taken = take_over_intake(intake=intake, assessment=assessment, by=request.user, at=now())
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
        return redirect("consult-story", fitting.reference)
    messages.success(request, "Her answers are in the story and the wishes. Go through them with her.")
    if taken.left_out:
        messages.warning(
            request, f"Left as it was, for something is written there already: {', '.join(taken.left_out)}."
        )
    return redirect("consult-story", fitting.reference)


def _is_key(asked: str) -> bool:
    return asked.isascii() and asked.isdecimal() and len(asked) < 19
