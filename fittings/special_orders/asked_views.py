"""What a visit asked for and did not find in the drawer: one press at a card, or in words for what no catalogue has."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.timezone import now
from django.views.decorators.http import require_http_methods

from fittings.choosing.finding_visit import page_of, visit_of
from pieces.asking import note_asked_for
from pieces.models import AskedFor, Variant
from salon.common.access import needs
from salon.common.form_fields import LengthField
from salon.common.refusing import RefusingForm
from salon.current import SalonRequest, reader_units
from salon.models import Units

LONGEST_WAY_BACK = 300


class MissedForm(RefusingForm):
    variant = forms.ModelChoiceField(
        queryset=Variant.objects.select_related("piece", "shade"),
        required=False,
        widget=forms.HiddenInput,
        error_messages={"invalid_choice": "This piece is no longer in the catalogue."},
    )
    words = forms.CharField(
        label="What was missed",
        required=False,
        max_length=160,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
        help_text="Such as “short fringe piece, ash brown”; nothing about her.",
    )
    length_mm = LengthField(low_mm=20, high_mm=1200, noun="a hair length", whole_mm=True, label="Hair length")

    def __init__(self, *args: Any, units: Units, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["length_mm"].unit = "in" if units == Units.IMPERIAL else "cm"  # type: ignore[attr-defined]  # a LengthField


@needs("fittings.change_fitting", "clients.view_health", "pieces.add_askedfor")
@require_http_methods(["GET", "POST"])
def asked_for(request: SalonRequest, reference: str) -> HttpResponse:
    fitting = visit_of(request, reference)
    form = MissedForm(
        request.POST if request.method == "POST" else None, units=reader_units(request.user, request.salon)
    )
    if form.is_valid() and (noted := _noted(form, fitting.reference, request)):
        messages.success(request, f"Written down as asked for and not in the drawer: {_named(noted)}.")
        return redirect(_way_back(request, noted, reference))
    asked = AskedFor.objects.filter(visit_reference=fitting.reference).in_the_order_asked()
    context = page_of(
        request,
        fitting,
        "candidates",
        form=form,
        asked=asked.select_related("variant__piece", "variant__shade", "asked_by"),
    )
    return render(request, "fittings/special_orders/missed.html", context)


def _noted(form: MissedForm, visit_reference: str, request: SalonRequest) -> AskedFor | None:
    try:
        return note_asked_for(visit_reference=visit_reference, by=request.user, at=now(), **form.cleaned_data)
    except ValidationError as refusal:
        form.refuse(refusal)
        return None


def _named(noted: AskedFor) -> str:
    return f"{noted.variant.piece}, {noted.variant.shade.name}" if noted.variant else noted.words


def _way_back(request: SalonRequest, noted: AskedFor, reference: str) -> str:
    """To the card that was pressed, among those that were shown; or to the page of words."""
    if noted.variant is None:
        return reverse("asked-for", args=[reference])
    shown = QueryDict(request.POST.get("back", "")[:LONGEST_WAY_BACK]).urlencode()
    return f"{reverse('candidates', args=[reference])}?{shown}#piece-{noted.variant_id}"
