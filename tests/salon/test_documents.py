"""README.md and DEVELOPERS.md against the code they speak of: variables, commands, columns, files and pictures."""

import re
from pathlib import Path

import pytest
from django.conf import settings
from django.core.management import get_commands

from pieces.catalogue.kinds import kinds

README = (settings.BASE_DIR / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (settings.BASE_DIR / "DEVELOPERS.md").read_text(encoding="utf-8")
BOTH = pytest.mark.parametrize("document", [README, DEVELOPERS], ids=["README.md", "DEVELOPERS.md"])
LARGEST_PICTURE = 250_000


def rows_of_columns():
    """Of each file, the columns its row of the README names: {file: [(name, whether it is bold)]}."""
    rows = re.findall(r"^\| `(\w+\.csv)`[^|]*\|((?:[^|\n]|\\\|)*)\|$", README, re.MULTILINE)
    return {
        file: [(name, bold == "**") for bold, name in re.findall(r"(\*\*|)`([a-z_]+)`", text) if name != "usual"]
        for file, text in rows
    }


def test_every_variable_the_settings_read_is_explained():
    source = (settings.BASE_DIR / "salon" / "settings.py").read_text(encoding="utf-8")
    read = set(re.findall(r"env\.\w+\(\s*\"([A-Z_]+)\"", source))
    explained = set(re.findall(r"^\| `([A-Z_]+)` \|", README, re.MULTILINE))
    assert len(read) > 5
    assert explained == read | {"SALON_SECRET_KEY_FILE"}


@BOTH
def test_every_command_it_names_is_there(document):
    named = set(re.findall(r"manage\.py ([a-z_]+)", document))
    assert named
    assert named <= set(get_commands())


def test_the_columns_of_each_file_are_those_that_are_read():
    expected = {
        kind.file: [(column.name, column.required) for column in kind.columns] for kind in kinds("GBP").values()
    }
    assert rows_of_columns() == expected


@BOTH
def test_every_file_it_names_is_there(document):
    root = Path(settings.BASE_DIR)
    named = set(re.findall(r"`((?:salon|clients|pieces|fittings|templates|static|tests|\.ci)/[\w/.-]+)`", document))
    assert named
    assert [path for path in sorted(named) if not (root / path).exists()] == []


def test_every_picture_is_there_small_and_said_in_words():
    pictures = re.findall(r"^!\[(.*)\]\((.+)\)$", README, re.MULTILINE)
    assert 5 <= len(pictures) <= 18
    for words, path in pictures:
        assert len(words) > 60
        assert (settings.BASE_DIR / path).stat().st_size <= LARGEST_PICTURE


def test_no_picture_lies_about_unused():
    shown = {Path(path).name for path in re.findall(r"static/img/readme/([\w.-]+)", README)}
    assert {file.name for file in (settings.BASE_DIR / "static/img/readme").iterdir()} == shown
