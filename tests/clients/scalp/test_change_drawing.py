"""How a change is drawn: steps, signs and words, and nothing by tone alone."""

import re
from xml.etree import ElementTree

import numpy as np

from clients.scalp.change_drawing import CHANGE_STEPS, SIGN_CELLS, draw_flat_change
from clients.scalp.grid import INSIDE


def everywhere(points):
    return np.where(INSIDE, float(points), 0.0)


def strokes(picture):
    found = re.search(r'class="change-signs"[^>]* d="([^"]*)"', picture)
    return found[1].count("M") if found else 0


def test_the_chart_is_well_formed_and_says_what_it_shows():
    root = ElementTree.fromstring(draw_flat_change(everywhere(-20), title="Less & more"))  # noqa: S314  # our own
    assert root[0].text == "Less & more"


def test_where_nothing_changes_there_is_one_step_and_no_sign():
    picture = draw_flat_change(everywhere(0), title="Change")
    assert strokes(picture) == 0
    assert 'class="change-2"' in picture
    assert 'class="change-3"' not in picture


def test_less_has_a_minus_and_more_has_a_plus_at_every_place():
    assert strokes(draw_flat_change(everywhere(-20), title="Change")) == len(SIGN_CELLS)
    assert strokes(draw_flat_change(everywhere(20), title="Change")) == 2 * len(SIGN_CELLS)


def test_far_less_has_a_longer_minus_than_less():
    lengths = [draw_flat_change(everywhere(points), title="Change").count("l6.8 0") for points in (-20, -60)]
    assert lengths[0] == 0
    assert lengths[1] > 0


def test_no_picture_carries_a_style_or_an_id():
    picture = draw_flat_change(everywhere(40), title="Change")
    assert "style=" not in picture
    assert " id=" not in picture


def test_the_steps_are_evenly_set_about_no_change():
    lows = [step.low for step in CHANGE_STEPS[1:]]
    assert lows == [-low for low in reversed(lows)]


def test_of_each_pair_of_steps_the_two_ends_differ_for_every_kind_of_colour_sight():
    """The blue-yellow axis that a red-green blindness leaves: less leans to yellow, more to blue."""
    for less, more in ((0, 4), (1, 3)):
        red, _, blue = (int(CHANGE_STEPS[less].fill[at : at + 2], 16) for at in (1, 3, 5))
        other_red, _, other_blue = (int(CHANGE_STEPS[more].fill[at : at + 2], 16) for at in (1, 3, 5))
        assert red - blue > 90
        assert other_blue - other_red > 60
