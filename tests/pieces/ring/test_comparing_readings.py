"""A new reading beside the one before it, and shades read in two ways."""

from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from pieces.browsing import shades_by_maker
from pieces.ring.both_ways import both_ways
from pieces.ring.comparing import beside_earlier
from pieces.ring.reading import Pictured, read_shades
from salon.colour.marks import marks_from_json
from salon.models import Salon
from tests.pieces.factories import ShadeFactory, ShadeReadingFactory
from tests.pieces.ring.ring_pictures import one_shade, pixels_in

pytestmark = pytest.mark.django_db

AT = datetime(2026, 3, 14, 10, 30, tzinfo=UTC)


def read(shade):
    picture = one_shade()
    pictured = Pictured((shade,), is_row=False)
    placed = marks_from_json(picture.with_card, regions=pictured.regions)
    return read_shades(pictured, pixels=pixels_in(picture.jpeg), marks=placed, salon=Salon()).shades


def kept(shade, lab, **fields):
    values = {f"{zone}_{axis}": value for zone in lab for axis, value in zip("lab", lab[zone], strict=True)}
    return ShadeReadingFactory(shade=shade, **values, **fields)


# Beside the one before


def test_a_shade_never_read_that_way_has_nothing_beside_it():
    shade = ShadeFactory()
    ShadeReadingFactory(shade=shade, method="chart", routine_version="chart-1")
    ShadeReadingFactory()
    assert [earlier for _, earlier in beside_earlier(read(shade))] == [None]


def test_the_newest_of_the_same_routine_stands_beside_it_with_the_difference_of_each_zone():
    shade = ShadeFactory()
    new = read(shade)
    lab = {zone: (colour[0] + 1.0, *colour[1:]) for zone, colour in new[0].lab.items()}
    kept(shade, lab, read_at=AT + timedelta(days=1), doubt=0.5)
    newest = kept(shade, lab, read_at=AT + timedelta(days=2), doubt=0.5)
    kept(shade, new[0].lab, read_at=AT, doubt=0.5)
    ((_, earlier),) = beside_earlier(new)
    assert earlier.earlier == newest
    assert list(earlier.differences) == ["root", "mid", "ends"]
    assert 0.5 < earlier.largest < 1.0
    assert not earlier.is_jump


@pytest.mark.parametrize(("away", "doubt", "is_jump"), [(12.0, 0.5, True), (12.0, 20.0, False), (0.5, 0.0, False)])
def test_a_step_is_big_when_neither_doubts_nor_the_laying_down_explain_it(away, doubt, is_jump):
    shade = ShadeFactory()
    new = read(shade)
    kept(shade, {zone: (lab[0] + away, *lab[1:]) for zone, lab in new[0].lab.items()}, doubt=doubt)
    ((_, earlier),) = beside_earlier(new)
    assert earlier.is_jump is is_jump


# Both ways


def read_both_ways(lightnesses, *, lighter_by=14.0, routine="card-1"):
    """Shades of these L* whose photo reads lighter, each a little more or less."""
    for number, lightness in enumerate(lightnesses):
        lab = {f"{zone}_l": lightness for zone in ("root", "mid", "ends")}
        shade = ShadeFactory(code=f"{routine}-{number}", **lab)
        colours = shade.lab()
        off = 0.2 * (-1) ** number
        seen = {zone: (colour[0] + lighter_by + off, colour[1], colour[2]) for zone, colour in colours.items()}
        kept(shade, seen, method=routine.partition("-")[0], routine_version=routine)


def ways():
    return both_ways(shades_by_maker())


def test_a_ring_read_one_way_has_no_two_to_compare():
    ShadeFactory()
    assert ways() == []


@pytest.mark.parametrize("count", [0, 1, 3])
def test_under_four_shades_say_how_many_more_are_needed(count):
    ShadeFactory(code="by-instrument")
    ShadeReadingFactory(shade=ShadeFactory(unmeasured=True))
    read_both_ways(range(20, 20 + 5 * count, 5))
    (way,) = ways()
    assert (len(way.shades), way.missing) == (count, 4 - count)
    assert way.there is way.back is None
    assert all(both.left is None for both in way.shades)


def test_four_shades_lead_from_the_instrument_to_photos_and_back():
    read_both_ways([18, 26, 34, 47, 60])
    (way,) = ways()
    assert (way.first_scale, way.second_scale, way.missing) == ("instrument", "card-1", 0)
    assert way.shift[0] == pytest.approx(14.0, abs=0.1)
    assert way.shift_words.startswith("14.0 lighter (L*), 0.0 redder (a*)")
    assert way.apart > 8
    assert way.there.residual < 1.0
    assert way.back.residual < 1.0
    assert way.correction_words.startswith("L* + 14.0, a* + 0.0, b* + 0.0")
    for both in way.shades:
        assert both.left < 0.5 < both.apart
    np.testing.assert_allclose(way.back.apply(way.there.apply([30.0, 6.0, 10.0])), [30.0, 6.0, 10.0], atol=0.5)


def test_a_correction_that_is_a_line_is_told_as_one():
    for lightness in (18, 26, 34, 47, 60):
        lab = {f"{zone}_l": lightness for zone in ("root", "mid", "ends")}
        shade = ShadeFactory(code=f"walnut-{lightness}", **lab)
        kept(shade, {zone: (0.8 * colour[0] + 21.0, *colour[1:]) for zone, colour in shade.lab().items()})
    (way,) = ways()
    assert way.correction_words.startswith("L* × 0.80 + 21.0, ")
    assert way.there.residual < 0.01


def test_every_two_ways_are_told_the_instrument_first():
    read_both_ways([20, 30])
    read_both_ways([40], routine="chart-1")
    assert [(way.first_scale, way.second_scale, len(way.shades)) for way in ways()] == [
        ("instrument", "card-1", 2),
        ("instrument", "chart-1", 1),
        ("card-1", "chart-1", 0),
    ]
