"""A gentle word about a number that can't be one; it is kept either way."""

import phonenumbers
import pytest

from clients.phone_doubts import phone_doubt, spaced


@pytest.mark.parametrize(
    "phone", ["", "  ", "07700 900123", "900123", "+44 7700 900123", "0044 7700 900123", "(020) 7946 0123"]
)
def test_nothing_is_said_about_a_number_that_can_be(phone):
    assert phone_doubt(phone, country="GB") == ""


@pytest.mark.parametrize(
    ("phone", "said"),
    [
        ("ask her sister", "does not look like a telephone number"),
        ("+", "does not look like a telephone number"),
        ("012", "is very short"),
        ("07700 900123 07700 900124", "no telephone number is that long"),
        ("0000", "no number of that country is written so"),
        ("1234567890123", "no number here is written so; one from abroad begins with +"),
        ("07700 9001234", "no number here is written so"),
        ("+44 7700", "no number of that country is written so"),
        ("0044 7700 900123 4567", "no number of that country is written so"),
        ("+999 12345678", "no number of that country is written so"),
    ],
)
def test_what_can_not_be_a_number_is_said_and_kept(phone, said):
    doubt = phone_doubt(phone, country="GB")
    assert said in doubt
    assert f"“{phone}” is kept as typed" in doubt


@pytest.mark.parametrize("region", ["GB", "IE", "FR", "DE", "NL", "PL", "US", "AU", "NZ", "ZA"])
def test_the_example_numbers_of_a_library_are_never_doubted(region):
    # Google's libphonenumber metadata, through the package phonenumberslite
    number = phonenumbers.example_number(region)
    for style in (phonenumbers.PhoneNumberFormat.INTERNATIONAL, phonenumbers.PhoneNumberFormat.NATIONAL):
        assert phone_doubt(phonenumbers.format_number(number, style), country=region) == ""


@pytest.mark.parametrize("region", ["GB", "FR", "US"])
def test_a_number_typed_in_one_go_is_spaced_as_its_country_writes_it(region):
    # as above: the library's own example of each country
    number = phonenumbers.example_number(region)
    written = phonenumbers.format_number(number, phonenumbers.PhoneNumberFormat.NATIONAL)
    typed = "".join(c for c in written if c.isdecimal())
    assert spaced(typed, country=region) == written
    abroad = spaced(f"00{number.country_code}{number.national_number}", country="DE")
    assert abroad == phonenumbers.format_number(number, phonenumbers.PhoneNumberFormat.INTERNATIONAL)


@pytest.mark.parametrize(
    ("typed", "written"),
    [("07700900123", "07700 900123"), ("+447700900123", "07700 900123"), ("+4477", ""), ("ask her sister", "")],
)
def test_a_number_of_the_salons_own_country_is_spaced_without_it(typed, written):
    # numbers that Ofcom keeps for drama (MEMORY)
    assert spaced(typed, country="GB") == written


def test_of_a_country_the_library_does_not_know_nothing_is_said():
    assert phone_doubt("12345678", country="ZZ") == ""
    assert spaced("12345678", country="ZZ") == ""
