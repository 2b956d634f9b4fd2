"""A valid post of every form about a maker's own file: its columns asked for, its lines looked at, taken in."""

from pieces.catalogue.maker_sheets import Meaning, columns_in
from pieces.maker_files.file_form import fingerprint, mark_of_columns
from tests.mutated.sending import File, post

SHADES = b"Code,Description,Ash,L\nnew-sedge,Pale ash,n/a,41.5\nnew-rush,Rush,yes,30\n"
COLUMNS = {"code": "Code", "name": "Description"}


def of_maker_files(scene):
    maker = scene.piece.base.maker
    file = ("file", File("shades.csv", SHADES))
    whose = [("maker", maker.pk), ("new_maker", ""), ("kind", "shades"), file]
    asked = ("asked_of", mark_of_columns(maker.name, "shades", columns_in(SHADES)))
    said = [(f"{column}-column", name) for column, name in COLUMNS.items()]
    said += [("method-always", ""), ("method-word", "n/a"), ("method-means", ""), ("root_l-always", "")]
    checked = ("checked", fingerprint(maker.name, "shades", SHADES, Meaning(columns=COLUMNS)))
    sent = post("maker-file", "Owner")
    return {
        "a maker's file looked at": sent.with_fields([*whose, ("look", "")]),
        "a maker's lines looked at": sent.with_fields([*whose, asked, *said, ("lines", "")]),
        "a maker's columns remembered": sent.with_fields([*whose, asked, *said, ("keep", "")]),
        "a maker's file taken in": sent.with_fields([*whose, asked, *said, checked, ("take", "")]),
    }
