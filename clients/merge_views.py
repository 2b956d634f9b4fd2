"""Merging two records of one person: choosing the other one, looking at both, what was done, and undoing it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.timezone import now
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from clients.belonging import Belonging, belongings
from clients.likely_same import likely_the_same
from clients.merge_form import MergeForm, changes_told, details_told
from clients.merge_plan import plan_merge
from clients.merging import merge_clients, undo_merge
from clients.models import Client, Merge
from clients.models.search import reference_in
from salon.common.access import needs
from salon.common.htmx import render_page_or_part
from salon.current import SalonRequest

FOUND_AT_MOST = 12
LONGEST_QUESTION = 80


@dataclass(frozen=True)
class Counted:
    """How many rows of what; `name` is empty for all the tables together that the reader may not see."""

    name: str
    count: int


@needs("clients.add_merge")
@require_http_methods(["GET", "POST"])
def client_merge(request: SalonRequest, reference: str) -> HttpResponse:
    """First which other record, then both side by side. The address names the record that is kept."""
    keep = get_object_or_404(Client.objects.active(), reference=reference)
    other = request.GET.get("with", "")
    if not other:
        return _ask_which(request, keep)
    gone = get_object_or_404(Client.objects.active().exclude(pk=keep.pk), reference=reference_in(other))
    form = MergeForm(request.POST if request.method == "POST" else None, keep=keep, gone=gone)
    if form.is_valid():
        try:
            merge = merge_clients(keep=keep, gone=gone, by=request.user, at=now(), take=form.cleaned_data)
        except ValidationError as refusal:
            form.add_error(None, refusal)
        else:
            messages.success(request, f"{gone.reference} went into {keep.reference}.")
            return redirect("merge", merge.reference)
    plan = plan_merge(keep, gone)
    context = {
        "place": "clients",
        "keep": keep,
        "gone": gone,
        "form": form,
        "refusals": plan.refusals or form.non_field_errors(),
        "moves": _counted(request, plan.moves),
        "stays": _counted(request, [(b, len(plan.staying(b))) for b in belongings() if plan.staying(b)]),
    }
    return render(request, "clients/merge_both.html", context)


@needs("clients.view_merge")
@require_safe
def merge_page(request: SalonRequest, reference: str) -> HttpResponse:
    merge = get_object_or_404(Merge.objects.select_related("kept", "gone", "by", "undone_by"), reference=reference)
    tables = {belonging.label: belonging for belonging in belongings()}

    def rows(kept: dict[str, list[int]]) -> list[tuple[Belonging, list[int]]]:
        return [(tables[label], keys) for label, keys in kept.items() if label in tables]

    context = {
        "place": "clients",
        "merge": merge,
        "moved": _counted(request, [(belonging, len(keys)) for belonging, keys in rows(merge.moved)]),
        "stayed": [
            (belonging.name, list(belonging.rows().filter(pk__in=keys)))
            for belonging, keys in rows(merge.stayed)
            if request.user.has_perm(belonging.view_permission)
        ],
        "stayed_unseen": any(
            not request.user.has_perm(belonging.view_permission) for belonging, _ in rows(merge.stayed)
        ),
        "filled_in": changes_told(merge.filled_in),
        "others_words": details_told(merge.gone),
    }
    return render(request, "clients/merge.html", context)


@needs("clients.change_merge")
@require_POST
def merge_undo(request: SalonRequest, reference: str) -> HttpResponse:
    merge = get_object_or_404(Merge.objects.select_related("kept", "gone"), reference=reference)
    try:
        parted = undo_merge(merge=merge, by=request.user, at=now())
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
    else:
        messages.success(request, f"{merge.kept.reference} and {merge.gone.reference} are two records again.")
        for note in parted.notes:
            messages.warning(request, note)
    return redirect("merge", reference)


def _ask_which(request: SalonRequest, keep: Client) -> HttpResponse:
    asked = " ".join(request.GET.get("q", "")[:LONGEST_QUESTION].split())
    found = [other for other in Client.objects.found_by(asked)[: FOUND_AT_MOST + 1] if other != keep] if asked else []
    likely = likely_the_same(
        given_name=keep.given_name,
        family_name=keep.family_name,
        phone=keep.phone,
        email=keep.email,
        born_on=keep.born_on,
    )
    context = {
        "place": "clients",
        "keep": keep,
        "asked": asked,
        "found": found,
        "likely": [like for like in likely if like.client != keep],
    }
    return render_page_or_part(request, "clients/merge_which.html", "clients/_merge_found.html", context)


def _counted(request: SalonRequest, rows: Iterable[tuple[Belonging, int]]) -> list[Counted]:
    """The tables the reader may see by name; the others in one line, for a number of health facts is one too many."""
    seen, unseen = [], 0
    for belonging, count in rows:
        if request.user.has_perm(belonging.view_permission):
            seen.append(Counted(belonging.name_of(count), count))
        else:
            unseen += count
    return [*seen, Counted("", unseen)] if unseen else seen
