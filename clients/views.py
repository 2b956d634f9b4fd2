"""Finding a client and taking her in. Her own page is in `fittings.record`, her skin tests in `fittings.skin_tests`."""

from __future__ import annotations

from urllib.parse import parse_qsl, urlencode, urlsplit

from django.contrib import messages
from django.http import HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_http_methods, require_safe

from clients.forms import ClientForm, names_typed
from clients.likely_same import Likeness
from clients.models import Client
from clients.phone_doubts import phone_doubt, spaced
from clients.searching import PAGE_LENGTH, find_clients
from salon.common.access import needs
from salon.common.htmx import render_page_or_part
from salon.current import SalonRequest

LONGEST_QUESTION = 80


@needs("clients.view_client")
@require_safe
def clients(request: SalonRequest) -> HttpResponse:
    found = find_clients(request.GET.get("q", "")[:LONGEST_QUESTION], page=_page_asked_for(request))
    return render_page_or_part(
        request, "clients/clients.html", "clients/_client_rows.html", {"place": "clients", "found": found}
    )


@needs("clients.add_client")
@require_http_methods(["GET", "POST"])
def client_new(request: SalonRequest) -> HttpResponse:
    """Likely duplicates are shown once; “Save anyway” names those that were shown, so that nobody new slips by.

    A page that needs a client asks for her here with `?next=` its own address, and gets her reference back in `client`.
    """
    sought = request.GET.get("typed") or request.GET.get("q", "")  # what was looked for in vain
    typed = names_typed(sought[:LONGEST_QUESTION])
    form = ClientForm(request.POST if request.method == "POST" else None, initial=typed)
    alike: list[Likeness] = []
    if form.is_valid():
        alike = form.likenesses()
        shown = request.POST.get("anyway", "").split()
        if all(like.client.reference in shown for like in alike) and (client := form.register(by=request.user)):
            _say_saved(request, f"{client} is registered.", client)
            return HttpResponseRedirect(_onward(request, client))
    context = {
        "place": "clients",
        "form": form,
        "alike": [(like, _onward(request, like.client)) for like in alike],
        "back": _page_that_asked(request) or reverse("clients"),
    }
    return render(request, "clients/client_new.html", context)


@needs("clients.add_client")
@require_safe
def client_phone(request: SalonRequest) -> HttpResponse:
    """What is said beside the number while it is typed: how it is spaced, or why it may be none."""
    typed, country = request.GET.get("phone", "")[:LONGEST_QUESTION], request.salon.country
    said = {"spaced": spaced(typed, country=country), "doubt": phone_doubt(typed, country=country)}
    return render(request, "clients/_phone_said.html", said)


@needs("clients.change_client")
@require_http_methods(["GET", "POST"])
def client_edit(request: SalonRequest, reference: str) -> HttpResponse:
    client = _client(reference)
    form = ClientForm(request.POST if request.method == "POST" else None, instance=_client(reference))
    if form.is_valid() and (kept := form.change(client, by=request.user)):
        _say_saved(request, "Saved.", kept)
        return redirect("client", reference)
    return render(request, "clients/client_edit.html", {"place": "clients", "client": client, "form": form})


@needs("clients.view_accessentry")
@require_safe
def client_looks(request: SalonRequest, reference: str) -> HttpResponse:
    client, page = _client(reference), _page_asked_for(request)
    start = (page - 1) * PAGE_LENGTH
    looks = list(client.access_entries.select_related("user")[start : start + PAGE_LENGTH + 1])
    context = {
        "place": "clients",
        "client": client,
        "looks": looks[:PAGE_LENGTH],
        "page": page,
        "has_more": len(looks) > PAGE_LENGTH,
    }
    return render(request, "clients/looks.html", context)


def _say_saved(request: SalonRequest, sentence: str, client: Client) -> None:
    messages.success(request, sentence)
    if doubt := phone_doubt(client.phone, country=request.salon.country):
        messages.warning(request, doubt)


def _page_that_asked(request: SalonRequest) -> str:
    """The address to go back to; empty when there is none, or it leads out of this site."""
    asked = request.GET.get("next", "")
    here = url_has_allowed_host_and_scheme(asked, {request.get_host()}, require_https=request.is_secure())
    return asked if here and asked.startswith("/") else ""


def _onward(request: SalonRequest, client: Client) -> str:
    """Her page, or the page that asked who, with her in its address."""
    if not (asked := _page_that_asked(request)):
        return client.get_absolute_url()
    page = urlsplit(asked)
    query = [(name, value) for name, value in parse_qsl(page.query) if name != "client"]
    return page._replace(query=urlencode([*query, ("client", client.reference)])).geturl()


def _client(reference: str) -> Client:
    return get_object_or_404(Client.objects.active(), reference=reference)


def _page_asked_for(request: SalonRequest) -> int:
    """The page in the address; the first when it is none that can be meant."""
    asked = request.GET.get("page", "")
    return int(asked) if asked.isdecimal() and 0 < len(asked) < 6 and int(asked) > 0 else 1
