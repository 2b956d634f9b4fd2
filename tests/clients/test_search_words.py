"""How names and numbers are compared: folding, words, and the ends of phone numbers."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clients.models.search import LONGEST_FOLDED, digits_backwards, folded, phone_tail, search_terms, words_of

text_unidecode = pytest.importorskip("text_unidecode", reason="comes with the browser tests' packages")


@pytest.mark.parametrize("letter", [chr(code) for code in range(0xC0, 0x180) if chr(code).isalpha()])
def test_european_letters_fold_as_a_transliteration_library_writes_them(letter):
    # Unicode's Latin-1 Supplement and Latin Extended-A, held against the package text-unidecode
    transliterated = "".join(c for c in text_unidecode.unidecode(letter).lower() if c.isalpha())
    assert words_of(letter) == [transliterated]


@given(st.text(max_size=60))
def test_folding_twice_is_folding_once_and_fits_its_column(name):
    assert folded(folded(name)) == folded(name)
    assert len(folded(name)) <= LONGEST_FOLDED


@given(st.text(max_size=30))
def test_small_and_capital_letters_fold_alike(name):
    assert folded(name.upper().lower()) == folded(name.lower().upper().lower())


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("Zoë-Marie", ["marie", "zoe"]),
        ("O’Dell", ["odell"]),
        ("  van   der Berg ", ["berg", "der", "van"]),
        ("Łucja", ["lucja"]),
        ("Strauß", ["strauss"]),
        ("\x00", []),
    ],
)
def test_a_name_is_found_by_each_of_its_words(name, words):
    assert words_of(name) == words


@pytest.mark.parametrize(
    "phone", ["+44 7700 900123", "0044 7700 900123", "07700 900123", "+44 (0)7700-900123", "٠٧٧٠٠٩٠٠١٢٣"]
)
def test_a_number_ends_alike_however_it_is_written(phone):
    assert phone_tail(phone) == "321009007"
    assert digits_backwards(phone).startswith("321009007")


@pytest.mark.parametrize(
    ("typed", "terms"),
    [
        ("ann 0123", [("ann", False), ("3210", True)]),
        ("0770 090 0123", [("321009007", True)]),
        ("+44 7700 900123", [("321009007", True)]),
        ("ann-marie o'd", [("ann", False), ("marie", False), ("od", False)]),
        ("%_!", []),
    ],
)
def test_typed_text_is_read_as_words_and_numbers(typed, terms):
    assert list(search_terms(typed)) == terms
