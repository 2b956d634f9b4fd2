"""Processes that start together, as many as the file under test says."""

import pytest

from tests.fittings.races.racers import Racers


@pytest.fixture(scope="module")
def racers(request, django_db_setup, django_db_blocker):
    with django_db_blocker.unblock():
        racers = Racers(request.module.AT_ONCE)
    yield racers
    racers.go_home()
