"""The salon that is posted to."""

import pytest

from tests.mutated.scene import make_scene


@pytest.fixture
def scene(db):
    return make_scene()
