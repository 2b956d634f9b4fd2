"""What a maker's own file says by what its columns, numbers and words mean; what it says of hostile files."""

import pytest

from pieces.catalogue import kinds
from pieces.catalogue.columns_kept import guessed
from pieces.catalogue.maker_sheets import MakersColumn, Meaning, columns_in, read_maker_sheet
from salon.common.text_files import FileRefused
from tests.pieces.maker_files.files import HOSTILE, PRICES, PRICES_MEAN, SHADES, STYLES, STYLES_MEAN

KINDS = kinds("GBP")
MAKER = "Marrowick Atelier"


def read(kind, text, **meaning):
    return read_maker_sheet(KINDS[kind], text.encode(), maker=MAKER, meaning=Meaning(**meaning))


def said(sheet):
    return [bad.sentence for bad in sheet.bad_lines]


def test_columns_are_named_with_what_stands_in_them_whatever_parts_them():
    prices = columns_in(PRICES.encode())
    assert prices[0] == MakersColumn("Style", ("Heron Weir",))
    assert prices[3] == MakersColumn("Length (in)", ("14", "16"))
    assert [column.name for column in columns_in(("\ufeff" + SHADES).encode())] == ["Code", "Description"]
    assert [column.name for column in columns_in(STYLES.encode())] == ["Style", "Foundation", "Hair", "Fall"]


def test_columns_without_a_name_and_of_one_name_can_be_told_apart():
    names = [column.name for column in columns_in(b"Colour,,Colour,Colour (2),Pr\x07ice,\n1,2,3,4,5,6\n")]
    assert names == ["Colour", "Column 2", "Colour (2)", "Colour (2) (2)", "Pr ice"]


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_file_is_refused_in_a_sentence(name):
    content, sentence = HOSTILE[name]
    with pytest.raises(FileRefused) as refusal:
        columns_in(content)
    line, _, _, says = refusal.value.where
    assert f"{f'Line {line}: ' if line else ''}{says}".startswith(sentence)
    assert says.endswith((".", "?"))


def test_bare_numbers_are_in_the_unit_that_was_said_and_others_in_their_own():
    sheet = read("variants", PRICES.replace("16;", "40 cm;"), **PRICES_MEAN)
    assert said(sheet) == []
    assert [line.values["length_mm"] for line in sheet.lines] == [356, 400]
    assert sheet.lines[0].values["price"].minor == 124900
    assert sheet.lines[0].values["maker"] == MAKER


def test_a_bare_number_whose_unit_nobody_said_is_never_guessed():
    sheet = read("variants", PRICES, columns=PRICES_MEAN["columns"])
    assert said(sheet)[0] == ("“14” has no unit. Say in which unit the bare numbers of this column are.")
    hot = "name,base,hair,falls,heat\nA,B,heat_friendly,wavy,200\n"
    columns = {"name": "name", "base": "base", "fibre": "hair", "texture": "falls", "rated_c": "heat"}
    assert "“200” has no unit" in said(read("pieces", hot, columns=columns))[0]
    cool = read("pieces", hot, columns=columns, units={"rated_c": "°F"})
    assert cool.lines[0].values["rated_c"] == 93  # 200 °F, rounded down


def test_a_makers_word_is_asked_for_once_and_then_means_what_was_said():
    sheet = read("pieces", STYLES, **STYLES_MEAN)
    assert sheet.strange == {"fibre": {"remy": 2, "fibre hf": 1}, "texture": {"bone straight": 1}}
    assert [bad.line for bad in sheet.bad_lines] == [2, 4, 4]
    assert not sheet.lines
    words = {"fibre": {"remy": "human", "fibre hf": "heat_friendly"}, "texture": {"bone straight": "straight"}}
    again = read("pieces", STYLES, **STYLES_MEAN, words=words)
    assert said(again) == []
    assert [line.values["fibre"] for line in again.lines] == ["human", "heat_friendly"]


def test_a_word_may_mean_nothing_where_nothing_may_stand():
    text = "name,base,hair,falls,thick\nA,B,human,wavy,n/a\n"
    columns = {"name": "name", "base": "base", "fibre": "hair", "texture": "falls", "density": "thick"}
    sheet = read("pieces", text, columns=columns, words={"density": {"n/a": "-"}, "fibre": {"human": "-"}})
    assert [line.values["density"] for line in sheet.lines] == []
    assert "“-” is none of the words" in said(sheet)[0]
    sheet = read("pieces", text, columns=columns, words={"density": {"n/a": "-"}})
    assert sheet.lines[0].values["density"] == "medium"


def test_a_line_that_says_the_same_again_is_passed_over_and_one_that_says_otherwise_is_kept_to_be_refused():
    text = "Code,Description\nsedge,Pale ash\nsedge,Pale ash\nsedge,Ash\n"
    sheet = read("shades", text, columns={"code": "Code", "name": "Description"})
    assert [line.number for line in sheet.lines] == [2, 4]
    assert sheet.remarks == ["1 line says what an earlier line said and is passed over."]


def test_what_is_the_same_in_every_line_need_not_stand_in_the_file():
    sheet = read("pieces", "Style,Hair\nA,human\n", columns={"name": "Style", "fibre": "Hair"},
                 fixed={"base": "Wicket 3", "texture": "wavy"})  # fmt: skip  # in one glance
    assert sheet.lines[0].values == {
        "maker": MAKER, "base": "Wicket 3", "name": "A", "fibre": "human", "texture": "wavy",
    }  # fmt: skip  # in one glance


def test_a_column_that_is_needed_or_not_in_the_file_is_said():
    assert said(read("shades", SHADES, columns={"code": "Code"})) == [
        "Say which column holds name, or what it is in every line."
    ]
    assert said(read("shades", SHADES, columns={"code": "Code", "name": "Words"})) == [
        "There is no column “Words” in this file. Say again which column it is."
    ]


def test_a_line_longer_than_the_header_is_refused_and_a_shorter_one_has_empty_cells():
    sheet = read("shades", "Code,Description\na,b,c\nd\n", columns={"code": "Code", "name": "Description"})
    assert [bad.sentence[:37] for bad in sheet.bad_lines] == [
        "This line has 3 cells, the first line",
        "This cell is empty. Write text of at "[:37],
    ]


def test_the_columns_are_guessed_by_their_names_and_their_units_too():
    found = guessed(KINDS["variants"], columns_in(PRICES.encode()))
    assert found.columns == {
        "base": "Foundation", "piece": "Style", "shade": "Colour", "length_mm": "Length (in)",
    }  # fmt: skip  # RRP and Trade are for a person to say
    assert found.units == {"length_mm": "in"}
