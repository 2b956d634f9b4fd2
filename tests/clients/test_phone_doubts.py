"""A gentle word about a number that can't be one; it is kept either way."""

import phonenumbers
import pytest

from clients.phone_doubts import phone_doubt


@pytest.mark.parametrize(
    "phone", ["", "  ", "07700 900123", "900123", "+44 7700 900123", "0044 7700 900123", "(020) 7946 0123"]
)
def test_nothing_is_said_about_a_number_that_can_be(phone):
    assert phone_doubt(phone) == ""


@pytest.mark.parametrize(
    ("phone", "said"),
    [
        ("ask her sister", "does not look like a telephone number"),
        ("+", "does not look like a telephone number"),
        ("012", "is very short"),
        ("07700 900123 07700 900124", "no telephone number is that long"),
        ("0000", "no number of that country is written so"),
        ("+44 7700", "no number of that country is written so"),
        ("0044 7700 900123 4567", "no number of that country is written so"),
        ("+999 12345678", "no number of that country is written so"),
    ],
)
def test_what_can_not_be_a_number_is_said_and_kept(phone, said):
    doubt = phone_doubt(phone)
    assert said in doubt
    assert f"“{phone}” is kept as typed" in doubt


@pytest.mark.parametrize("region", ["GB", "IE", "FR", "DE", "NL", "PL", "US", "AU", "NZ", "ZA"])
def test_the_example_numbers_of_a_library_are_never_doubted(region):
    # Google's libphonenumber metadata, through the package phonenumberslite
    number = phonenumbers.example_number(region)
    for style in (phonenumbers.PhoneNumberFormat.INTERNATIONAL, phonenumbers.PhoneNumberFormat.NATIONAL):
        assert phone_doubt(phonenumbers.format_number(number, style)) == ""
