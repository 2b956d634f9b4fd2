"""Keeping house numbers: all or none, in bounds and in order, never over somebody else's change, and back again."""

import pytest
from django.core.exceptions import ValidationError

from fittings.house_numbers import ALL_NUMBERS, start_numbers
from fittings.house_rules.changes import changes_of, newest_changes
from fittings.house_rules.subjects import SUBJECTS
from fittings.keeping_house_rules import IN_ORDER, keep_house_rules, put_back
from fittings.models import HouseRule
from salon.colour.bands import BandLimits
from tests.factories import OwnerFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner():
    return OwnerFactory()


def keep(by, shown=None, **values):
    return keep_house_rules(values=values, shown=start_numbers() | (shown or {}), by=by)


def refusal_of(by, shown=None, **values):
    with pytest.raises(ValidationError) as refused:
        keep(by, shown, **values)
    return {key: " ".join(sentences) for key, sentences in refused.value.message_dict.items()}


def test_what_changed_is_told_and_kept_with_who_and_when(owner):
    (change,) = keep(owner, margin_mm=15, set_back_mm=13)
    assert str(change) == "Base reaches past the thinning on every side by: 13 → 15 mm"
    assert HouseRule.objects.current() == start_numbers() | {"margin_mm": 15}
    (kept,) = changes_of("margin_mm")
    assert (kept.was, kept.now, kept.by) == (13, 15, owner)
    assert changes_of("set_back_mm") == []


def test_one_bad_number_keeps_all_the_others_from_being_stored(owner):
    assert refusal_of(owner, margin_mm=9000, set_back_mm=11) == {"margin_mm": "Give 0 to 50 mm, not 9000."}
    assert not HouseRule.objects.exists()


def test_a_number_that_was_only_shown_does_not_undo_what_somebody_else_changed(owner):
    keep(OwnerFactory(), margin_mm=15)
    keep(owner, margin_mm=13, set_back_mm=11)  # her page still showed 13 and she left it
    assert HouseRule.objects.current()["margin_mm"] == 15
    assert HouseRule.objects.current()["set_back_mm"] == 11


def test_the_later_of_two_changes_is_refused_with_both_values_until_it_is_meant(owner):
    keep(OwnerFactory(), margin_mm=15)
    assert refusal_of(owner, margin_mm=14, set_back_mm=11) == {
        "margin_mm": "Meanwhile this was changed from 13 to 15; you wrote 14. Save again to keep yours."
    }
    assert "set_back_mm" not in dict(HouseRule.objects.filter(value=11).values_list("key", "value"))
    keep(owner, {"margin_mm": 15}, margin_mm=14)
    assert HouseRule.objects.current()["margin_mm"] == 14


def test_two_who_wrote_the_same_agree(owner):
    keep(OwnerFactory(), margin_mm=15)
    assert keep(owner, margin_mm=15) == []
    assert len(changes_of("margin_mm")) == 1


@pytest.mark.parametrize(
    ("values", "key", "words"),
    [
        ({"band_close": 7}, "band_close", "must be above “Colour difference that is close: up to” (7)"),
        ({"band_shows": 4}, "band_shows", "must be above"),
        ({"clips_medium": 7}, "clips_medium", "must be at least “Clips on a medium base: at least” (7)"),
        ({"coloured_hair_warm_c": 190}, "coloured_hair_warm_c", "must be at least"),
        ({"band_disappears": 0}, "band_disappears", "Give above 0 to 20"),
    ],
)
def test_numbers_that_only_make_sense_in_order_are_kept_in_order(owner, values, key, words):
    assert words in refusal_of(owner, **values)[key]
    assert not HouseRule.objects.exists()


def test_neighbours_that_move_together_are_taken(owner):
    keep(owner, band_disappears=5, band_close=6, band_shows=7)
    now = HouseRule.objects.current()
    assert BandLimits(now["band_disappears"], now["band_close"], now["band_shows"])


def test_the_order_holds_against_what_was_changed_meanwhile(owner):
    keep(OwnerFactory(), band_disappears=3.5)
    assert "must be above" in refusal_of(owner, band_close=3)["band_close"]


def test_the_way_back_is_a_change_of_its_own(owner):
    keep(owner, margin_mm=15)
    keep(owner, {"margin_mm": 15}, margin_mm=17)
    first = changes_of("margin_mm")[-1]
    put_back(key="margin_mm", to=first.pk, shown=17, by=owner)
    put_back(key="margin_mm", to=None, shown=15, by=owner)
    assert [(one.was, one.now) for one in changes_of("margin_mm")] == [(15, 13), (17, 15), (15, 17), (13, 15)]
    assert newest_changes()["margin_mm"].value == HouseRule.objects.current()["margin_mm"] == 13


def test_the_way_back_is_refused_for_another_numbers_entry_and_for_a_page_of_before(owner):
    keep(owner, margin_mm=15, set_back_mm=11)
    others = changes_of("set_back_mm")[0].pk
    with pytest.raises(ValidationError, match="no such entry"):
        put_back(key="margin_mm", to=others, shown=15, by=owner)
    with pytest.raises(ValidationError, match="Meanwhile this was changed from 17 to 15; you wrote 13"):
        put_back(key="margin_mm", to=None, shown=17, by=owner)


def test_every_number_stands_under_one_subject():
    listed = [info.key for subject in SUBJECTS for info in subject.numbers]
    assert sorted(listed) == sorted(ALL_NUMBERS)
    assert all(set(chain) <= set(ALL_NUMBERS) for _, chain in IN_ORDER)
