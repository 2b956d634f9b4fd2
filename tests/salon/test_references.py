"""References of records: given out, read aloud, typed back."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from stdnum.iso7064 import mod_37_36

from salon.common.references import ALPHABET, new_reference, normalise_reference

REFERENCE = "C-7K2M9QAV"


def test_the_check_character_is_that_of_iso_7064():
    # A12425GABC1234002 with check character M is a well-known worked example of MOD 37,36 (MEMORY)
    assert mod_37_36.calc_check_digit("A12425GABC1234002") == "M"
    for prefix in ("C", "CS", "UNIT"):
        assert mod_37_36.is_valid(new_reference(prefix).replace("-", ""))


@pytest.mark.parametrize("typed", ["c-7k2m9qav", "C7K2M9QAV", " c 7k2m 9qav ", "C–7K2M9QAV", "C-7K2M-9QAV"])
def test_a_reference_is_found_however_it_is_typed(typed):
    assert normalise_reference(typed) == REFERENCE


@given(st.sampled_from(["C", "P", "CONS", "IO"]))
def test_look_alikes_are_read_as_what_they_look_like(prefix):
    reference = new_reference(prefix)
    head, body = reference.split("-")
    assert normalise_reference(f"{head}-{body.replace('1', 'I').replace('0', 'O')}") == reference
    assert normalise_reference(f"{head}{body.replace('1', 'l').replace('0', 'o')}") == reference
    assert normalise_reference(f"{head.replace('I', '1').replace('O', '0')}-{body}") == reference


def test_no_two_characters_look_alike():
    assert len(set(ALPHABET)) == 32
    assert not set("ILOU") & set(ALPHABET)


@given(st.integers(0, 7), st.sampled_from(ALPHABET))
def test_one_wrong_character_is_always_found(position, character):
    body = REFERENCE[2:]
    slipped = "C-" + body[:position] + character + body[position + 1 :]
    if slipped == REFERENCE:
        assert normalise_reference(slipped) == REFERENCE
    else:
        with pytest.raises(ValueError, match="has a slip in it"):
            normalise_reference(slipped)


@pytest.mark.parametrize(
    "typed", ["", "C", "7K2M9QAV", "C-7K2M9QA", "C-7K2M9Q?V", "CLIENT-7K2M9QAV", "Ä-7K2M9QAV", "x" * 99]
)
def test_what_is_no_reference_is_refused_with_how_one_looks(typed):
    with pytest.raises(ValueError, match="A reference looks like C-7K2M9QAV"):
        normalise_reference(typed)


def test_a_prefix_is_capital_letters():
    with pytest.raises(ValueError, match="one to four capital letters"):
        new_reference("c1")
