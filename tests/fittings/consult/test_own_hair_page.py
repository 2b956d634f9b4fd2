"""Colour readings: typed from an instrument, read by eye from the ring or from a photo, and kept as they were taken."""

import pytest
from django.urls import reverse
from django.utils.timezone import now

from clients.assessing import save_own_hair
from clients.consenting import give_consent
from fittings.consult.photo_reading import REGIONS, read_hair
from fittings.house_numbers import start_numbers
from fittings.photos.filing import begin_photo_set
from salon.colour.marks import marks_from_json
from salon.models import Salon
from tests.clients.factories import PhotoFactory
from tests.pieces.factories import ShadeFactory, ShadeReadingFactory
from tests.salon.colour.synthetic_cameras import take_picture

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


def test_the_ring_goes_from_dark_to_light_and_costs_two_queries(step, visit, django_assert_num_queries):
    for lightness in (60.0, 20.0, 40.0):
        ShadeFactory(mid_l=lightness, name=f"At {lightness:.0f}")
    html = step("own-hair").content.decode()
    assert html.index("At 20") < html.index("At 40") < html.index("At 60")
    form = step("own-hair").context["form"]
    del form.ring
    with django_assert_num_queries(2):
        assert len(form.ring_rows) == 3


def test_a_shade_that_only_photos_measured_is_in_the_ring_with_that_value_and_its_scale(step, visit):
    ShadeFactory.create_batch(2)
    read = ShadeReadingFactory(shade=ShadeFactory(code="hazel-3", unmeasured=True), lightness=44.0)
    html = step("own-hair").content.decode()
    assert "hazel-3, Marrowick Atelier, measured by photos with the grey card" in html
    step("own-hair", {"ring_root": read.shade.pk})
    found = readings_of(visit)["root"]
    assert (found.lab, found.scale, found.method) == ((44.0, 6.0, 10.0), "card-1", "by eye")
    step("own-hair", as_shown(step("own-hair"), light="Warm lamp"))
    assert (readings_of(visit)["root"].scale, readings_of(visit)["root"].light) == ("card-1", "Warm lamp")


def test_the_ring_is_told_by_the_way_that_most_of_its_shades_were_measured_in(step, visit):
    both = ShadeFactory(code="walnut-9")
    ShadeReadingFactory(shade=both, lightness=41.0)
    ShadeReadingFactory(shade=ShadeFactory(unmeasured=True), lightness=20.0)
    assert "measured by" not in step("own-hair").content.decode()
    step("own-hair", {"ring_mid": both.pk})
    assert (readings_of(visit)["mid"].lab[0], readings_of(visit)["mid"].scale) == (41.0, "card-1")


# What photos read


@pytest.fixture(scope="module")
def picture():
    return take_picture(7, hair={"root": (24.0, 5.0, 9.0), "mid": (27.0, 6.0, 11.0), "ends": (34.0, 8.0, 16.0)})


@pytest.fixture
def by_photo(visit, picture):
    """Roots and ends read from a photo, as if kept from its page."""
    give_consent(client=visit.client, kind="photos", signed_name="Ada Fenwick", by=visit.stylist, at=now())
    photo_set = begin_photo_set(client=visit.client, moment="own hair", by=visit.stylist, at=now())
    photo = PhotoFactory(photo_set=photo_set, angle="colour", picture=picture.jpeg, by=visit.stylist)
    read = read_hair(photo, marks_from_json(picture.with_card, regions=REGIONS), Salon.objects.default())
    kept = {zone: read.taken[zone] for zone in ("root", "ends")}
    save_own_hair(assessment=visit.assessment, revision=0, by=visit.stylist, readings=kept)
    return readings_of(visit)


def test_what_a_photo_read_is_shown_and_stays_when_other_things_are_saved(step, visit, by_photo):
    page = step("own-hair")
    html = page.content.decode()
    assert "Photo with the grey card" in html
    assert reverse("reading-marks", args=[visit.reference, by_photo["root"].photo.reference]) in html
    shade = ShadeFactory()
    assert step("own-hair", as_shown(page, thickness="fine", ring_mid=shade.pk)).status_code == 302
    read = readings_of(visit)
    assert (read["root"].pk, read["ends"].pk) == (by_photo["root"].pk, by_photo["ends"].pk)
    assert read["mid"].method == "by eye"


def test_what_a_photo_read_is_taken_back_by_one_tick(step, visit, by_photo):
    tick = {"take_back_root": by_photo["root"].pk}
    answer = step("own-hair", as_shown(step("own-hair"), **tick), by_itself=True).json()
    assert answer["outcome"] == "saved"
    assert 'name="take_back_ends"' in answer["beside"]
    assert 'name="take_back_root"' not in answer["beside"]
    assert readings_of(visit).keys() == {"ends"}
    again = step("own-hair", as_shown(step("own-hair"), **tick), by_itself=True).json()
    assert again["outcome"] == "saved", "what is gone already is no mistake"


def test_another_reading_over_one_from_a_photo_waits_until_that_is_taken_back(step, visit, by_photo):
    shade = ShadeFactory()
    page = step("own-hair")
    refused = step("own-hair", as_shown(page, ring_root=shade.pk), by_itself=True)
    assert errors_of(refused) == {
        "div_id_root_l": ["Roots: read from a photo already. Take that reading back first, or keep it."]
    }
    assert readings_of(visit)["root"].method == "card"
    typed = as_shown(page, root_l="25", root_a="5", root_b="9", take_back_root=by_photo["root"].pk)
    assert step("own-hair", typed).status_code == 302
    assert readings_of(visit)["root"].method == "instrument"


def test_without_her_photo_consent_the_card_asks_for_it(step, visit):
    html = step("own-hair").content.decode()
    assert "Photos need her consent." in html
    assert reverse("client-consents", args=[visit.client.reference]) in html
    assert reverse("reading-photos", args=[visit.reference]) not in html
