"""How names and numbers are compared: folding, words, and the ends of phone numbers."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clients.models.search import LONGEST_FOLDED, digits_backwards, folded, keys_of, phone_tail, readings, words_of

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


class Her:
    reference = "C-7K2M9QAV"
    given_name, family_name, preferred_name = "Zoë", "Lindenberg", ""
    phone, email = "01632 960007", "z.lind@Weir.example"


def test_she_has_a_key_for_each_word_each_part_of_it_and_each_part_of_her_number():
    assert keys_of(Her, listed_as="lindenberg zoe") == {
        b"nzoe\0lindenberg zoe",
        b"nlindenberg\0lindenberg zoe",
        *(b"windenberg", b"wndenberg", b"wdenberg", b"wenberg", b"wnberg", b"wberg", b"werg"),
        *(b"wz.lind@weir.example", b"wweir.example"),
        b"t70006923610",
        *(b"d01632960007", b"d1632960007", b"d632960007", b"d32960007", b"d2960007", b"d960007", b"d60007", b"d0007"),
        b"r7k2m9qav",
    }


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("ann 0123", [[(b"nann", b"wann"), (b"t3210", b"d0123")]]),
        ("0770 090 0123", [[(b"t321009007", b"d700900123")]]),
        ("+44 7700 900123", [[(b"t321009007", b"d700900123")]]),
        ("123", [[(b"t321",)]]),
        ("ann-m o'd", [[(b"nann", b"wann"), (b"nm",), (b"nod",)], [(b"wann-m",), (b"nod",)]]),
        ("020-7946", [[(b"t6497020", b"d0207946")]]),
        ("zoë@weir", [[(b"wzoe@weir",)]]),
        ("ann @weir", [[(b"nann", b"wann"), (b"wweir",)]]),
        ("weir.ex", [[(b"nweir", b"wweir"), (b"nex",)], [(b"wweir.ex",)]]),
        ("C-7K2M9QAV", [[(b"r7k2m9qav",)]]),
        ("c-7k", [[(b"nc",), (b"n7k",)], [(b"wc-7k",)], [(b"r7k",)]]),
        ("c7k2mo", [[(b"nc7k2mo", b"wc7k2mo")], [(b"r7k2m0",)]]),
        ("%_!", []),
        ("@", []),
    ],
)
def test_typed_text_is_read_as_words_numbers_addresses_and_references(typed, meant):
    assert [[term.beginnings for term in terms] for terms in readings(typed)] == meant
