"""The house rules of the owner."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from fittings.desk.house_rules import HouseRulesForm
from salon.common.access import needs
from salon.current import SalonRequest


@needs("fittings.change_houserule")
@require_http_methods(["GET", "POST"])
def house_rules(request: SalonRequest) -> HttpResponse:
    form = HouseRulesForm(request.POST if request.method == "POST" else None, salon=request.salon, user=request.user)
    if form.is_valid():
        changed = form.keep()
        messages.success(request, f"Saved: {', '.join(changed)}." if changed else "Nothing was changed.")
        return redirect("house-rules")
    return render(request, "fittings/house_rules.html", {"form": form})
