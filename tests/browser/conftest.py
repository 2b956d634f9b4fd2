"""Pages of somebody who has signed in.

That they complain about nothing is watched by `new_context` (tests/conftest.py): an uncaught error or a refusal of the
content policy fails the test.
"""

import pytest
from django.conf import settings
from django.contrib.auth import BACKEND_SESSION_KEY, HASH_SESSION_KEY, SESSION_KEY
from django.contrib.sessions.backends.db import SessionStore

from tests.factories import STAFF


def session_of(user):
    """A session as signing in makes one, without asking for a password."""
    session = SessionStore()
    session[SESSION_KEY] = str(user.pk)
    session[BACKEND_SESSION_KEY] = "django.contrib.auth.backends.ModelBackend"
    session[HASH_SESSION_KEY] = user.get_session_auth_hash()
    session.create()
    return session.session_key


@pytest.fixture
def signed_in_page(new_context, live_server):
    """`signed_in_page(user, **context)`: a window in which that user is signed in; the keywords go to `new_context`,
    for example `viewport` or `color_scheme`."""

    def open_window(user, **kwargs):
        context = new_context(**kwargs)
        cookie = {"name": settings.SESSION_COOKIE_NAME, "value": session_of(user), "url": live_server.url}
        context.add_cookies([cookie])
        return context.new_page()

    return open_window


@pytest.fixture
def staff_page(signed_in_page):
    """`staff_page("Stylist")`: a window of somebody new in that role ("Front desk", "Stylist" or "Owner")."""
    return lambda role, **kwargs: signed_in_page(STAFF[role](), **kwargs)
