"""Quick find: who is meant by what was typed at the door."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from hypothesis import given, settings
from hypothesis import strategies as st

from clients.models import Client
from clients.models.finding import FIRST_READ
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
        given_name="Zoë-Marie",
        family_name="Quillberg O’Dell",
        preferred_name="Bibi",
        phone="+44 7700 900123",
        email="zoe.tea@weir-lane.example",
    )


@pytest.mark.parametrize("typed", ["zoe", "ZOË", "z", "mar", "qui", "odell", "o'd", "bib", "quill zo", "zoe zo"])
def test_she_is_found_by_the_beginnings_of_her_names(zoe, typed):
    assert find_clients(typed).clients == [zoe]


@pytest.mark.parametrize("typed", ["berg", "arie", "ibi", "ber zoe", "dell uill"])
def test_she_is_found_by_three_letters_within_her_names(zoe, typed):
    assert find_clients(typed).clients == [zoe]


@pytest.mark.parametrize("typed", ["23", "0123", "900123", "07700 900123", "+447700900123", "0012", "4477", "zo 0123"])
def test_she_is_found_by_the_end_of_her_number_or_four_digits_of_it(zoe, typed):
    assert find_clients(typed).clients == [zoe]


@pytest.mark.parametrize(
    "typed", ["zoe.tea", "zoe.tea@we", "ZOË.TEA@weir-lane.example", "@weir", "weir-lane", "weir-lane.ex", "zo @weir"]
)
def test_she_is_found_by_the_beginning_of_her_address_or_of_its_domain(zoe, typed):
    assert find_clients(typed).clients == [zoe]


@pytest.mark.parametrize(
    "typed",
    ["oe", "marz", "er", "700", "900124", "zoe 0999", "lane.example", "%", "_", "y%", "\\", "\x00", "zoe wren", "@"],
)
def test_she_is_not_found_by(zoe, typed):
    assert find_clients(typed).clients == []


def test_names_that_begin_so_come_before_those_that_hold_it():
    lind = ClientFactory(given_name="Ada", family_name="Lindenberg")
    berger = ClientFactory(given_name="Zoë", family_name="Berger")
    berg = ClientFactory(given_name="Zoë", family_name="Berg")
    early = ClientFactory(given_name="Berg", family_name="Ash")
    assert find_clients("berg").clients == [early, berg, berger, lind]


def test_somebody_with_two_such_words_is_listed_once():
    anna = ClientFactory(given_name="Anna", family_name="Hannanna")
    assert find_clients("ann").clients == [anna]
    assert find_clients("anna anna").clients == [anna]


def test_a_reference_is_found_while_it_is_typed(zoe):
    other = ClientFactory()
    typed = zoe.reference[
        : 2 + next(n for n in range(8) if zoe.reference[2:][: n + 1] != other.reference[2:][: n + 1]) + 1
    ]
    assert zoe in find_clients(typed).clients


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


def test_the_queries_do_not_grow_with_the_clients(zoe):
    def queries():
        for typed in ("", "zoe", "zoe qui 0123", zoe.reference, "weir.lane"):
            with CaptureQueriesContext(connection) as found:
                find_clients(typed)
            yield len(found)

    few = list(queries())
    for number in range(FIRST_READ + 5):
        ClientFactory(given_name="Zoë", family_name=f"Quill {number}", phone=f"07700 {number:02d}0123")
    many = list(queries())
    assert all(after <= before for before, after in zip(few, many, strict=True)), (few, many)


def test_walking_further_than_one_reading_finds_each_once(monkeypatch):
    monkeypatch.setattr("clients.models.finding.FIRST_READ", 4)
    monkeypatch.setattr("clients.models.finding.TIMES", 2)
    monkeypatch.setattr("clients.models.finding.COUNTED", 2)
    wanted = {ClientFactory(given_name="Anna", family_name=f"Annis {letter}nnan") for letter in "abcdefghij"}
    for typed in ("ann", "ann nna", "anna annis"):
        found = Client.objects.found_by(typed)[:100]
        assert len(found) == 10
        assert set(found) == wanted
        assert Client.objects.found_by(typed)[3:7] == found[3:7]


@settings(max_examples=20)
@given(st.text(max_size=80))
def test_any_text_at_all_is_answered(typed):
    find_clients(typed)
