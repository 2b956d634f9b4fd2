"""What the marks on a ring photo read: one shade at three zones, or a row of swatches; refusals; settings.

The pictures are synthetic, so that the true colours are known.
"""

import pytest

from pieces.ring.reading import Pictured, read_shades
from salon.colour.difference import ciede2000
from salon.colour.marks import marks_from_json
from salon.colour.reading import ReadingRefused
from salon.models import Salon
from tests.pieces.factories import ShadeFactory
from tests.pieces.ring.ring_pictures import (
    WARM,
    marks_without,
    one_shade,
    pixels_in,
    row_marks,
    row_of_swatches,
    without_reference,
)

pytestmark = pytest.mark.django_db

ROW = [(22.0, 4.0, 6.0), (35.0, 8.0, 16.0), (55.0, 7.0, 22.0)]


def read_one(jpeg, marks, *, salon=None, shade=None):
    pictured = Pictured((shade or ShadeFactory(),), is_row=False)
    placed = marks_from_json(marks, regions=pictured.regions)
    return read_shades(pictured, pixels=pixels_in(jpeg), marks=placed, salon=salon or Salon())


def read_row(shades, jpeg, marks):
    pictured = Pictured(tuple(shades), is_row=True)
    placed = marks_from_json(marks, regions=pictured.regions)
    return read_shades(pictured, pixels=pixels_in(jpeg), marks=placed, salon=Salon())


@pytest.mark.parametrize(("reference", "routine"), [("with_card", "card-1"), ("with_chart", "chart-1")])
def test_one_shade_is_read_at_three_zones_as_close_as_its_doubt_says(reference, routine):
    picture = one_shade()
    (read,) = read_one(picture.jpeg, getattr(picture, reference)).shades
    assert read.routine == routine
    assert list(read.lab) == ["root", "mid", "ends"]
    assert read.doubt == max(zone.doubt for zone in read.zones.values())
    for zone, true in WARM.items():
        assert float(ciede2000(read.lab[zone], true)) < read.zones[zone].doubt, zone


def test_a_row_reads_each_swatch_as_one_colour_for_all_zones():
    shades = ShadeFactory.create_batch(3)
    jpeg, card, spots = row_of_swatches(ROW)
    read = read_row(shades, jpeg, row_marks(shades, card, spots))
    assert [one.shade for one in read.shades] == shades
    for one, true in zip(read.shades, ROW, strict=True):
        assert one.lab["root"] == one.lab["mid"] == one.lab["ends"]
        assert float(ciede2000(one.lab["mid"], true)) < one.doubt
        assert one.details["one_colour"] is True
    assert [region.name for region in read.told.regions] == [f"S{n} {shade.code}" for n, shade in enumerate(shades, 1)]


def test_what_is_kept_of_a_swatch_holds_its_own_marks_and_none_of_the_others():
    shades = ShadeFactory.create_batch(2)
    jpeg, card, spots = row_of_swatches(ROW[:2])
    first, second = read_row(shades, jpeg, row_marks(shades, card, spots)).shades
    assert first.details["marks"] == {"reference": card, "spots": {f"shade-{shades[0].pk}": [spots[0]]}}
    assert list(second.details["marks"]["spots"]) == [f"shade-{shades[1].pk}"]
    assert list(first.details["regions"]) == ["root", "mid", "ends"]
    assert first.details["routine"] == "card-1"


def test_the_setting_it_was_read_under_is_kept_with_it():
    picture = one_shade()
    (by_card,) = read_one(picture.jpeg, picture.with_card, salon=Salon(card_reflectance_percent=20)).shades
    assert by_card.details["setting"] == {"card_reflectance_percent": 20}
    (by_chart,) = read_one(picture.jpeg, picture.with_chart, salon=Salon(chart_edition="before")).shades
    assert by_chart.details["setting"] == {"chart_edition": "before"}


def test_another_setting_reads_another_colour():
    picture, shade = one_shade(), ShadeFactory()
    usual = read_one(picture.jpeg, picture.with_card, shade=shade)
    lighter = read_one(picture.jpeg, picture.with_card, shade=shade, salon=Salon(card_reflectance_percent=36))
    assert lighter.shades[0].lab["mid"][0] > usual.shades[0].lab["mid"][0] + 5
    assert lighter.fingerprint != usual.fingerprint
    assert read_one(picture.jpeg, picture.with_card, shade=shade).fingerprint == usual.fingerprint
    editions = [
        read_one(picture.jpeg, picture.with_chart, salon=Salon(chart_edition=edition)).shades[0].lab["mid"]
        for edition in ("before", "after")
    ]
    assert editions[0] != editions[1]


# Refusals


def test_a_photo_without_card_or_chart_is_refused_and_says_why():
    picture = one_shade()
    with pytest.raises(ReadingRefused, match="Neither the grey card nor the chart is marked") as refused:
        read_one(picture.jpeg, without_reference(picture.with_card))
    assert "beside the hair, in the same light" in refused.value.instead


def test_a_zone_without_a_spot_is_named():
    picture = one_shade()
    marks = marks_without(marks_without(picture.with_card, "ends"), "mid")
    with pytest.raises(ReadingRefused, match="no spot yet on the mid-length and ends") as refused:
        read_one(picture.jpeg, marks)
    assert "mark all three" in refused.value.instead


def test_a_swatch_without_a_spot_is_named():
    shades = [ShadeFactory(code="sedge"), ShadeFactory(code="fawn")]
    jpeg, card, spots = row_of_swatches(ROW[:2])
    with pytest.raises(ReadingRefused, match="no spot yet on S2 fawn"):
        read_row(shades, jpeg, row_marks(shades[:1], card, spots[:1]))


def test_a_refused_swatch_is_called_as_the_page_calls_it():
    shades = [ShadeFactory(code="sedge"), ShadeFactory(code="fawn")]
    jpeg, card, spots = row_of_swatches(ROW[:2])
    spots[1] |= {"radius": 0.001}
    with pytest.raises(ReadingRefused, match="Spot 1 on S2 fawn is too small"):
        read_row(shades, jpeg, row_marks(shades, card, spots))


def test_a_shade_that_runs_from_root_to_ends_is_named_before_it_is_read_in_a_row():
    even = ShadeFactory()
    running = ShadeFactory(root_l=18.0, ends_l=48.0)
    unmeasured = ShadeFactory(unmeasured=True)
    assert Pictured((even, running, unmeasured), is_row=True).running == [running]
    assert Pictured((running,), is_row=False).running == []
