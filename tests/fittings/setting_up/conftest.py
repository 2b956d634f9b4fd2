"""The owner and the desk, each signed in on a browser of her own."""

import pytest
from django.test import Client as Browser

from tests.factories import DeskFactory, OwnerFactory


@pytest.fixture
def odile(db):
    return OwnerFactory(first_name="Odile", last_name="Brackwater")


@pytest.fixture
def owner(odile):
    browser = Browser()
    browser.force_login(odile)
    return browser


@pytest.fixture
def desk(db):
    browser = Browser()
    browser.force_login(DeskFactory())
    return browser
