"""Every address of the site, with anything in it and behind it: a page or a sentence, never a failure of ours."""

import logging
import random

import pytest
from django.urls import reverse

from tests.mutated.addresses import arguments_of, names_asked_for, names_of_addresses
from tests.mutated.answers import Answer
from tests.mutated.kept_rows import all_rows, changed
from tests.mutated.mutations import ONE_IN, VALUES
from tests.mutated.posts import posts_of
from tests.mutated.sending import encoded
from tests.mutated.test_mutated_posts import SENTENCE

LONGEST = 4000  # characters of an answer in an address; web servers take no longer ones
BROKEN = ["%", "%zz", "&&=&", "a=1&" * 2000, "q=%ff%fe", "q=%ed%a0%80", ";", "?", "page=1&page=x", "q[]=1", "\x7f"]
PAPERS = ["consult-summary-pdf", "client-consents-paper", "care-sheet", "service-record", "own-hair-record"]
SLOW = dict.fromkeys([*PAPERS, "skin-test-record", "client-record"], 12)
ROLE = "Owner"  # who may open every page


@pytest.fixture(autouse=True)
def quiet():
    """Pages that are not there are logged as warnings; here they are looked for."""
    logging.disable(logging.CRITICAL)
    yield
    logging.disable(logging.NOTSET)


@pytest.fixture
def get(scene):
    def answer_to(path, query=""):
        return Answer(scene.browsers[ROLE].generic("GET", path, QUERY_STRING=query))

    return answer_to


def test_every_address_of_the_site_is_tried(scene):
    assert set(arguments_of(scene)) == names_of_addresses()


def test_every_address_that_takes_posts_is_sent_spoilt_ones(scene):
    taking = set()
    for name, arguments in arguments_of(scene).items():
        who = "nobody" if name == "sign-in" else ROLE
        if scene.browsers[who].post(reverse(name, args=arguments)).status_code != 405:
            taking.add(name)
        if name in {"sign-out", "intake-hand-over"}:
            scene.browsers[ROLE].force_login(scene.staff[ROLE])
    assert taking == {sent.name for sent in posts_of(scene).values()}


def test_other_methods_change_nothing(scene):
    before = all_rows()
    for name, arguments in arguments_of(scene).items():
        for method in ("PUT", "DELETE", "TRACE"):
            answer = Answer(scene.browsers[ROLE].generic(method, reverse(name, args=arguments)))
            assert answer.status in {302, 405}, f"{method} {name}"
    assert changed(before, all_rows()) == ([], [])


@pytest.mark.slow  # every page is drawn whole for it, the papers too
def test_asking_for_the_head_of_a_page_changes_nothing(scene):
    before = all_rows()
    for name, arguments in arguments_of(scene).items():
        answer = Answer(scene.browsers[ROLE].generic("HEAD", reverse(name, args=arguments)))
        assert answer.status in {200, 302, 405}, name
    assert changed(before, all_rows()) == ([], [])


def test_spoilt_questions_to_every_page(scene, get, subtests):
    for name in arguments_of(scene):
        with subtests.test(name):
            assert not problems(scene, get, name)


def questions(scene, name):
    """Every spoilt value under half of all names that a page may read, and questions that are none.

    They are written out one by one when they are sent: writing all of them takes longer than what a fiftieth does."""
    dice = random.Random(name)
    for value in [*BROKEN, *(value[:LONGEST] for values in VALUES.values() for value in values), *scene.others]:
        asked = [(one, value) for one in names_asked_for() if dice.random() < 0.5]
        if dice.random() < 0.5:  # who is asked for first: without her the rest is not read
            asked = [("client", scene.new.reference), *((one, value) for one, value in asked if one != "client")]
        yield value, asked


def problems(scene, get, name):
    path, found = reverse(name, args=arguments_of(scene)[name]), []
    for value, asked in list(questions(scene, name))[:: SLOW.get(name, 1) * ONE_IN]:
        query = value if value in BROKEN else encoded(asked)
        answer = get(path, query)
        if answer.status >= 500:
            found.append(f"{answer.status}: {path}?{query[:200]}: {answer.traceback}")
        elif answer.status in {400, 403, 404} and not SENTENCE.search(answer.text):
            found.append(f"{answer.status} without a sentence: {path}?{query[:200]}")
        if "<script>alert" in answer.raw:
            found.append(f"shows a script as it was typed: {path}?{query[:200]}")
    for line in found[:12]:
        print(name, line)  # noqa: T201  # read when the test fails
    return found[:1]
