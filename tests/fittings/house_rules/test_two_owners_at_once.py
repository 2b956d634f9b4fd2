"""Two owners who save at the same moment: one is kept and the other is told, also of a number nobody changed before."""

from threading import Barrier, Thread

import pytest
from django.core.exceptions import ValidationError
from django.db import connection

from fittings.house_numbers import start_numbers
from fittings.house_rules.changes import changes_of
from fittings.keeping_house_rules import keep_house_rules
from fittings.models import HouseRule
from tests.factories import OwnerFactory

pytestmark = pytest.mark.django_db(transaction=True)
OWNERS = 6


@pytest.mark.skipif(
    connection.vendor == "sqlite", reason="SQLite lets one writer in at a time, and tests keep it in memory"
)
def test_one_change_is_kept_and_the_others_are_refused():
    owners, start, became = [OwnerFactory() for _ in range(OWNERS)], Barrier(OWNERS), []

    def save(owner, value):
        start.wait()
        try:
            # the neighbours of a band are locked with it, in one order, so that nobody waits for each other
            keep_house_rules(values={"band_close": value, "margin_mm": value}, shown=start_numbers(), by=owner)
            became.append("kept")
        except ValidationError:
            became.append("refused")
        finally:
            connection.close()

    threads = [Thread(target=save, args=(owner, 4.1 + number / 10)) for number, owner in enumerate(owners)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(became) == ["kept"] + ["refused"] * (OWNERS - 1)
    assert len(changes_of("band_close")) == len(changes_of("margin_mm")) == 1
    assert HouseRule.objects.current()["margin_mm"] == changes_of("margin_mm")[0].now
