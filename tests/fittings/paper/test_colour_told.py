"""The colours on the paper: those compared, on the scale of her hair, as they were on the day."""

import pytest

from clients.models import ColourReading
from fittings.models import Candidate
from fittings.trying import decide
from pieces.models import Shade, ShadeReading
from tests.fittings.colours import (
    as_photographed,
    photo_of_the_ring,
    read_by_card,
    read_shade_by_card,
    ring_read_both_ways,
)
from tests.fittings.paper.papers import a_salon, a_variant, decided_visit, put_on_trial, summed_up
from tests.fittings.visits import BROWN, signed_off_visit
from tests.pieces.factories import ShadeFactory

pytestmark = pytest.mark.django_db
STRANDS = {"pigment": (18.0, 5.0, 6.0), "grey": (75.0, 1.0, 6.0)}


def in_figures(lab):
    return ", ".join(f"{value:.1f}" for value in lab)


@pytest.fixture
def fitting():
    """Her hair read from a photo with the grey card; nothing of the ring yet."""
    a_salon()
    return read_by_card(signed_off_visit(), BROWN | STRANDS, doubt=2.04)


def decided(fitting, variant=None):
    look = put_on_trial(fitting, variant)
    decide(fitting=fitting, chosen=look, by=fitting.stylist)
    return fitting


def test_both_swatches_stand_on_the_scale_of_her_reading(fitting):
    variant = a_variant()
    read_shade_by_card(variant.shade, photo_of_the_ring(fitting.stylist))
    (piece,) = summed_up(decided(fitting, variant)).pieces
    roots = piece.colour.rows[0]
    assert roots.own.words == in_figures(as_photographed(BROWN["root"]))
    assert roots.shade.words == in_figures(as_photographed(variant.shade.lab()["root"]))
    assert piece.colour.crossed == ""


def test_a_shade_carried_over_says_so_with_how_far_that_is_out(fitting):
    ring_read_both_ways(photo_of_the_ring(fitting.stylist))
    (piece,) = summed_up(decided(fitting)).pieces
    assert piece.colour.crossed == (
        "The shade's colour was carried over from an instrument by 6 shades read both ways, give or take 0.0."
    )
    assert piece.colour.verdict.startswith("In all, where your own hair shows: ")


def test_her_way_of_reading_and_her_grey_are_told_with_their_doubt(fitting):
    fitting.assessment.readings.filter(zone="ends").update(doubt=2.6)
    about = summed_up(decided(fitting)).about_colours
    assert about.startswith("Your own hair was read from a photo with the grey card (give or take ΔE00 2 to 2.6). ")
    assert "Measured at the roots, it is about " in about
    assert "% grey (" in about
    assert "between such a mix and the reading." in about


def test_a_chart_is_told_as_a_chart(fitting):
    fitting.assessment.readings.update(method="chart", scale="chart-1")
    assert "from a photo with the chart (give or take ΔE00 2)" in summed_up(decided(fitting)).about_colours


def test_a_shade_not_read_her_way_is_not_measured_and_shows_no_colour(fitting):
    (piece,) = summed_up(decided(fitting)).pieces
    assert {row.shade.words for row in piece.colour.rows} == {"not measured"}
    assert piece.colour.rows[0].own.hex
    assert piece.colour.verdict == (
        "This shade is not measured the way your own hair was read, so the colours were not compared by numbers."
    )


def test_a_ring_read_anew_leaves_an_old_paper_as_it_was(fitting):
    photo = photo_of_the_ring(fitting.stylist)
    ring_read_both_ways(photo)
    variant = a_variant()
    read_shade_by_card(variant.shade, photo)
    before = summed_up(decided(fitting, variant))
    read_shade_by_card(variant.shade, photo, labs=dict.fromkeys(BROWN, (60.0, 1.0, 1.0)))
    Shade.objects.filter(pk=variant.shade.pk).update(root_l=71, mid_l=72, ends_l=73)
    assert summed_up(fitting) == before
    ShadeReading.objects.all().delete()
    assert summed_up(fitting) == before


def test_a_candidate_kept_before_photos_were_read_still_shows_the_instruments_colours():
    fitting = decided_visit()
    before = summed_up(fitting)
    old = ("zones", "left_out", "weighted", "doubt", "band", "passes", "words")
    candidate = fitting.candidates.get()
    Candidate.objects.update(colour={key: candidate.colour[key] for key in old})
    assert summed_up(fitting) == before
    assert before.pieces[0].colour.rows[0].shade.words == "25.0, 5.6, 9.0"


def test_a_zone_that_was_not_read_shows_the_shades_own_colour():
    fitting = decided_visit(readings={"root": BROWN["root"]})
    ends = summed_up(fitting).pieces[0].colour.rows[2]
    assert (ends.own.words, ends.shade.words, ends.difference) == ("not measured", "27.5, 5.8, 10.2", "not compared")


def test_strands_are_no_zone_of_the_paper():
    a_salon()
    fitting = read_by_card(signed_off_visit(readings={}), STRANDS)
    told = summed_up(decided(fitting, a_variant(shade=ShadeFactory())))
    assert told.about_colours == ""
    assert {row.own.words for row in told.pieces[0].colour.rows} == {"not measured"}
    assert ColourReading.objects.count() == 2
