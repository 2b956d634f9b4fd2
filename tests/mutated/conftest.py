"""The salon that is posted to."""

import pytest

from tests.mutated.scene import make_scene


@pytest.fixture
def scene(db, settings):
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]  # hundreds of sign-ins are tried
    return make_scene()
