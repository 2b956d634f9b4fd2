"""The command that reads a catalogue in from files or a folder."""

import pytest
from django.core.management import CommandError, call_command

from pieces.catalogue import kinds
from pieces.catalogue.examples import example_file
from pieces.models import Piece
from tests.factories import OwnerFactory
from tests.pieces.catalogue_files import BASES, KINDS

pytestmark = pytest.mark.django_db


def test_the_command_reads_a_folder_in(tmp_path, capsys):
    OwnerFactory(username="odile")
    for name in KINDS:
        (tmp_path / f"{name}.csv").write_bytes(example_file(name).read_bytes())
    call_command("import_catalogue", tmp_path, "--by", "odile", "--check")
    assert "Nothing was stored: this was a check." in capsys.readouterr().out
    assert not Piece.objects.exists()
    call_command("import_catalogue", tmp_path, "--by", "odile")
    assert "Pieces: 64 added, 0 changed, 0 as they were\n" in capsys.readouterr().out
    assert Piece.objects.count() == 64


def test_the_command_names_the_bad_lines_and_stops(tmp_path, capsys):
    OwnerFactory(username="odile")
    (tmp_path / "bases.csv").write_text(BASES + "Tollbar,Latch,ovel,100,100,mono\n")
    with pytest.raises(CommandError, match="Nothing was stored"):
        call_command("import_catalogue", tmp_path / "bases.csv", "--by", "odile")
    assert "bases.csv, line 2, outline: “ovel” is none of the words" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (["bases.csv", "--by", "nobody"], "Nobody signs in as “nobody”."),
        (["hats.csv", "--by", "odile"], "hats.csv is not one of bases.csv, shades.csv,"),
        (["bases.csv", "--by", "odile"], "bases.csv can't be read: No such file or directory."),
        (["empty", "--by", "odile"], "There is no CSV file in that folder."),
    ],
)
def test_the_command_says_what_it_was_given_wrongly(tmp_path, monkeypatch, arguments, sentence):
    OwnerFactory(username="odile")
    (tmp_path / "empty").mkdir()
    monkeypatch.chdir(tmp_path)
    with pytest.raises(CommandError, match=sentence):
        call_command("import_catalogue", *arguments)


def test_every_column_says_what_it_means_how_it_is_written_and_gives_an_example_that_can_be_read():
    for kind in kinds("GBP").values():
        for column in kind.columns:
            assert column.meaning.endswith(".")
            assert column.cell.how
            if column.example:
                column.cell.read(column.example)
