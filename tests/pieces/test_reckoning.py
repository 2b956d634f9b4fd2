"""Tax and totals of a line, held against what tax offices print."""

from fractions import Fraction
from math import floor

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pieces.reckoning import WHOLE, by_rate, half_up, percent, reckon

# HM Revenue & Customs, “Calculating VAT for VAT-inclusive and VAT-exclusive prices” (hmrc.gov.uk/vat/forms-rates/rates/
# calculating.htm), READ: £100 at 20 % is £20 of VAT, £120 in all; £100 at 5 % is £5, £105 in all.
HMRC_EXAMPLES = [(10_000, 2_000, 2_000, 12_000), (10_000, 500, 500, 10_500)]


@pytest.mark.parametrize(("price", "rate", "tax", "total"), HMRC_EXAMPLES)
def test_tax_on_a_price_without_it_is_as_the_tax_office_works_it_out(price, rate, tax, total):
    found = reckon(price_minor=price, basis_points=rate, prices_include_tax=False)
    assert (found.net_minor, found.tax_minor, found.total_minor) == (price, tax, total)


@pytest.mark.parametrize(("price", "rate", "tax", "total"), HMRC_EXAMPLES)
def test_tax_in_a_price_with_it_is_found_again(price, rate, tax, total):
    found = reckon(price_minor=total, basis_points=rate, prices_include_tax=True)
    assert (found.net_minor, found.tax_minor, found.total_minor) == (price, tax, total)


@pytest.mark.parametrize(
    ("price", "tax"),
    [
        # HM Revenue & Customs, internal manual VATREC12030, READ: below half a penny down, half a penny or more up.
        # The VAT fraction of 20 % is 1/6 (VAT guide, notice 700, section 7, MEMORY): £1.00 holds 16.67p, £0.97 16.17p,
        # £0.99 exactly 16.5p.
        (100, 17),
        (97, 16),
        (99, 17),
    ],
)
def test_a_fraction_of_a_penny_is_rounded_as_the_tax_office_says(price, tax):
    assert reckon(price_minor=price, basis_points=2_000, prices_include_tax=True).tax_minor == tax


@pytest.mark.parametrize(
    ("price", "includes", "tax"),
    [
        # A New Tax System (Goods and Services Tax) Act 1999 (Australia), section 9-90(1), READ: to the nearest cent,
        # 0.5 cents upwards. GST is 10 %, so one eleventh of a price that includes it (section 9-75, MEMORY).
        (95, False, 10),  # 9.5 cents
        (94, False, 9),  # 9.4 cents
        (104, True, 9),  # 9.4545… cents
        (105, True, 10),  # 9.5454… cents
    ],
)
def test_half_a_cent_goes_up_as_the_act_says(price, includes, tax):
    assert reckon(price_minor=price, basis_points=1_000, prices_include_tax=includes).tax_minor == tax


lines = st.tuples(st.integers(0, 10**7), st.integers(1, 99), st.integers(0, WHOLE), st.booleans())


@given(lines, st.floats(0, 1))
def test_a_line_adds_up_and_its_tax_is_within_half_a_minor_unit(line, off):
    price, count, rate, includes = line
    discount = int(price * count * off)
    found = reckon(
        price_minor=price, count=count, discount_minor=discount, basis_points=rate, prices_include_tax=includes
    )
    assert found.net_minor + found.tax_minor == found.total_minor
    left = price * count - discount
    assert (found.total_minor if includes else found.net_minor) == left
    whole = WHOLE + rate if includes else WHOLE
    assert abs(2 * (found.tax_minor * whole - left * rate)) <= whole


@given(st.integers(0, 10**12), st.integers(1, 10**5))
def test_halves_go_up(amount, divisor):
    assert half_up(amount, divisor) == floor(Fraction(amount, divisor) + Fraction(1, 2))


@pytest.mark.parametrize(
    "wrong", [{"price_minor": -1}, {"count": 0}, {"basis_points": WHOLE + 1}, {"discount_minor": 101}]
)
def test_what_no_line_can_be_is_refused_in_a_sentence(wrong):
    with pytest.raises(ValueError, match=r"\.$"):
        reckon(**{"price_minor": 100, "prices_include_tax": True} | wrong)


def test_lines_are_summed_by_rate_the_highest_first():
    rates = by_rate([("Low", 500, 5, 105), ("High", 2000, 20, 120), ("Low", 500, 10, 210)])
    assert [(rate.name, rate.net_minor, rate.tax_minor) for rate in rates] == [("High", 100, 20), ("Low", 300, 15)]


@pytest.mark.parametrize(("basis_points", "words"), [(2000, "20 %"), (825, "8.25 %"), (1250, "12.5 %"), (0, "0 %")])
def test_a_rate_is_written_in_percent(basis_points, words):
    assert percent(basis_points) == words
