"""A visit that has begun, and the stylist who is at it."""

import pytest
from django.urls import reverse
from django.utils.timezone import now

from fittings.visiting import begin_visit
from tests.factories import ClientFactory, StylistFactory


@pytest.fixture
def stylist(client):
    stylist = StylistFactory(first_name="Imke", last_name="Valcourt")
    client.force_login(stylist)
    return stylist


@pytest.fixture
def visit(stylist):
    her = ClientFactory(given_name="Ada", family_name="Fenwick", record_consent=True)
    return begin_visit(client=her, stylist=stylist, at=now())


@pytest.fixture
def step(client, visit):
    """`step("tapes")` is its page; `step("tapes", {...})` posts it as its own form would; `by_itself` as its script."""

    def ask(key, typed=None, *, by_itself=False, **start):
        address = reverse(f"consult-{key}", args=[visit.reference])
        if typed is None:
            return client.get(address)
        visit.assessment.refresh_from_db()
        posted = {"revision": visit.assessment.revision, "base": "", **typed, **start}
        return client.post(address, posted, headers={"accept": "application/json"} if by_itself else {})

    return ask
