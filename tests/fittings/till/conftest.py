"""Who stands at the till."""

import pytest

from tests.factories import DeskFactory, OwnerFactory


@pytest.fixture
def at_the_till(client):
    client.force_login(DeskFactory())
    return client


@pytest.fixture
def owner(client):
    client.force_login(OwnerFactory())
    return client
