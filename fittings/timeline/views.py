"""The line of a unit, and striking out an entry that should not have been made."""

from __future__ import annotations

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.timezone import now
from django.views.decorators.http import require_http_methods, require_safe

from clients.looking import note_look
from clients.models import Client
from fittings.correcting import strike_out
from fittings.models import Service
from fittings.timeline.asked import line_asked_for
from fittings.timeline.lines_of import line_of_unit
from fittings.timeline.piece_rows import ENTRY_KINDS
from pieces.models import Unit
from salon.common.access import needs
from salon.common.htmx import render_page_or_part
from salon.current import SalonRequest, reader_units
from salon.models import Units


class StrikeOutForm(forms.Form):
    because = forms.CharField(
        label="Why it should not have been entered",
        max_length=240,
        help_text="For example: entered for the wrong piece.",
        error_messages={"required": "Write why; it stays beside the entry."},
    )


@needs("pieces.view_unit")
@require_safe
def unit_line(request: SalonRequest, number: str) -> HttpResponse:
    unit = get_object_or_404(Unit.objects.select_related("variant__piece", "variant__shade"), number=number)
    here = reverse("unit-line", args=[unit.number])
    context = {"place": "pieces", "unit": unit, **line_asked_for(request, line_of_unit, unit, here=here)}
    return render_page_or_part(request, "fittings/timeline/unit.html", "fittings/timeline/_line.html", context)


@needs("fittings.change_service", "clients.view_health")
@require_http_methods(["GET", "POST"])
def entry_strike_out(request: SalonRequest, reference: str, kind: str, pk: int) -> HttpResponse:
    """Asks why, with the entry before her eyes; a post strikes it out."""
    client = get_object_or_404(Client.objects.active(), reference=reference)
    if kind not in ENTRY_KINDS:
        raise Http404(f"“{kind[:40]}” is no kind of entry.")
    entries, row_of = ENTRY_KINDS[kind]
    entry = get_object_or_404(entries(client), pk=pk)
    note_look(client=client, user=request.user, page="an entry, to strike it out")
    form = StrikeOutForm(request.POST or None)
    if form.is_valid():
        try:
            strike_out(entry=entry, because=form.cleaned_data["because"], by=request.user, at=now())
        except ValidationError as refusal:
            form.add_error(None, refusal)
        else:
            messages.success(request, "Struck out. The entry stays on the line and says so.")
            return redirect(client)
    imperial = reader_units(request.user, request.salon) == Units.IMPERIAL
    context = {
        "place": "clients",
        "client": client,
        "form": form,
        "row": row_of(entry, imperial),
        "leaves_fixing": isinstance(entry, Service) and entry.kind in (Service.Kind.CLIPS, Service.Kind.TAPE),
    }
    return render(request, "fittings/timeline/strike_out.html", context)
