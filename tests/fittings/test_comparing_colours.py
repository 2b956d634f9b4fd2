"""Her colours beside the salon's shades: on one scale, carried over by the ring, mixed of two; and her grey."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from fittings.comparing_colours import Seen, measured_grey, own_colours, shades_in_drawer, with_readings
from pieces.models import Shade
from salon.colour.bands import BandLimits
from salon.colour.matching import ZoneWeights
from tests.factories import StylistFactory
from tests.fittings.colours import (
    CARD,
    as_photographed,
    photo_of_the_ring,
    read_by_card,
    read_shade_by_card,
    ring_read_both_ways,
)
from tests.fittings.visits import BROWN, signed_off_visit
from tests.pieces.factories import ShadeFactory, UnitFactory, VariantFactory

pytestmark = pytest.mark.django_db
SEEN = Seen(ZoneWeights(1, 1, 1), BandLimits(2, 4, 6), 0)
DARK, WHITE = (16.0, 2.0, 2.5), (78.0, 0.5, 6.0)


def colours_of(fitting):
    return own_colours(fitting.assessment.readings.all())


def matched(fitting, *shades):
    fetched = {shade.pk: shade for shade in with_readings(Shade.objects.all())}
    return colours_of(fitting).matched([fetched[shade.pk] for shade in shades], SEEN)


@pytest.fixture
def ring_photo():
    return photo_of_the_ring(StylistFactory())


def shade_of(lab, **more):
    """A shade of one colour from root to ends, as the instrument reads it."""
    values = {f"{zone}_{axis}": value for zone in BROWN for axis, value in zip("lab", lab, strict=True)}
    return ShadeFactory(**values, **more)


# scales


def test_hair_read_from_a_photo_is_compared_with_what_a_photo_read_of_the_ring(ring_photo):
    shade = ShadeFactory()
    read_shade_by_card(shade, ring_photo, labs={zone: as_photographed(lab) for zone, lab in BROWN.items()})
    (match,) = matched(read_by_card(signed_off_visit()), shade)
    assert match.named.difference == pytest.approx(0, abs=1e-6)
    assert match.crossed == {}
    assert match.colours["root"] == pytest.approx(as_photographed(BROWN["root"]))


def test_the_newest_reading_of_the_ring_counts_with_its_doubt(ring_photo):
    shade = ShadeFactory()
    read_shade_by_card(shade, ring_photo, doubt=0.5)
    fitting = read_by_card(signed_off_visit(), doubt=1.0)
    assert matched(fitting, shade)[0].named.doubt == pytest.approx(1.0)
    read_shade_by_card(shade, ring_photo, doubt=4.0)
    assert matched(fitting, shade)[0].named.doubt == pytest.approx(4.0)


def test_a_shade_the_instrument_alone_measured_is_not_measured_that_way_until_the_ring_is_read(ring_photo):
    shade, unmeasured = ShadeFactory(), ShadeFactory(unmeasured=True)
    fitting = read_by_card(signed_off_visit())
    assert [match.words for match in matched(fitting, shade, unmeasured)] == [
        "not measured the way her hair was read",
        "not measured",
    ]
    ring_read_both_ways(ring_photo, count=3)
    assert not matched(fitting, shade)[0].is_measured
    assert colours_of(fitting).refused == (
        "Nothing leads from an instrument to photos with the grey card. "
        "It takes 4 shades or more, read both ways, to lead from one way to another; 3 were.",
    )


def test_four_shades_read_both_ways_lead_from_the_instrument_to_the_photo(ring_photo):
    shade = ShadeFactory()
    ring_read_both_ways(ring_photo, count=4)
    fitting = read_by_card(signed_off_visit())
    (match,) = matched(fitting, shade)
    assert match.words.endswith("; shade carried over from an instrument by 4 shades read both ways, give or take 0.0")
    assert match.colours["root"] == pytest.approx(as_photographed(shade.lab()["root"]), abs=0.1)
    assert colours_of(fitting).refused == ()


def test_hair_read_by_the_instrument_is_compared_with_a_shade_only_photos_read(ring_photo):
    shade = ShadeFactory(unmeasured=True)
    read_shade_by_card(shade, ring_photo, labs={zone: as_photographed(lab) for zone, lab in BROWN.items()})
    ring_read_both_ways(ring_photo)
    (match,) = matched(signed_off_visit(), shade)
    assert match.named.difference < 0.2
    assert "carried over from photos with the grey card by 6 shades" in match.words


def test_another_routine_is_another_scale(ring_photo):
    shade = ShadeFactory()
    read_shade_by_card(shade, ring_photo, scale="card-2")
    assert not matched(read_by_card(signed_off_visit(), scale=CARD), shade)[0].is_measured
    assert matched(read_by_card(signed_off_visit(), scale="card-2"), shade)[0].is_measured


def test_zones_read_in_different_ways_are_each_compared_on_their_own_scale(ring_photo):
    shade = ShadeFactory()
    read_shade_by_card(shade, ring_photo)
    fitting = read_by_card(signed_off_visit(), {"root": BROWN["root"]})
    (match,) = matched(fitting, shade)
    assert match.colours["root"] == pytest.approx(as_photographed(shade.lab()["root"]))
    assert match.colours["ends"] == shade.lab()["ends"]


# queries


def test_the_ways_cost_no_query_without_a_reading_and_at_most_two_with(ring_photo):
    counts = []
    for shades in (0, 3, 6):
        ring_read_both_ways(ring_photo, count=shades)
        fitting = read_by_card(signed_off_visit())
        readings = list(fitting.assessment.readings.all())
        with CaptureQueriesContext(connection) as queries:
            own_colours(readings)
        counts.append(len(queries))
    assert counts == [1, 2, 2]
    with CaptureQueriesContext(connection) as queries:
        own_colours([])
    assert len(queries) == 0


def test_no_way_is_worked_out_that_no_reading_needs(ring_photo):
    ring_read_both_ways(ring_photo)
    assert colours_of(signed_off_visit()).crossings == {}
    assert set(colours_of(read_by_card(signed_off_visit())).crossings) == {("instrument", CARD)}


# two shades together


def in_drawer(shade):
    UnitFactory(variant=VariantFactory(shade=shade))
    return shade


def test_two_stocked_shades_together_are_told_when_a_band_better():
    salt_and_pepper = {"root": (45.4, 0.9, 4.4), "mid": (45.4, 0.9, 4.4), "ends": (45.4, 0.9, 4.4)}
    in_drawer(shade_of(DARK, code="peat", name="Nearly black"))
    in_drawer(shade_of(WHITE, code="chalk", name="White"))
    shade_of((45.4, 0.9, 4.4), code="lichen", name="Grey")  # not in the drawer
    told = colours_of(signed_off_visit(readings=salt_and_pepper)).mixed(shades_in_drawer(), SEEN)
    assert [shade.code for shade in told.shades] == ["peat", "chalk"]
    assert told.words.startswith("about three parts of peat Nearly black to one of chalk White (7")
    assert told.mix.named.band.rank < told.mix.alone.band.rank
    in_drawer(Shade.objects.get(code="lichen"))
    assert colours_of(signed_off_visit(readings=salt_and_pepper)).mixed(shades_in_drawer(), SEEN) is None


def test_there_is_no_mix_of_an_empty_drawer_or_without_a_reading():
    assert colours_of(signed_off_visit()).mixed(shades_in_drawer(), SEEN) is None
    in_drawer(ShadeFactory())
    in_drawer(ShadeFactory())
    assert colours_of(signed_off_visit(readings={})).mixed(shades_in_drawer(), SEEN) is None


def test_the_shades_in_the_drawer_take_two_queries():
    for _ in range(3):
        in_drawer(ShadeFactory())
    with CaptureQueriesContext(connection) as queries:
        shades = shades_in_drawer()
        [shade.colours() for shade in shades]
    assert (len(shades), len(queries)) == (3, 2)


# grey


def test_the_share_of_grey_is_worked_out_from_the_roots_and_two_strands():
    fitting = read_by_card(signed_off_visit(), {"root": (40.0, 2.4, 5.0), "pigment": DARK, "grey": WHITE})
    grey = measured_grey(fitting.assessment.readings.all())
    assert 0.1 < grey.share.low < grey.share.share < grey.share.high < 0.5
    assert grey.words == grey.share.words
    assert grey.kept() == {
        "words": grey.words,
        "share": grey.share.share,
        "residual": grey.share.residual,
        "low": grey.share.low,
        "high": grey.share.high,
    }


def test_no_strand_read_says_nothing_of_grey():
    assert measured_grey(signed_off_visit().assessment.readings.all()) is None


@pytest.mark.parametrize(
    ("labs", "why"),
    [
        ({"grey": WHITE}, "it takes the roots, a strand with its own colour and a grey strand"),
        ({"pigment": DARK, "grey": WHITE}, "were not read the same way"),
        ({"root": DARK, "pigment": DARK, "grey": DARK}, "too alike to tell a share"),
    ],
)
def test_where_the_share_can_not_be_told_it_says_why(labs, why):
    fitting = read_by_card(signed_off_visit(), labs)
    grey = measured_grey(fitting.assessment.readings.all())
    assert grey.share is None
    assert grey.words.startswith("not worked out: ")
    assert why in grey.words
    assert grey.kept() == {"words": grey.words}
