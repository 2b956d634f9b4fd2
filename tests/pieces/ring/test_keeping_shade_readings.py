"""Keeping what a photo read of shades: a row each, the newest counts, older ones stay, the same marks keep one."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from unittest.mock import patch

import pytest
from django.core.exceptions import ValidationError

from pieces.models import ShadeReading
from pieces.ring.keeping import keep_shade_readings
from pieces.ring.reading import Pictured, read_shades
from salon.colour.marks import marks_from_json
from salon.colour.matching import Reading, ZoneWeights, match_shades
from salon.colour.reading import ROUTINES
from salon.models import Salon
from tests.factories import StylistFactory
from tests.pieces.factories import RingPhotoFactory, ShadeFactory
from tests.pieces.ring.ring_pictures import one_shade, pixels_in, row_marks, row_of_swatches

pytestmark = pytest.mark.django_db

AT = datetime(2026, 3, 14, 10, 30, tzinfo=UTC)
LATER = AT + timedelta(days=30)


@pytest.fixture
def picture():
    return one_shade()


@pytest.fixture
def photo(picture):
    return RingPhotoFactory(jpeg=picture.jpeg)


@pytest.fixture
def shade():
    return ShadeFactory(unmeasured=True)


def keep(photo, picture, shade, *, marks=None, salon=None, at=AT, by=None):
    pictured = Pictured((shade,), is_row=False)
    placed = marks_from_json(marks or picture.with_card, regions=pictured.regions)
    read = read_shades(pictured, pixels=pixels_in(picture.jpeg), marks=placed, salon=salon or Salon())
    return keep_shade_readings(
        photo=photo, read={one.shade: one for one in read.shades}, by=by or photo.taken_by, at=at
    )


def test_a_reading_keeps_its_colours_doubt_routine_photo_and_reader(photo, picture, shade):
    stylist = StylistFactory()
    (kept,) = keep(photo, picture, shade, by=stylist)
    kept.refresh_from_db()
    assert (kept.shade, kept.photo, kept.read_by, kept.read_at) == (shade, photo, stylist, AT)
    assert (kept.method, kept.routine_version) == ("card", "card-1")
    regions = kept.details["regions"]
    assert kept.lab() == {zone: tuple(regions[zone]["lab"]) for zone in ("root", "mid", "ends")}
    assert kept.doubt == max(region["doubt"] for region in regions.values())
    assert kept.details["setting"] == {"card_reflectance_percent": 18.0}
    assert len(kept.details["marks"]["spots"]["root"]) == 3
    assert shade.colours() == {"card-1": kept.lab()}


def test_the_same_marks_twice_keep_one_row(photo, picture, shade):
    first = keep(photo, picture, shade)
    assert keep(photo, picture, shade, at=LATER) == first
    assert ShadeReading.objects.count() == 1


def test_other_marks_keep_another_row_and_the_newest_counts(photo, picture, shade):
    (by_card,) = keep(photo, picture, shade)
    moved = picture.with_card.replace("0.64", "0.66")
    assert moved != picture.with_card
    (again,) = keep(photo, picture, shade, marks=moved, at=LATER)
    assert ShadeReading.objects.count() == 2
    assert shade.colours() == {"card-1": again.lab()}
    (back,) = keep(photo, picture, shade, at=LATER + timedelta(hours=1))
    assert back.pk not in (by_card.pk, again.pk), "what she kept last counts, also when it was kept before"


def test_card_and_chart_are_two_scales(photo, picture, shade):
    (by_card,) = keep(photo, picture, shade)
    (by_chart,) = keep(photo, picture, shade, marks=picture.with_chart, at=LATER)
    assert shade.colours() == {"card-1": by_card.lab(), "chart-1": by_chart.lab()}


def test_a_row_keeps_a_reading_of_each_swatch():
    labs = [(22.0, 4.0, 6.0), (35.0, 8.0, 16.0), (55.0, 7.0, 22.0)]
    shades = ShadeFactory.create_batch(3)
    jpeg, card, spots = row_of_swatches(labs)
    photo = RingPhotoFactory(jpeg=jpeg)
    pictured = Pictured(tuple(shades), is_row=True)
    placed = marks_from_json(row_marks(shades, card, spots), regions=pictured.regions)
    read = read_shades(pictured, pixels=pixels_in(jpeg), marks=placed, salon=Salon())
    kept = keep_shade_readings(photo=photo, read={one.shade: one for one in read.shades}, by=photo.taken_by, at=AT)
    assert [row.shade for row in kept] == shades
    for row in kept:
        assert row.lab()["root"] == row.lab()["mid"] == row.lab()["ends"]


def test_a_later_setting_rewrites_nothing(photo, picture, shade):
    (old,) = keep(photo, picture, shade)
    before = ShadeReading.objects.values().get()
    salon = Salon.objects.default()
    salon.card_reflectance_percent = 22
    salon.save()
    assert ShadeReading.objects.values().get() == before
    (new,) = keep(photo, picture, shade, salon=salon, at=LATER)
    assert ShadeReading.objects.filter(pk=old.pk).values().get() == before
    assert new.mid_l > old.mid_l + 1
    assert new.details["setting"] == {"card_reflectance_percent": 22}


def test_another_version_of_the_routine_is_another_scale(photo, picture, shade, limits):
    keep(photo, picture, shade)
    with patch.dict(ROUTINES, {"card": "card-2"}):
        (new,) = keep(photo, picture, shade, at=LATER)
    assert new.routine_version == "card-2"
    colours = shade.colours()
    assert set(colours) == {"card-1", "card-2"}
    hers = {"mid": Reading(colours["card-2"]["mid"], 1.0, "card", "card-2")}
    only_old = {"card-1": [[colours["card-1"][zone] for zone in ("root", "mid", "ends")]]}
    only_new = {"card-2": [[colours["card-2"][zone] for zone in ("root", "mid", "ends")]]}
    (match,) = match_shades(hers, only_old, weights=ZoneWeights(1, 1, 1), limits=limits)
    assert not match.is_measured
    (match,) = match_shades(hers, only_new, weights=ZoneWeights(1, 1, 1), limits=limits)
    assert match.differences == {"mid": 0.0}


def test_what_is_no_colour_keeps_nothing_of_the_whole_photo(photo, picture, shade):
    other = ShadeFactory()
    pictured = Pictured((shade,), is_row=False)
    placed = marks_from_json(picture.with_card, regions=pictured.regions)
    (read,) = read_shades(pictured, pixels=pixels_in(picture.jpeg), marks=placed, salon=Salon()).shades
    too_light = {zone: replace(one, lab=(104.0, 1.0, 2.0)) for zone, one in read.zones.items()}
    with pytest.raises(ValidationError, match="L\\* lies between 0 and 100"):
        keep_shade_readings(
            photo=photo,
            read={shade: read, other: replace(read, shade=other, zones=too_light)},
            by=photo.taken_by,
            at=AT,
        )
    assert not ShadeReading.objects.exists()
