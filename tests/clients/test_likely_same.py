"""Who may be the person just typed, and why."""

from datetime import date

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from hypothesis import given
from hypothesis import strategies as st

from clients.likely_same import SHOWN_AT_MOST, likely_the_same, one_slip_apart
from tests.factories import ClientFactory

pytestmark = pytest.mark.django_db
STRANGER = {"given_name": "Grace", "family_name": "Wren"}


@pytest.fixture
def ada():
    ClientFactory(given_name="Tilda", family_name="Quarry", phone="07700 900777")
    return ClientFactory(
        given_name="Ada",
        family_name="Holloway",
        preferred_name="Mo",
        phone="07700 900123",
        email="ada@weir.example",
        born_on=date(1971, 4, 9),
    )


@pytest.mark.parametrize(
    ("typed", "because"),
    [
        ({"given_name": "ADA", "family_name": "holloẃay"}, "the same name"),
        (STRANGER | {"phone": "+44 7700 900123"}, "the same phone number"),
        (STRANGER | {"email": " ADA@weir.example"}, "the same e-mail address"),
        (
            {"given_name": "Wilma", "family_name": "Holloway", "born_on": date(1971, 4, 9)},
            "the same family name and date of birth",
        ),
        ({"given_name": "Holloway", "family_name": "Ada"}, "the same names the other way round"),
        ({"given_name": "Adda", "family_name": "Holloway"}, "the same name but for one letter"),
        ({"given_name": "Ada", "family_name": "Hollaway"}, "the same name but for one letter"),
        ({"given_name": "Ada", "family_name": "Hlooway"}, None),
        ({"given_name": "Ada", "family_name": "Hlolowya"}, None),
        ({"given_name": "Ada", "family_name": "Hololway"}, "the same name but for one letter"),
        ({"given_name": "Mo", "family_name": "Holloway"}, "the same name, or what she likes to be called"),
        ({"given_name": "Ada", "family_name": "Wren", "phone": "07700 900124"}, None),
        (STRANGER | {"phone": "0123", "born_on": date(1971, 4, 9)}, None),
        ({"given_name": "Grace", "family_name": "Holloway"}, None),
        (STRANGER, None),
    ],
)
def test_somebody_registered_may_be_her_because_of(ada, typed, because):
    expected = [(ada, because)] if because else []
    assert [(likeness.client, likeness.because) for likeness in likely_the_same(**typed)] == expected


def test_the_best_reason_is_given_once_and_the_likelier_come_first(ada):
    same_phone = ClientFactory(given_name="Grace", family_name="Wren", phone="07700 900123")
    found = likely_the_same(given_name="Ada", family_name="Holloway", phone="07700 900123")
    assert [likeness.client for likeness in found] == [ada, same_phone]


def test_the_queries_are_as_many_for_many_namesakes():
    def queries():
        with CaptureQueriesContext(connection) as asked:
            likely_the_same(given_name="Ada", family_name="Ash", phone="07700 900123", email="ada@weir.example")
        return len(asked)

    ClientFactory(given_name="Ada", family_name="Ash")
    few = queries()
    ClientFactory.create_batch(SHOWN_AT_MOST + 2, given_name="Ada", family_name="Ash")
    assert queries() == few
    assert len(likely_the_same(given_name="Ada", family_name="Ash")) == SHOWN_AT_MOST


letters = st.text("abcde", min_size=4, max_size=8)


@given(letters, st.integers(0, 7), st.sampled_from("abcde"))
def test_one_letter_more_less_or_other_is_one_slip_both_ways(name, at, letter):
    at = min(at, len(name) - 1)
    for slipped in (name[:at] + letter + name[at:], name[:at] + letter + name[at + 1 :]):
        if slipped != name:
            assert one_slip_apart(name, slipped)
            assert one_slip_apart(slipped, name)


@given(letters, letters)
def test_a_slip_is_what_the_distance_of_damerau_counts_as_one(one, other):
    # optimal string alignment, written out as its recurrence: an independent and slow way to the same answer
    rows = range(len(one) + 1)
    columns = range(len(other) + 1)
    distance = [[i + j if not i * j else 0 for j in columns] for i in rows]
    for i in rows[1:]:
        for j in columns[1:]:
            distance[i][j] = min(
                distance[i - 1][j] + 1,
                distance[i][j - 1] + 1,
                distance[i - 1][j - 1] + (one[i - 1] != other[j - 1]),
            )
            if i > 1 and j > 1 and one[i - 2 : i] == other[j - 2 : j][::-1]:
                distance[i][j] = min(distance[i][j], distance[i - 2][j - 2] + 1)
    assert one_slip_apart(one, other) == (distance[-1][-1] == 1)


def test_digits_are_no_slip():
    assert not one_slip_apart("ashdown 1", "ashdown 2")
