"""The pages of house numbers: by subject, what was typed kept, two pages open at once, the history and the way back."""

from html import unescape

import pytest
from django.urls import reverse

from fittings.house_numbers import ALL_NUMBERS, start_numbers
from fittings.house_rules.changes import changes_of
from fittings.house_rules.number_typed import as_typed, in_readers_units, number_typed
from fittings.keeping_house_rules import keep_house_rules
from fittings.models import HouseRule
from tests.factories import DeskFactory, OwnerFactory, StylistFactory

pytestmark = pytest.mark.django_db
PAGE = "/house-rules/"


@pytest.fixture
def owner(client):
    client.force_login(OwnerFactory())
    return client


def as_shown(page):
    """What the page would send if nothing were typed."""
    asked = page.context["form"].asked.values()
    return {one.info.key: one.typed for one in asked} | {f"shown_{one.info.key}": one.shown for one in asked}


def text(page):
    return unescape(page.content.decode())


def changed_by_another(**values):
    keep_house_rules(values=values, shown=HouseRule.objects.current(), by=OwnerFactory())


def test_every_number_has_a_field_its_bounds_its_start_and_its_source(owner):
    page = text(owner.get(PAGE))
    for key, info in ALL_NUMBERS.items():
        assert f'name="{key}"' in page
        assert f'name="shown_{key}"' in page
        assert f"may be {info.low:g} to {info.high:g}" in page


def test_saving_what_was_shown_changes_nothing(owner):
    saved = owner.post(PAGE, as_shown(owner.get(PAGE)), follow=True)
    assert "Nothing was changed." in text(saved)
    assert not HouseRule.objects.exists()


def test_saving_tells_what_changed(owner):
    saved = owner.post(PAGE, as_shown(owner.get(PAGE)) | {"margin_mm": "15", "hair_warm_c": "365 °F"}, follow=True)
    assert "Saved. Base reaches past the thinning on every side by: 13 → 15 mm." in text(saved)
    assert HouseRule.objects.current() == start_numbers() | {"margin_mm": 15, "hair_warm_c": 185}
    assert changes_of("margin_mm")[0].by is not None


def test_a_bad_number_is_named_beside_its_field_and_nothing_typed_is_lost(owner):
    typed = as_shown(owner.get(PAGE)) | {"margin_mm": "a thumb", "set_back_mm": "11", "band_close": "99"}
    page = text(owner.post(PAGE, typed))
    assert "“a thumb” is not a length" in page
    assert 'value="a thumb"' in page
    assert 'value="11"' in page
    assert not HouseRule.objects.exists()
    page = text(owner.post(PAGE, typed | {"margin_mm": "14"}))
    assert "Give 0 to 20 ΔE00, not 99." in page
    assert 'value="14"' in page


def test_of_two_pages_open_the_later_save_shows_both_values_and_undoes_nothing(owner):
    mine = as_shown(owner.get(PAGE))
    changed_by_another(margin_mm=15, clips_needed=4)
    refused = owner.post(PAGE, mine | {"margin_mm": "14", "set_back_mm": "11"})
    assert "Meanwhile this was changed from 13 to 15; you wrote 14. Save again to keep yours." in text(refused)
    assert HouseRule.objects.current() == start_numbers() | {"margin_mm": 15, "clips_needed": 4}
    owner.post(PAGE, as_shown(refused))
    assert HouseRule.objects.current() == start_numbers() | {"margin_mm": 14, "set_back_mm": 11, "clips_needed": 4}


def test_a_slip_elsewhere_does_not_bring_an_old_number_back(owner):
    mine = as_shown(owner.get(PAGE))
    changed_by_another(margin_mm=15)
    refused = owner.post(PAGE, mine | {"set_back_mm": "far"})
    owner.post(PAGE, as_shown(refused) | {"set_back_mm": "11"})
    assert HouseRule.objects.current() == start_numbers() | {"margin_mm": 15, "set_back_mm": 11}


@pytest.mark.parametrize("shown", [None, "", "nan", "soon", "1e400"])
def test_a_page_sent_without_what_it_showed_stores_nothing(owner, shown):
    sent = as_shown(owner.get(PAGE)) | {"margin_mm": "15"}
    if shown is None:
        del sent["shown_margin_mm"]
    else:
        sent["shown_margin_mm"] = shown
    assert "sent without what it showed here" in text(owner.post(PAGE, sent))
    assert not HouseRule.objects.exists()


def test_the_history_of_a_number_says_who_and_leads_back(owner):
    changed_by_another(margin_mm=15)
    changed_by_another(margin_mm=17)
    address = reverse("house-rule", args=["margin_mm"])
    page = text(owner.get(address))
    assert "Now 17 mm" in page
    assert "13 → 15 mm, by Odile" in page
    assert "cover-margin" in page
    back = reverse("house-rule-back", args=["margin_mm"])
    earlier = changes_of("margin_mm")[-1].pk
    assert "17 → 15 mm" in text(owner.post(back, {"to": earlier, "shown": "17"}, follow=True))
    assert "15 → 13 mm" in text(owner.post(back, {"to": "start", "shown": "15"}, follow=True))
    assert len(changes_of("margin_mm")) == 4


@pytest.mark.parametrize("to", ["", "soon", "-1", "9" * 40, "start"])
def test_a_way_back_that_leads_nowhere_or_comes_too_late_is_refused_in_words(owner, to):
    changed_by_another(margin_mm=15)
    back = reverse("house-rule-back", args=["margin_mm"])
    page = text(owner.post(back, {"to": to, "shown": "17"}, follow=True))
    assert any(words in page for words in ("Choose from the history", "no such entry", "Meanwhile"))
    assert HouseRule.objects.current()["margin_mm"] == 15


def test_a_stylist_reads_the_history_and_changes_nothing(client):
    client.force_login(StylistFactory())
    changed_by_another(margin_mm=15)
    page = text(client.get(reverse("house-rule", args=["margin_mm"])))
    assert "by Odile" in page
    assert "Back to" not in page
    back = reverse("house-rule-back", args=["margin_mm"])
    assert client.post(back, {"to": "start", "shown": "15"}).status_code == 403
    assert client.post(PAGE, {"margin_mm": "1"}).status_code == 403
    assert HouseRule.objects.current()["margin_mm"] == 15


def test_a_number_nobody_knows_has_no_page(owner):
    assert owner.get(reverse("house-rule", args=["margin"])).status_code == 404
    assert owner.post(reverse("house-rule-back", args=["margin"])).status_code == 404


def test_a_reader_of_inches_sees_them_beside_the_number(client):
    client.force_login(OwnerFactory(units="imperial"))
    page = text(client.get(PAGE))
    assert "Now ½ in" in page
    assert "(356 °F)" in page


@pytest.mark.parametrize(
    ("key", "typed", "number"),
    [
        ("margin_mm", "13", 13),
        ("margin_mm", "13,5", 13.5),
        ("margin_mm", "13 mm", 13),
        ("margin_mm", "1 cm", 10),
        ("margin_mm", "½ in", 12.7),
        ("hair_warm_c", "180", 180),
        ("hair_warm_c", "356 °F", 180),
        ("clip_hold_percent", "40 %", 40),
    ],
)
def test_a_number_is_read_as_it_is_written(key, typed, number):
    assert number_typed(typed, ALL_NUMBERS[key]) == pytest.approx(number)


@pytest.mark.parametrize("value", [13.0, 0.1, 12.7, 1 / 3, 1234567.25])
def test_what_a_field_shows_is_read_back_as_the_same_number(value):
    assert float(as_typed(value)) == value


def test_inches_are_told_only_to_who_reads_them():
    assert in_readers_units(13, "mm", "imperial") == "½ in"
    assert in_readers_units(13, "mm", "metric") == ""
    assert in_readers_units(40, "%", "imperial") == ""


def test_the_desk_sees_none_of_it(client):
    client.force_login(DeskFactory())
    for address in (PAGE, reverse("rules"), reverse("house-rule", args=["margin_mm"])):
        assert client.get(address).status_code == 403


def test_the_pages_take_the_same_queries_for_one_change_as_for_six(owner, queries_for):
    pages = [PAGE, reverse("house-rule", args=["margin_mm"])]
    changed_by_another(margin_mm=14)
    few = [queries_for(page) for page in pages]
    for value in (15, 16, 14, 15, 16):
        changed_by_another(margin_mm=value)
    assert [queries_for(page) for page in pages] == few
