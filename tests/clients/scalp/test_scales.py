"""Published scales of hair loss in our own words: their stages, what each is drawn from, and how they are said."""

from itertools import pairwise
from xml.etree import ElementTree as ET

import pytest

from clients.models.assessment import Assessment, Scale
from clients.scalp.head import Head
from clients.scalp.patterns import PATTERNS, pattern_start
from clients.scalp.scales import LUDWIG, NORWOOD, OLSEN, SCALES, SINCLAIR, draw_stage, named, scale_named

HEAD = Head.from_tapes(559, 356, 343)
STAGES = [(scale, stage) for scale in SCALES for stage in scale.stages]
IDS = [f"{scale.key} {stage.key}" for scale, stage in STAGES]


def test_an_assessment_can_be_named_by_every_scale_and_stage():
    assert [(scale.key, scale.label) for scale in SCALES] == list(Scale.choices)
    longest = Assessment._meta.get_field("stage").max_length
    assert all(len(stage.key) <= longest for _, stage in STAGES)


def test_the_stages_are_those_that_were_published():
    # Ludwig 1977 three degrees (READ-2nd), Sinclair 2004 five grades (READ), Norwood 1975 seven types and III vertex
    # (READ-2nd), Olsen 1999 three kinds (READ on a clinic's page)
    assert [stage.key for stage in LUDWIG.stages] == ["I", "II", "III"]
    assert [stage.key for stage in SINCLAIR.stages] == ["1", "2", "3", "4", "5"]
    types = [stage.key for stage in NORWOOD.stages if not stage.key.endswith("a")]
    assert types == ["I", "II", "III", "III vertex", "IV", "V", "VI", "VII"]
    assert len(OLSEN.stages) == 3


@pytest.mark.parametrize("scale", SCALES, ids=lambda scale: scale.key)
def test_keys_are_unique_and_degrees_never_fall_down_the_list(scale):
    keys = [stage.key for stage in scale.stages]
    degrees = [stage.degree for stage in scale.stages]
    assert len(set(keys)) == len(keys)
    assert degrees == sorted(degrees)


def test_only_the_stages_in_which_nothing_thinned_have_no_shape():
    assert [(scale.key, stage.key) for scale, stage in STAGES if not stage.pattern] == [
        ("sinclair", "1"),
        ("norwood", "I"),
    ]


def test_every_shape_belongs_to_one_stage_and_says_its_scale():
    shapes = {pattern.key: pattern for pattern in PATTERNS}
    used = [stage.pattern for _, stage in STAGES if stage.pattern]
    assert len(set(used)) == len(used)
    assert shapes.keys() - set(used) == {"patches", "all-over"}
    for scale, stage in STAGES:
        if stage.pattern:
            assert shapes[stage.pattern].source.split()[0] == scale.label.replace("–", " ").split()[0]


@pytest.mark.parametrize("keys", [("top-1", "top-2", "top-3"), ("part-2", "part", "part-4", "part-5")])
def test_the_shapes_of_a_top_that_thins_lie_within_each_other(keys):
    degrees = [pattern_start(key, HEAD).density for key in keys]
    for less, more in pairwise(degrees):
        assert (more <= less + 1).all()


@pytest.mark.parametrize(("scale", "stage"), STAGES, ids=IDS)
def test_every_stage_is_drawn_small_and_named(scale, stage):
    picture = draw_stage(scale.key, stage.key)
    root = ET.fromstring(picture)  # noqa: S314  # our own text
    assert root[0].text == named(scale.key, stage.key)
    assert len(picture) < 12_000


def test_a_stage_is_said_with_its_scale():
    assert named("ludwig", "II") == "Ludwig 1977, degree II"
    assert named("norwood", "III vertex") == "Norwood–Hamilton 1975, type III vertex"


def test_what_is_not_known_is_refused_with_what_there_is():
    with pytest.raises(ValueError, match=r"“savin” is not a scale\. The scales are: ludwig, sinclair, norwood, olsen"):
        scale_named("savin")
    with pytest.raises(ValueError, match=r"“IV” is not a stage of Ludwig 1977\. Its stages are: I, II, III"):
        named("ludwig", "IV")


def test_no_word_hurts_or_judges():
    said = " ".join(f"{scale.about} {stage.name} {stage.seen}" for scale, stage in STAGES).lower()
    assert not any(word in said for word in ("bald", "problem", "suffer", "normal", "disease", "severe"))
