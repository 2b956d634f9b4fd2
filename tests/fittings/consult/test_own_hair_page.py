"""Colour readings: typed from an instrument or read by eye against the ring, and kept as they were taken."""

import pytest

from fittings.house_numbers import start_numbers
from tests.pieces.factories import ShadeFactory

pytestmark = pytest.mark.django_db


def readings_of(visit):
    return {reading.zone: reading for reading in visit.assessment.readings.all()}


def errors_of(response):
    return response.json()["errors"]


def as_shown(page, **typed):
    form = page.context["form"]
    shown = {name: form[name].value() for name in form.fields if name not in ("revision", "base")}
    return {name: value for name, value in (shown | typed).items() if value not in (None, "")}


def test_an_instruments_reading_is_stored_with_a_doubt(step, visit):
    typed = {
        "root_l": "25,4",
        "root_a": "5.5",
        "root_b": "−1",
        "ends_l": "30",
        "ends_a": "6",
        "ends_b": "9",
        "ends_doubt": "1",
    }
    assert step("own-hair", typed).status_code == 302
    read = readings_of(visit)
    assert (read["root"].lab, read["root"].doubt, read["root"].method) == (
        (25.4, 5.5, -1.0),
        start_numbers()["instrument_doubt"],
        "instrument",
    )
    assert (read["ends"].doubt, read["ends"].routine_version) == (1.0, "instrument-1")
    assert "mid" not in read


def test_half_a_reading_says_what_is_still_to_come_and_stores_nothing(step, visit):
    refused = step("own-hair", {"thickness": "fine", "mid_l": "24"}, by_itself=True)
    assert errors_of(refused) == {"div_id_mid_l": ["Mid-length: a* and b* still to come; a reading has all three."]}
    visit.assessment.refresh_from_db()
    assert visit.assessment.thickness == ""
    assert "div_id_root_l" in errors_of(step("own-hair", {"root_doubt": "2"}, by_itself=True))


def test_by_eye_the_reading_is_the_shades_own_value_at_that_zone(step, visit):
    shade = ShadeFactory(code="walnut-9")
    step("own-hair", {"ring_root": shade.pk, "ring_ends": shade.pk, "light": "Daylight lamp"})
    read = readings_of(visit)
    assert read["root"].lab == shade.lab()["root"]
    assert read["ends"].lab == shade.lab()["ends"]
    assert (read["root"].method, read["root"].doubt, read["root"].light) == (
        "by eye",
        start_numbers()["by_eye_doubt"],
        "Daylight lamp",
    )
    assert read["root"].shade_label == "walnut-9 Deep warm brown (Marrowick Atelier)"


def test_the_light_may_be_said_later_and_does_not_read_anew(step, visit):
    shade = ShadeFactory()
    step("own-hair", {"ring_root": shade.pk})
    taken = readings_of(visit)["root"].lab
    type(shade).objects.update(root_l=60)
    step("own-hair", as_shown(step("own-hair"), light="Warm lamp"))
    read = readings_of(visit)["root"]
    assert (read.lab, read.light) == (taken, "Warm lamp")


def test_a_shade_that_was_not_measured_is_not_in_the_ring(step, visit):
    shade = ShadeFactory(unmeasured=True)
    refused = step("own-hair", {"ring_root": shade.pk}, by_itself=True)
    assert errors_of(refused) == {"div_id_ring_root": ["Choose one of those shown."]}
    assert "No shade of the salon has been measured yet" in step("own-hair").content.decode()


def test_typed_and_chosen_at_once_is_refused(step, visit):
    shade = ShadeFactory()
    typed = {"root_l": "25", "root_a": "5", "root_b": "9", "ring_root": shade.pk}
    assert "Keep one" in errors_of(step("own-hair", typed, by_itself=True))["div_id_root_l"][0]


def test_a_reading_outlives_its_shade_until_it_is_taken_back(step, visit):
    shade = ShadeFactory(code="walnut-9")
    step("own-hair", {"ring_root": shade.pk})
    type(shade).objects.update(code="walnut-10")
    page = step("own-hair")
    assert "Roots as walnut-9 Deep warm brown (Marrowick Atelier), no longer in the ring" in page.content.decode()
    step("own-hair", as_shown(page, thickness="fine"))
    assert readings_of(visit)["root"].shade_label.startswith("walnut-9")
    step("own-hair", as_shown(step("own-hair"), ring_root=""))
    assert readings_of(visit) == {}


def test_the_ring_goes_from_dark_to_light_and_costs_one_query(step, visit, django_assert_num_queries):
    for lightness in (60.0, 20.0, 40.0):
        ShadeFactory(mid_l=lightness, name=f"At {lightness:.0f}")
    html = step("own-hair").content.decode()
    assert html.index("At 20") < html.index("At 40") < html.index("At 60")
    form = step("own-hair").context["form"]
    del form.ring
    with django_assert_num_queries(1):
        assert len(form.ring_rows) == 3
