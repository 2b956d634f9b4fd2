"""A visit whose examination is open in a browser, as its stylist sees it."""

import pytest
from django.urls import reverse
from django.utils.timezone import now

from clients.models import Assessment
from fittings.visiting import begin_visit
from tests.factories import ClientFactory, StylistFactory


class Complaints(list):
    """What the pages complained about, without the browser's own report of a connection that a test took away."""

    def append(self, line):
        if "ERR_INTERNET_DISCONNECTED" not in line:
            super().append(line)


@pytest.fixture
def javascript_errors():
    return Complaints()


@pytest.fixture
def stylist():
    return StylistFactory(first_name="Imke", last_name="Valcourt")


@pytest.fixture
def visit(stylist):
    her = ClientFactory(given_name="Ada", family_name="Fenwick", record_consent=True)
    return begin_visit(client=her, stylist=stylist, at=now())


@pytest.fixture
def page(signed_in_page, stylist):
    return signed_in_page(stylist)


@pytest.fixture
def address(live_server, visit):
    return lambda step: live_server.url + reverse(f"consult-{step}", args=[visit.reference])


@pytest.fixture
def stored(visit):
    return lambda: Assessment.objects.get(pk=visit.assessment_id)
