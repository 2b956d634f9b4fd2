"""The page on which a file of clients is looked at and taken in."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.utils.timezone import localdate
from django.views.decorators.http import require_http_methods
from django_htmx.http import HttpResponseClientRedirect

from clients.taking_in.csv_people import COLUMNS
from clients.taking_in.form import PeopleFileForm, fingerprint
from clients.taking_in.people import LARGEST_BYTES, MOST_PEOPLE
from clients.taking_in.taking import take_in
from salon.common.access import needs
from salon.common.htmx import render_page_or_part, wants_part
from salon.current import SalonRequest

LINES_SHOWN = 300


@needs("clients.import_clients")
@require_http_methods(["GET", "POST"])
def clients_import(request: SalonRequest) -> HttpResponse:
    """Looks at the chosen file; takes it in only when the same file was looked at before and is asked to be stored."""
    asked = request.method == "POST"
    form = PeopleFileForm(request.POST if asked else None, request.FILES if asked else None)
    context: dict[str, object] = {
        "place": "clients",
        "form": form,
        "columns": list(COLUMNS.values()),
        "megabytes": LARGEST_BYTES // 1_000_000,
        "most": MOST_PEOPLE,
    }
    if form.is_valid():
        content, store = form.content(), "store" in request.POST
        same = form.was_looked_at(content)
        report = take_in(content=content, dry_run=not (store and same), by=request.user, today=localdate())
        if report.stored:
            messages.success(request, f"Taken in: {report.new} new. Here already: {report.known}.")
            return HttpResponseClientRedirect(request.path) if wants_part(request) else redirect("clients-import")
        first = sorted(report.lines, key=lambda line: line.what != "mend")[:LINES_SHOWN]
        context |= {
            "report": report,
            "lines": first,
            "hidden": len(report.lines) - len(first),
            "looked_at": fingerprint(content),
            "changed_meanwhile": store and not same,
        }
    return render_page_or_part(request, "clients/taking_in/import.html", "clients/taking_in/_report.html", context)
