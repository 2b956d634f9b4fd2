"""Any file at all, meant in any way, is read or refused in sentences, and nothing raises."""

import string

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pieces.catalogue import kinds
from pieces.catalogue.columns_kept import guessed
from pieces.catalogue.maker_sheets import Meaning, columns_in, read_maker_sheet
from salon.common.text_files import FileRefused
from tests.pieces.maker_files.files import PRICES, PRICES_MEAN, SHADES, STYLES

KINDS = {name: kind for name, kind in kinds("GBP").items() if name != "units"}
FILES = [text.encode() for text in (PRICES, SHADES, STYLES)]
PASTED = [
    "",
    " ",
    "-1",
    "1e9",
    "nan",
    "=1+1",
    "'=1",
    "½",
    "٣",
    "14",
    '14 1/2"',
    "-",
    "\0",
    "\ud800",
    "x" * 1_200,
    "a\nb",
    '"',
    ";",
]


@st.composite
def files(draw):
    content = draw(st.sampled_from(FILES))
    how = draw(st.sampled_from(["bytes", "cut", "cell", "any"]))
    if how == "any":
        return draw(st.binary(max_size=200))
    place = draw(st.integers(0, len(content) - 1))
    if how == "cut":
        return content[:place]
    new = (
        draw(st.binary(max_size=4))
        if how == "bytes"
        else draw(st.sampled_from(PASTED)).encode("utf-8", "surrogatepass")
    )
    return content[:place] + new + content[place + draw(st.integers(0, 6)) :]


words = st.one_of(st.sampled_from(PASTED), st.text(string.printable, max_size=6))


@st.composite
def meanings(draw, kind, names):
    asked = [column.name for column in kind.columns]
    columns = draw(st.dictionaries(st.sampled_from(asked), st.sampled_from([*names, "gone"]), max_size=8))
    return Meaning(
        columns,
        draw(st.dictionaries(st.sampled_from(asked), words, max_size=4)),
        draw(st.dictionaries(st.sampled_from(asked), st.sampled_from(["mm", "cm", "in", "°C", "°F"]), max_size=4)),
        draw(st.dictionaries(st.sampled_from(asked), st.dictionaries(words, words, max_size=3), max_size=3)),
    )


@given(data=st.data(), content=files(), kind=st.sampled_from(list(KINDS.values())))
def test_any_file_meant_in_any_way_is_read_or_refused_in_sentences(data, content, kind):
    try:
        columns = columns_in(content)
    except FileRefused:  # whose sentence the reading below repeats
        columns = []
    names = [column.name for column in columns]
    assert len(set(names)) == len(names)
    assert all(name and name.isprintable() for name in names)
    guess = guessed(kind, columns)
    assert set(guess.columns.values()) <= set(names)
    for meaning in (guess, data.draw(meanings(kind, names))):
        sheet = read_maker_sheet(kind, content, maker="Tollbar", meaning=meaning)
        for bad in sheet.bad_lines:
            assert bad.sentence[0].isupper() or bad.sentence[0] == "“"
            assert bad.sentence.endswith((".", "?"))
        for line in sheet.lines:
            assert all(name in line.values for name in kind.key)
            assert line.values["maker"] == "Tollbar"


@pytest.mark.parametrize("place", range(0, len(PRICES.encode()), 7))
def test_a_list_cut_anywhere_is_read_or_refused(place):
    sheet = read_maker_sheet(
        KINDS["variants"], PRICES.encode()[:place], maker="Tollbar", meaning=Meaning(**PRICES_MEAN)
    )
    assert sheet.lines or sheet.bad_lines
