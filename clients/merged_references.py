"""Leads the reference of a record that went into another one to the one that was kept, whatever page is asked for it.

Views look for active clients only. Where one finds none and its address names a client who was merged, this answers in
its place; a page that finds its client is asked nothing.
"""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.utils.deprecation import MiddlewareMixin

from clients.models import Client

ASKED_BY = ("client", "with")  # the names behind the “?” that pages read a client's reference from


class MergedReferences(MiddlewareMixin):
    def process_exception(self, request: HttpRequest, exception: Exception) -> HttpResponse | None:
        """The same address with the kept record's reference; after a post her page, and that nothing was saved."""
        if not isinstance(exception, Http404) or request.resolver_match is None:
            return None
        asked = [*request.resolver_match.kwargs.values(), *(request.GET.get(name, "") for name in ASKED_BY)]
        for reference in asked:
            if not str(reference).startswith("C-") or "\0" in str(reference):
                continue
            if kept := Client.objects.standing_for(reference):
                if request.method in {"GET", "HEAD"}:
                    return HttpResponseRedirect(request.get_full_path().replace(reference, kept.reference))
                messages.warning(
                    request,
                    f"{reference} went into this record meanwhile. Nothing was saved: look whether it is still right, "
                    "and do it here.",
                )
                return HttpResponseRedirect(kept.get_absolute_url())
        return None
