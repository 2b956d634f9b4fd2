"""What each start-up check finds, and what it lets pass."""

import pytest
from django.core.checks import run_checks

from fittings.rules.engine import load_rules
from salon import checks
from salon.system_packages import Need


def test_the_settings_as_they_stand_pass_every_check():
    assert run_checks() == []


@pytest.fixture
def folders(settings, tmp_path):
    settings.STATIC_ROOT = tmp_path / "public"
    settings.STATICFILES_DIRS = [tmp_path / "static"]
    return tmp_path


@pytest.mark.parametrize("media", ["public", "public/photos", "static/photos", "."])
def test_photos_among_the_static_files_are_refused(settings, folders, media):
    settings.MEDIA_ROOT = folders / media
    (found,) = checks.photos_stay_private(None)
    assert found.id == "salon.E001"
    assert "served to anybody" in found.msg
    assert "MEDIA_ROOT" in found.hint


def test_photos_beside_the_static_files_are_fine(settings, folders):
    settings.MEDIA_ROOT = folders / "public-but-another-folder"
    assert checks.photos_stay_private(None) == []


def test_photos_in_a_bucket_are_in_no_folder(settings, folders):
    settings.MEDIA_ROOT = folders / "public"
    bucket = {"BACKEND": "django.core.files.storage.InMemoryStorage"}  # what counts is that it is no folder
    settings.STORAGES = settings.STORAGES | {"photos": bucket}
    assert checks.photos_stay_private(None) == []


def test_the_key_from_the_source_is_refused_in_production_only(settings):
    assert checks.production_has_its_own_key(None) == []
    settings.PRODUCTION = True
    (found,) = checks.production_has_its_own_key(None)
    assert found.id == "salon.E002"
    assert "SALON_SECRET_KEY" in found.hint
    assert settings.SECRET_KEY not in found.msg + found.hint
    settings.SECRET_KEY = "one of its own"
    assert checks.production_has_its_own_key(None) == []


@pytest.mark.parametrize(("hosts", "ids"), [([], ["salon.E003"]), (["*"], ["salon.E003"]), (["salon.example"], [])])
def test_production_names_the_hosts_it_answers_for(settings, hosts, ids):
    settings.ALLOWED_HOSTS = hosts
    assert checks.production_names_its_hosts(None) == []
    settings.PRODUCTION = True
    assert [found.id for found in checks.production_names_its_hosts(None)] == ids


SQLITE = {
    "ENGINE": "django.db.backends.sqlite3",
    "OPTIONS": {"transaction_mode": "IMMEDIATE", "timeout": 20, "init_command": "PRAGMA journal_mode=WAL;"},
}


@pytest.mark.parametrize(
    ("changed", "ids"),
    [
        ({}, []),
        ({"transaction_mode": "DEFERRED"}, ["salon.E004"]),
        ({"timeout": 1}, ["salon.E004"]),
        ({"init_command": ""}, ["salon.E004"]),
    ],
)
def test_sqlite_makes_writers_wait(monkeypatch, settings, changed, ids):
    monkeypatch.setitem(settings.DATABASES, "default", SQLITE | {"OPTIONS": SQLITE["OPTIONS"] | changed})
    assert [found.id for found in checks.sqlite_lets_writers_wait(None)] == ids


def test_another_database_needs_none_of_sqlites_options(monkeypatch, settings):
    monkeypatch.setitem(settings.DATABASES, "default", {"ENGINE": "django.db.backends.postgresql"})
    assert checks.sqlite_lets_writers_wait(None) == []


def test_a_rule_file_that_is_refused_stops_the_start_with_its_own_sentence(monkeypatch, tmp_path):
    (tmp_path / "heat.toml").write_text('[[rule]]\nid = "too-hot"\nsevrity = "stop"\n')
    monkeypatch.setattr(checks, "load_rules", lambda: load_rules(tmp_path))
    (found,) = checks.rules_can_be_read(None)
    assert found.id == "salon.E005"
    assert "heat.toml" in found.msg
    assert "sevrity" in found.msg


@pytest.mark.parametrize(("is_here", "ids"), [(True, []), (False, ["salon.W001"])])
def test_missing_libraries_for_papers_are_a_warning_with_the_line_to_run(monkeypatch, is_here, ids):
    need = Need(lambda: is_here, "libprint0", "print", "print", "nothing can be printed")
    monkeypatch.setattr(checks, "PDF_NEEDS", (need,))
    found = checks.papers_can_be_printed(None)
    assert [warning.id for warning in found] == ids
    assert all(warning.hint.startswith("To install them, run: ") for warning in found)


def test_messages_go_by_ways_that_there_are(settings):
    settings.MESSAGE_CHANNELS = ["email", "pigeon"]
    (found,) = checks.messages_go_by_known_ways(None)
    assert (found.id, found.msg) == ("salon.E007", "Messages to clients can't go by “pigeon”.")
    assert found.hint.endswith("one or more of: email, text-file.")


@pytest.mark.parametrize("written", ["desk", "The Quiet Room <desk@salon.example>", "a@b.example, c@d.example"])
def test_mail_comes_from_one_plain_address(settings, written):
    assert checks.mail_has_a_sender(None) == []
    settings.DEFAULT_FROM_EMAIL = written
    (found,) = checks.mail_has_a_sender(None)
    assert found.id == "salon.E008"


def test_production_says_what_messages_lack(settings):
    settings.SALON_ADDRESS = settings.EMAIL_HOST = ""
    assert checks.production_sends_messages(None) == []
    settings.PRODUCTION = True
    assert [found.id for found in checks.production_sends_messages(None)] == ["salon.W002", "salon.W003"]
    settings.MESSAGE_CHANNELS = ["text-file"]
    settings.SALON_ADDRESS = "https://salon.example"
    assert checks.production_sends_messages(None) == []
