"""Quick find: who is meant by what was typed at the door."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from hypothesis import given, settings
from hypothesis import strategies as st

from clients.models.search import reference_in
from clients.registering import change_client
from clients.searching import PAGE_LENGTH, find_clients
from salon.common.references import ALPHABET, new_reference
from tests.factories import ClientFactory, DeskFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def zoe():
    ClientFactory(given_name="Beatrix", family_name="Wren", phone="07700 900999")
    return ClientFactory(
        given_name="Zoë-Marie", family_name="Quill O’Dell", preferred_name="Bibi", phone="+44 7700 900123"
    )


@pytest.mark.parametrize(
    "typed",
    ["zoe", "ZOË", "mar", "qui", "odell", "o'd", "bib", "quill zo", "0123", "900123", "07700 900123", "+447700900123"],
)
def test_she_is_found_by(zoe, typed):
    assert find_clients(typed).clients == [zoe]


@pytest.mark.parametrize("typed", ["oe", "marz", "900124", "zoe 0999", "%", "_", "y%", "\\", "\x00", "zoe wren"])
def test_she_is_not_found_by(zoe, typed):
    assert find_clients(typed).clients == []


def test_a_reference_is_found_in_any_case_and_with_or_without_its_hyphen(zoe):
    for typed in (zoe.reference, zoe.reference.lower(), zoe.reference.replace("-", ""), f" {zoe.reference} "):
        assert find_clients(typed).clients == [zoe]


def test_a_slip_in_a_reference_is_said(zoe):
    last = zoe.reference[-1]
    slipped = zoe.reference[:-1] + ALPHABET[(ALPHABET.index(last) + 1) % len(ALPHABET)]
    found = find_clients(slipped)
    assert found.clients == []
    assert found.advice == (f"“{slipped}” has a slip in it: its last character does not fit the rest. Read it again.")


def test_what_was_not_found_is_said_with_what_to_type():
    assert find_clients("").advice == "No client is registered yet."
    ClientFactory()
    assert find_clients("Catherine").advice.startswith("No client matches “Catherine”. Type the beginning of each name")
    assert find_clients("C-7K2M9QAV").advice == "No client has the reference C-7K2M9QAV."
    assert find_clients("", page=2).advice == "There are no more clients; go back to the first page."


def test_a_reference_of_something_else_is_told_apart():

    reference = next(text for text in iter(lambda: new_reference("F"), None) if any(c.isdecimal() for c in text))
    assert find_clients(reference).advice == f"{reference} is no client's reference: those begin with C."


def test_a_long_name_that_could_be_a_reference_is_still_found():
    # a prefix of one letter and eight more: some such names have a fitting check character (ISO/IEC 7064 MOD 37,36)

    name = next(
        name for name in ("Canabar" + a + b for a in "abcdefghjkm" for b in "abcdefghjkm") if reference_in(name)
    )
    client = ClientFactory(family_name=name)
    assert find_clients(name).clients == [client]


def test_after_a_change_the_new_name_finds_her_and_the_old_one_does_not(zoe):
    change_client(client=zoe, by=DeskFactory(), family_name="Thistlewood")
    assert find_clients("thi").clients == [zoe]
    assert find_clients("odell").clients == []
    assert find_clients("zoe").clients == [zoe]


def test_clients_come_by_name_and_in_pages():
    for number in range(PAGE_LENGTH + 2):
        ClientFactory(given_name="Ada", family_name=f"Ash {chr(122 - number % 26)}{number:02d}")
    first, second = find_clients("ada"), find_clients("ada", page=2)
    names = [client.family_folded for client in first.clients + second.clients]
    assert names == sorted(names)
    assert len(first.clients) == PAGE_LENGTH
    assert first.has_more
    assert len(second.clients) == 2
    assert not second.has_more


def test_one_query_answers_however_many_clients_there_are(zoe):
    for typed in ("", "zoe", "zoe qui 0123", zoe.reference):
        with CaptureQueriesContext(connection) as queries:
            find_clients(typed)
        assert len(queries) == 1


@settings(max_examples=20)
@given(st.text(max_size=80))
def test_any_text_at_all_is_answered(typed):
    find_clients(typed)
