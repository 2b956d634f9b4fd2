"""Who looks at the catalogue, and reading one in."""

import pytest

from pieces.catalogue import read_catalogue
from tests.factories import OwnerFactory, StylistFactory
from tests.pieces.factories import BaseFactory, PieceFactory, ShadeFactory


@pytest.fixture
def read():
    """Reads files given as text or bytes by kind, as the owner."""
    owner = OwnerFactory()

    def reader(dry_run=False, **files):
        as_bytes = {name: text.encode() if isinstance(text, str) else text for name, text in files.items()}
        return read_catalogue(as_bytes, dry_run=dry_run, by=owner)

    return reader


@pytest.fixture
def known_piece():
    base = BaseFactory(name="Wicket 3", maker__name="Marrowick Atelier")
    ShadeFactory(maker=base.maker, code="walnut-husk")
    return PieceFactory(base=base, name="Heron Weir")


@pytest.fixture
def stylist(client):
    client.force_login(StylistFactory())
    return client


@pytest.fixture
def owner(client):
    client.force_login(OwnerFactory())
    return client
