"""The migration that begins the ledger: every unit gets its first movement where it is, and the salon its reasons."""

import pytest
from django.db import connection
from django.db.migrations.executor import MigrationExecutor

from pieces.models import ReturnReason, StockMovement, Unit
from pieces.stock import reserve_unit
from tests.factories import OwnerFactory
from tests.pieces.factories import UnitFactory

pytestmark = [pytest.mark.slow, pytest.mark.django_db(transaction=True)]
BEFORE = [("pieces", "0002_shades_read_from_photos")]


@pytest.fixture
def newest():
    leaves = MigrationExecutor(connection).loader.graph.leaf_nodes()
    yield leaves
    MigrationExecutor(connection).migrate(leaves)


def test_units_from_before_have_a_ledger_that_goes_on(newest):
    units = {state: UnitFactory(state=state) for state in ("drawer", "reserved", "with client", "gone")}
    MigrationExecutor(connection).migrate(BEFORE)
    MigrationExecutor(connection).migrate(newest)
    for state, unit in units.items():
        first = StockMovement.objects.get(unit=unit)
        assert (first.kind, first.from_state, first.to_state, first.by) == ("before", "", state, None)
    assert StockMovement.objects.counts() == {state: int(state in units) for state in Unit.State.values}
    reserve_unit(unit=units["drawer"], by=OwnerFactory())
    assert units["drawer"].movements.count() == 2
    assert ReturnReason.objects.filter(name="Shows at the front edge").exists()
