"""Hundreds of spoilt posts to every form: each is refused by a sentence or taken whole, and none breaks."""

import logging
import re
from itertools import product

import pytest
from django import forms
from django.db import transaction

from tests.mutated.answers import Answer
from tests.mutated.kept_rows import all_rows, changed, writes
from tests.mutated.mutations import ONE_IN, STRANGERS, spoilt
from tests.mutated.posts import posts_of
from tests.mutated.sending import look, send

ALL = 500
SHARES = 4  # of the forms, each a test of its own, for two processors
STORES_NOTHING = {
    "a base drawn",
    "a base with one more clip",
    "a base with usual clips",
    "signing in",
    "signing out",
    "a catalogue checked",
    "clients looked at in a file",
    "a maker's file looked at",
    "a maker's lines looked at",
    "a sale with one more",
    "a sale with one less",
    "a statement",
    "a shade read",
    "her hair read",
    "a stocktake begun while one is open",
}
ANSWERED_AT_ONCE = {
    "a base with one more clip",
    "a base with usual clips",
    "a catalogue checked",
    "clients looked at in a file",
    "a maker's file looked at",
    "a maker's lines looked at",
    "a maker's columns remembered",
    "a link for at home",
    "a sale with one more",
    "a sale with one less",
    "a statement",
    "washed, she tells by her own address",
}  # with a page that is shown this once
SHOWN = 12  # problems printed of one form
TYPED_INTO = (forms.TextInput, forms.Textarea, forms.NumberInput, forms.DateInput, forms.TimeInput)
SENTENCE = re.compile(r"[A-Z“].{6,}[.:?!]")


@pytest.fixture(autouse=True)
def quiet():
    """Refusals are logged by Django as warnings; hundreds of them are what is wanted here."""
    logging.disable(logging.CRITICAL)
    yield
    logging.disable(logging.NOTSET)


def test_every_form_takes_the_post_that_is_spoilt_below(scene, subtests):
    before = all_rows()
    for name, sent in posts_of(scene).items():
        with subtests.test(name), transaction.atomic():
            answer = Answer(send(scene, sent))
            stored = changed(before, all_rows())
            transaction.set_rollback(True)
            assert not answer.traceback
            assert not answer.is_refusal, answer.sentences
            assert answer.status == 302 or (answer.status == 200 and (sent.headers or name in ANSWERED_AT_ONCE))
            assert any(stored) or name in STORES_NOTHING


def test_what_no_form_asks_for_is_not_taken(scene):
    strangers = [(name, value) for name, value in STRANGERS if name not in ("", "\x00")]
    for form in ("my settings", "a client changed"):
        sent = posts_of(scene)[form]
        assert send(scene, sent.with_fields([*strangers, *sent.fields])).status_code == 302
    her, desk, reference = scene.staff["Stylist"], scene.new.created_by_id, scene.new.reference
    her.refresh_from_db()
    scene.new.refresh_from_db()
    assert (her.first_name, her.is_superuser, her.is_staff, her.groups.get().name) == ("Imke", False, False, "Stylist")
    assert (scene.new.given_name, scene.new.reference, scene.new.created_by_id) == ("Maren", reference, desk)
    assert scene.new.erased_at is None


EDGES_OF_TIME = {
    "9999-12-31": "23:30",
    "0001-01-01": "00:00",
    "2027-03-28": "01:30",  # left out when British clocks go forward
    "2027-10-31": "01:30",  # twice when they go back
}


def test_no_appointment_is_made_at_an_edge_of_time(scene, subtests):
    before, valid = all_rows(), posts_of(scene)
    for form, day in product(["booking", "moving"], EDGES_OF_TIME):
        with subtests.test(form=form, day=day):
            when = {"starts_on": day, "starts_time": EDGES_OF_TIME[day]}
            sent = valid[form]
            moved = sent.with_fields([(name, when.get(name, value)) for name, value in sent.fields])
            answer = Answer(send(scene, moved))
            assert not answer.traceback
            assert answer.errors
            assert not list(_not_said(answer))
            assert changed(before, all_rows()) == ([], [])


@pytest.mark.parametrize("share", range(SHARES))
def test_spoilt_posts_to_every_form(scene, subtests, share):
    before = all_rows()
    for name, valid in list(posts_of(scene).items())[share::SHARES]:
        with subtests.test(name):
            assert not problems(scene, name, valid, before, range(0, ALL, ONE_IN))


def problems(scene, name, valid, before, numbers):
    """What is wrong with the answers, a line each. `before` are the rows that every post finds: each is taken back."""
    found = []
    for number in numbers:
        sent = spoilt(valid, name, number, scene.others)
        with transaction.atomic(), writes() as written:
            answer = Answer(send(scene, sent))
            wrong = [*_wrong(answer, sent, before, written), *_not_shown_again(scene, sent, answer)]
            transaction.set_rollback(True)
        found += [f"{number}: {sentence}\n    {sent!r}" for sentence in wrong]
    for line in found[:SHOWN]:
        print(f"{name} {line}")  # noqa: T201  # read when the test fails
    return [f"{len(found)} of {len(numbers)} posts, {found[0]}"] if found else []


def _wrong(answer, sent, before, written):
    if answer.status >= 500:
        yield f"broke with {answer.status}: {answer.traceback}"
        return
    if answer.status not in {200, 302, 400, 403, 404, 405, 409, 413, 422}:
        yield f"answered {answer.status}"
    new, gone = changed(before, all_rows()) if written else ([], [])
    if answer.is_refusal:
        if new or gone:
            yield f"refused with {answer.status} {answer.sentences}, and yet wrote {new} and removed {gone}"
        yield from _not_said(answer)
        yield from _lost(answer)
    elif (
        not (new or gone or answer.raw.strip() or answer.is_file or "HX-Redirect" in answer.response)
        and answer.status == 200
    ):
        yield "answered with an empty page"
    for model, key in new:
        if not model.__name__.startswith("Historical") and not model._meta.auto_created:
            yield from _not_whole(model._base_manager.get(pk=key))
    for markup in ("<script>alert", "<img src=x", "<svg/onload"):
        if markup in answer.raw and "application/json" not in answer.response.get("Content-Type", ""):
            yield f"shows {markup} as it was typed"


def _not_said(answer):
    """A refusal is a sentence, and stands where it can be read."""
    told = answer.sentences
    if answer.status in {400, 403, 404, 405, 413} and not told:
        if answer.status != 405 and not SENTENCE.search(answer.text):
            yield f"answers {answer.status} without a sentence"
        return
    if not told:
        yield f"refuses with {answer.status} and says nothing"
    if answer.status == 302 or answer.response["Content-Type"] == "application/json":
        return
    page = " ".join(answer.text.split())
    for sentence in answer.errors:
        if " ".join(sentence.split()) not in page:
            yield f"does not show “{sentence[:200]}”"


def _lost(answer):
    """What was typed and refused stands in its field again."""
    page = " ".join(answer.text.split())
    for field in (field for form in answer.forms if form.errors for field in form.visible_fields()):
        typed = field.form.data.get(field.html_name)
        if not isinstance(field.field.widget, TYPED_INTO) or not typed or len(typed) > 240 or not typed.isprintable():
            continue
        if " ".join(typed.split()) not in page:
            yield f"lost “{typed}” in {field.html_name}"


def _not_shown_again(scene, sent, answer):
    """What was taken can be looked at."""
    if answer.status == 302 and sent.who != "nobody" and not answer.is_refusal:
        after = Answer(look(scene, sent.who, answer.response["Location"]))
        if after.status >= 500:
            yield f"took what breaks {answer.response['Location']}: {after.traceback}"


def _not_whole(row):
    try:
        row.full_clean()
    except Exception as refusal:  # whatever it is, the row should not be there
        yield f"stored {row._meta.label} that is refused now: {refusal}"
