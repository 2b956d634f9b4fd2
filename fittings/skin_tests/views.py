"""A client's skin tests: applied, read and struck out. Every look is noted."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.formats import date_format
from django.utils.timezone import localtime, now
from django.views.decorators.http import require_http_methods, require_POST

from clients.looking import note_look
from clients.models import Client, Consent, SkinTest
from fittings.models import HouseRule
from fittings.skin_tests.forms import SkinTestForm, SkinTestReadingForm, StrikeOutForm
from fittings.skin_tests.shown import told_tests
from salon.common.access import needs
from salon.current import SalonRequest


@needs("clients.view_health", "clients.add_skintest")
@require_http_methods(["GET", "POST"])
def client_skin_tests(request: SalonRequest, reference: str) -> HttpResponse:
    client = _client(reference)
    form = SkinTestForm(request.POST if request.method == "POST" else None)
    if form.is_valid() and (test := form.apply(client, by=request.user, at=now())):
        from_when = date_format(localtime(test.to_be_read_from), "l j F, H:i")
        messages.success(request, f"{test.product} is applied. It is to be read from {from_when} on.")
        return redirect("client-skin-tests", reference)
    return _skin_tests_page(request, client, form)


@needs("clients.view_health", "clients.change_skintest")
@require_POST
def skin_test_read(request: SalonRequest, reference: str, pk: int) -> HttpResponse:
    client = _client(reference)
    test = get_object_or_404(SkinTest, pk=pk, client=client)
    form = SkinTestReadingForm(request.POST)
    if form.is_valid() and (read := form.read(test, by=request.user, at=now())):
        if read.reacted:
            messages.warning(
                request,
                f"A reaction to {read.product} is recorded. Take off what is left, rinse with water, use none of it, "
                "and follow what its maker says. She should see a doctor; if she feels unwell or has trouble "
                "breathing, call for help at once.",
            )
        else:
            messages.success(request, f"{read.product}: no reaction so far. If one comes later, record it here.")
        return redirect("client-skin-tests", reference)
    messages.error(request, " ".join(str(reason) for reasons in form.errors.values() for reason in reasons))
    return redirect("client-skin-tests", reference)


@needs("clients.view_health", "clients.change_skintest")
@require_http_methods(["GET", "POST"])
def skin_test_strike_out(request: SalonRequest, reference: str, pk: int) -> HttpResponse:
    client = _client(reference)
    mine = client.skin_tests.select_related("applied_by", "read_by", "earlier_read_by", "struck_out_by")
    test = get_object_or_404(mine, pk=pk)
    form = StrikeOutForm(request.POST if request.method == "POST" else None)
    if form.is_valid() and (struck := form.strike_out(test, by=request.user, at=now())):
        stays = " The reaction that was recorded goes on being warned of." if struck.reacted else ""
        messages.success(request, f"Struck out: {struck.product}. It stays here to be seen and clears nothing.{stays}")
        return redirect("client-skin-tests", reference)
    note_look(client=client, user=request.user, page="skin tests")
    told = told_tests([test], numbers=HouseRule.objects.current(), at=now())[0]
    context = {"place": "clients", "client": client, "told": told, "form": form}
    return render(request, "fittings/skin_tests/strike_out.html", context)


def _skin_tests_page(request: SalonRequest, client: Client, form: SkinTestForm) -> HttpResponse:
    note_look(client=client, user=request.user, page="skin tests")
    tests = client.skin_tests.select_related("applied_by", "read_by", "earlier_read_by", "struck_out_by")
    every = told_tests(tests, numbers=HouseRule.objects.current(), at=now())
    standing = [told for told in every if not told.test.is_struck_out]
    context = {
        "place": "clients",
        "client": client,
        "form": form,
        "waiting": [told for told in standing if told.test.read_at is None],
        "was_read": [told for told in standing if told.test.read_at],
        "no_more": list(dict.fromkeys(told.test.product for told in every if told.test.reacted)),
        "struck_out": [told for told in every if told.test.is_struck_out],
        "may_record": Consent.objects.allows_record(client),
    }
    return render(request, "fittings/skin_tests/skin_tests.html", context)


def _client(reference: str) -> Client:
    return get_object_or_404(Client.objects.active(), reference=reference)
