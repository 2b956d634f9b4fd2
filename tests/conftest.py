"""What tests of every subject share: the pace of property tests, their database, counted queries, a watched browser."""

import os
import shutil

import pytest
from django.apps import apps
from django.db import connection
from django.db.models.signals import post_migrate
from django.test.utils import CaptureQueriesContext
from hypothesis import settings as property_tests

from tests import migrated_once
from tests.filled_by_migrations import fill_anew

# Playwright keeps an event loop running in the tests' thread, and Django takes that for a query inside a coroutine
os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "true")
os.environ.setdefault("DJANGO_LIVE_TEST_SERVER_ADDRESS", "127.0.0.1")  # a name would be looked up, and may be IPv6

IN_CI = bool(os.environ.get("CI"))

# The same examples every time, so that a red test is red for the next person too; `ci` takes longer and looks further
property_tests.register_profile("quick", derandomize=True, database=None, deadline=None, max_examples=25)
property_tests.register_profile("ci", property_tests.get_profile("quick"), max_examples=100)
property_tests.load_profile("ci" if IN_CI else "quick")


TABLET = {  # beside the chair, where most of the work is done
    "viewport": {"width": 1180, "height": 820},
    "locale": "en-GB",
    "timezone_id": "Europe/London",
    "reduced_motion": "reduce",
}


# The database


def pytest_collection_modifyitems(items):
    """Mark what looks at a database, so that the second one is not asked what has nothing to do with it."""
    for item in items:
        if item.get_closest_marker("django_db") or "db" in item.fixturenames or "live_server" in item.fixturenames:
            item.add_marker("database")


@pytest.fixture(scope="session")
def django_db_modify_db_settings(django_db_modify_db_settings_parallel_suffix, tmp_path_factory):
    """Keep SQLite's test database in a file, so that each thread has its own connection, as in a real salon."""
    if connection.vendor == "sqlite":
        place = tmp_path_factory.mktemp("database") / "test.sqlite3"
        connection.settings_dict["TEST"]["NAME"] = str(place)
        return migrated_once.take_copy(place)
    return None


@pytest.fixture(scope="session")
def django_db_keepdb(django_db_keepdb):
    """SQLite's is in place already, and its folder goes away by itself."""
    return django_db_keepdb or connection.vendor == "sqlite"


@pytest.fixture(scope="session")
def django_db_setup(django_db_setup, django_db_modify_db_settings, django_db_blocker):
    """Keep the roles and reasons: a test with its own transactions empties the tables that a migration filled too.

    Django tells of such an emptying as it tells of a migration, and makes its permissions anew; the rest follows them.
    """
    if connection.vendor == "sqlite":
        with django_db_blocker.unblock():
            migrated_once.keep(connection, kept=django_db_modify_db_settings)

    def filled_again(sender, **_):
        if sender is last_told:
            fill_anew()

    *_, last_told = apps.get_app_configs()  # by then every app has its permissions

    post_migrate.connect(filled_again, weak=False)
    yield
    with django_db_blocker.unblock():
        connection.close()


@pytest.fixture(autouse=True)
def photos_lie_apart(settings, tmp_path):
    """What a test takes in lies in a folder of its own, never among the photos of the salon that is tried out here."""
    settings.MEDIA_ROOT = tmp_path / "photos"


@pytest.fixture(autouse=True)
def passwords_take_no_time(settings):
    """No test is about the hashing, which is Django's own and slow on purpose: a quarter of a second a password."""
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher", *settings.PASSWORD_HASHERS]


@pytest.fixture
def queries_for(client):
    """Counts the queries of a page as whoever is signed in on `client` (or on another client handed in) gets it."""

    def count(address, by=client):
        by.get(address)  # fills what a process keeps from its first page on, so that the order of tests changes nothing
        with CaptureQueriesContext(connection) as queries:
            response = by.get(address)
        assert response.status_code == 200, f"{address} answered {response.status_code}"
        return len(queries)

    return count


# Browsers


@pytest.fixture(scope="session")
def browser_type_launch_args(browser_type_launch_args):
    """The system's own Chromium, without the sandbox, which root can't use: it opens our own pages only."""
    program = shutil.which("chromium") or shutil.which("chromium-browser")
    if not program:
        (pytest.fail if IN_CI else pytest.skip)("Chromium is not installed: see README.md for the packages")
    arguments = ["--no-sandbox", "--disable-dev-shm-usage", "--force-color-profile=srgb", "--font-render-hinting=none"]
    return browser_type_launch_args | {"executable_path": program, "args": arguments}


@pytest.fixture(scope="session")
def base_url():
    """None: tests write the address out. The plugin's own fixture of this name warns, and warnings are errors here."""


@pytest.fixture
def javascript_errors():
    """What the pages of this test complained about; a test that provokes a complaint clears the list and says why."""
    return []


@pytest.fixture
def new_context(new_context, javascript_errors):
    """Opens browser windows, a tablet's unless told otherwise; an error uncaught or on the console fails the test."""
    contexts = []

    def watched(**how):
        context = new_context(**(TABLET | how))
        context.on("weberror", lambda error: javascript_errors.append(str(error.error)))
        context.on("console", lambda line: javascript_errors.append(line.text) if line.type == "error" else None)
        contexts.append(context)
        return context

    yield watched
    for page in [page for context in contexts for page in context.pages]:
        page.evaluate("0")  # what the page has said by now arrives before this answer does
    assert not javascript_errors
