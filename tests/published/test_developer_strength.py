"""Per cent and volumes of a developer against the chemistry behind the two words, and the law's own pair of figures.

Molar mass of hydrogen peroxide 34.01 g/mol, molar volume of a gas at 0 °C and 1 atm 22.41 l/mol (CODATA, IUPAC:
MEMORY); densities of the solutions 1.01 to 1.04 kg/l (handbook values: MEMORY). 2 H2O2 gives 2 H2O and O2.
"""

import pytest

from fittings.services.developer import format_strength, parse_strength, percent_of, volumes_of

GRAMS_A_MOLE, LITRES_A_MOLE = 34.01, 22.41
DENSITY = {3: 1.009, 6: 1.020, 9: 1.031, 12: 1.042}


@pytest.mark.parametrize("percent", DENSITY)
def test_ten_volumes_for_three_per_cent_is_what_the_chemistry_gives_to_five_per_cent(percent):
    grams_a_litre = 1000 * DENSITY[percent] * percent / 100
    litres_of_oxygen = grams_a_litre / GRAMS_A_MOLE / 2 * LITRES_A_MOLE
    assert volumes_of(percent) == pytest.approx(litres_of_oxygen, rel=0.05)


def test_the_most_that_the_law_allows_on_hair_is_12_per_cent_or_40_volumes():  # (EC) 1223/2009, Annex III, 12: MEMORY
    assert percent_of(40) == parse_strength("40 vol") == parse_strength("12 %") == 12.0
    with pytest.raises(ValueError, match=r"12 % \(40 vol\), the most that may be used on hair"):
        parse_strength("41 vol")


@pytest.mark.parametrize(
    ("typed", "percent"), [("6%", 6.0), ("20 vol", 6.0), ("20 volumes", 6.0), ("4,5 %", 4.5), ("7 vol.", 2.1)]
)
def test_a_strength_is_read_in_either_word(typed, percent):
    assert parse_strength(typed) == pytest.approx(percent)


@pytest.mark.parametrize(
    ("typed", "sentence"), [("20", "per cent or volumes"), ("strong", "not a developer's strength"), ("9" * 30, "long")]
)
def test_a_number_alone_could_be_either_and_is_asked_for(typed, sentence):
    with pytest.raises(ValueError, match=sentence):
        parse_strength(typed)


def test_both_words_are_shown():
    assert format_strength(6.0) == "6 % (20 vol)"
    assert format_strength(2.1) == "2.1 % (7 vol)"
