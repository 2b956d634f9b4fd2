"""The database as the migrations leave it, kept between runs: migrating takes longer than a folder's tests.

Only SQLite's, which is one file. What is kept goes by a digest of all that migrating reads, so that after a change of a
migration, a model or a library everything is migrated anew, as in a fresh clone.
"""

import hashlib
import os
import shutil
import sqlite3
import sys
from importlib.metadata import version
from pathlib import Path

import django
from django.apps import apps

ROOT = Path(__file__).parent.parent
KEPT_IN = ROOT / ".pytest_cache" / "d"  # `pytest --cache-clear` empties it

# What migrations import besides: the fields and constraints of models, and the arithmetic of search keys
READ_BY_MIGRATIONS = ("salon/settings.py", "salon/models.py", "salon/common/*.py", "*/models/*.py")


def _sources():
    migrations = [path for app in apps.get_app_configs() for path in Path(app.path).glob("migrations/*.py")]
    return sorted({*migrations, *(path for pattern in READ_BY_MIGRATIONS for path in ROOT.glob(pattern))})


def _digest():
    digest = hashlib.sha256(repr((sys.version, sqlite3.sqlite_version, django.__version__)).encode())
    digest.update(version("django-simple-history").encode())
    for path in _sources():
        digest.update(f"{path}".encode() + path.read_bytes())
    return digest.hexdigest()[:32]


def _kept_database():
    return KEPT_IN / f"migrated-{_digest()}.sqlite3"


def take_copy(place):
    """Put what is kept at `place`, or leave that empty when nothing is; returns where it is or would be kept."""
    kept = _kept_database()
    try:
        shutil.copyfile(kept, place)
    except FileNotFoundError:
        Path(place).unlink(missing_ok=True)
    return kept


def keep(connection, kept):
    """Keep what has just been migrated for the next run, unless a source was changed meanwhile; older ones go."""
    if kept.exists() or kept != _kept_database():
        return
    KEPT_IN.mkdir(parents=True, exist_ok=True)
    for older in KEPT_IN.glob("migrated-*"):
        older.unlink(missing_ok=True)
    unfinished = KEPT_IN / f"unfinished-{os.getpid()}"  # several processes may migrate at once
    connection.ensure_connection()
    target = sqlite3.connect(unfinished)
    connection.connection.backup(target)
    target.close()
    unfinished.replace(kept)
