"""The migration that gives everybody registered the keys of quick find, and its way back to words of names."""

import pytest
from django.db import connection
from django.db.migrations.executor import MigrationExecutor

from clients.indexing import index_clients
from clients.models import Client, SearchKey
from tests.factories import ClientFactory

pytestmark = [pytest.mark.slow, pytest.mark.django_db(transaction=True)]
BOTH_TABLES = [("clients", "0008_search_keys")]


def migrate(targets):
    MigrationExecutor(connection).migrate(targets)
    return MigrationExecutor(connection).loader.project_state(targets).apps


def keys():
    return sorted((row.client_id, bytes(row.key)) for row in SearchKey.objects.all())


@pytest.fixture
def newest():
    leaves = MigrationExecutor(connection).loader.graph.leaf_nodes()
    yield leaves
    migrate(leaves)


def test_everybody_is_found_after_the_change_and_after_its_way_back(newest):
    ClientFactory(given_name="Zoë", family_name="Lindenberg", preferred_name="Mo", email="zoe@weir.example")
    ClientFactory(given_name="Ada", family_name="Wren", phone="")
    as_registered = keys()
    before = migrate(BOTH_TABLES)
    words = before.get_model("clients", "NameWord").objects.values_list("word", flat=True)
    assert sorted(words) == ["ada", "lindenberg", "mo", "wren", "zoe"]
    before.get_model("clients", "SearchKey").objects.all().delete()
    migrate(newest)
    assert keys() == as_registered
    index_clients(Client.objects.all())
    assert keys() == as_registered, "the deed finds nothing to add and nothing to drop"
