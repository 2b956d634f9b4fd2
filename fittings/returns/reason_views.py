"""The salon's own short list of reasons for which pieces come back."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from fittings.returns.reason_form import ReasonForm
from pieces.models import ReturnReason
from salon.common.access import needs
from salon.current import SalonRequest


@needs("pieces.change_returnreason")
@require_safe
def return_reasons(request: SalonRequest) -> HttpResponse:
    reasons = ReturnReason.objects.with_times_named().order_by("-is_in_use", "position", "name")
    return render(request, "fittings/returns/reasons.html", {"reasons": list(reasons)})


@needs("pieces.add_returnreason")
@require_http_methods(["GET", "POST"])
def return_reason_new(request: SalonRequest) -> HttpResponse:
    form = ReasonForm(request.POST if request.method == "POST" else None)
    if form.is_valid() and (kept := form.keep()):
        messages.success(request, f"“{kept}” is on the list.")
        return redirect("return-reasons")
    return render(request, "fittings/returns/reason_new.html", {"form": form})


@needs("pieces.change_returnreason")
@require_http_methods(["GET", "POST"])
def return_reason(request: SalonRequest, pk: int) -> HttpResponse:
    reason = get_object_or_404(ReturnReason, pk=pk)
    form = ReasonForm(request.POST if request.method == "POST" else None, reason=reason)
    if form.is_valid() and (kept := form.keep()):
        messages.success(request, f"“{kept}” is kept as it stands now.")
        return redirect("return-reasons")
    return render(
        request, "fittings/returns/reason.html", {"reason": get_object_or_404(ReturnReason, pk=pk), "form": form}
    )
