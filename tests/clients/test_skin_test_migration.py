"""The migration by which tests on file are known by their product, and say from when they could be read."""

from datetime import timedelta

import pytest
from django.db import connection
from django.db.migrations.executor import MigrationExecutor

from clients.models import SkinTest
from tests.factories import SkinTestFactory

pytestmark = [pytest.mark.slow, pytest.mark.django_db(transaction=True)]
COLUMNS = [("clients", "0015_skin_tests_struck_out_and_known_by_product")]


def migrate(targets):
    MigrationExecutor(connection).migrate(targets)


@pytest.fixture
def newest():
    leaves = MigrationExecutor(connection).loader.graph.leaf_nodes()
    yield leaves
    migrate(leaves)


def test_tests_on_file_are_filled_in_and_a_time_that_was_kept_stays(newest):
    old, known = SkinTestFactory(product="Crème tape"), SkinTestFactory()
    later = known.applied_at + timedelta(hours=72)
    SkinTest.objects.filter(pk=known.pk).update(read_from=later)
    migrate(COLUMNS)
    SkinTest.objects.update(product_key="")
    SkinTest.objects.filter(pk=old.pk).update(read_from=None)
    migrate(newest)
    old.refresh_from_db()
    known.refresh_from_db()
    assert (old.product_key, old.read_from) == ("creme tape", old.applied_at + timedelta(hours=48))
    assert (known.product_key, known.read_from) == ("soft tape no. 3", later)
