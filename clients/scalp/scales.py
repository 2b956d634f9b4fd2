"""How do published scales name a pattern of hair loss: their stages, in our own words, with a drawing of each.

A scale names a pattern that is seen, nothing more: no cause, no course, no diagnosis. The stylist names it, or leaves
it; what a painted map comes near is for `suggesting` to say, the shapes themselves are `patterns`'. The scales' own
pictures and sentences are not repeated here: the words are ours, and every drawing is our own head with one of our
pattern starts on it.

How sure the wording is stands with each scale: READ (the publication or a review that says so), READ-2nd (read where
somebody else quotes it), MEMORY (general knowledge, not looked up).
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from clients.scalp.drawing import Detail, draw_view_with
from clients.scalp.head import Head
from clients.scalp.loss_map import LossMap
from clients.scalp.patterns import pattern_start
from clients.scalp.views import view_named

_SMALL: Final = Detail(20, 30, 90, 2)  # a stage is drawn as large as a thumb
_WORDS_IN_PICTURE: Final = re.compile(r'<text class="scalp-label".*?</text>')


@dataclass(frozen=True)
class Stage:
    """One stage; `key` is stored, `name` said with the scale's, `seen` what is seen. `pattern` is the key of its shape
    in `patterns`, empty where nothing has thinned; `degree` orders the stages of a scale, equal where neither is more.
    """

    key: str
    name: str
    seen: str
    pattern: str
    degree: int


@dataclass(frozen=True)
class Scale:
    """A published scale; `about` says what it looks at, `sure` how well its wording is known (see above)."""

    key: str
    label: str
    about: str
    source: str
    sure: str
    stages: tuple[Stage, ...]

    def stage(self, key: str) -> Stage:
        """The stage with that key; ValueError names those there are."""
        for stage in self.stages:
            if stage.key == key:
                return stage
        known = ", ".join(stage.key for stage in self.stages)
        raise ValueError(f"“{key}” is not a stage of {self.label}. Its stages are: {known}.")


LUDWIG: Final = Scale(
    "ludwig",
    "Ludwig 1977",
    "Thinning of the whole top behind a front hairline that is kept.",
    "Ludwig E., Br J Dermatol 97 (1977) 247-254",
    "READ-2nd",
    (
        Stage(
            "I",
            "degree I",
            "The top is visibly thinner, from a finger's breadth or two behind the hairline.",
            "top-1",
            1,
        ),
        Stage("II", "degree II", "The same part of the top is clearly thinner and the scalp shows.", "top-2", 2),
        Stage("III", "degree III", "Hardly any hair is left on that part of the top.", "top-3", 3),
    ),
)
SINCLAIR: Final = Scale(
    "sinclair",
    "Sinclair 2004",
    "How wide the midline part looks, and how dense the hair beside it is.",
    "Sinclair R. and others, 2004, after Ludwig",
    "five grades READ, their wording MEMORY",
    (
        Stage("1", "grade 1", "The part is as narrow as it always was.", "", 1),
        Stage("2", "grade 2", "The part has become wider.", "part-2", 2),
        Stage("3", "grade 3", "The part is wider still, and the hair on both sides of it thinner.", "part", 3),
        Stage("4", "grade 4", "At the front end of the part the scalp shows through.", "part-4", 4),
        Stage("5", "grade 5", "Little hair is left on the whole top.", "part-5", 5),
    ),
)
NORWOOD: Final = Scale(
    "norwood",
    "Norwood–Hamilton 1975",
    "How far the temples and the front have receded, and whether the crown has thinned apart from them.",
    "Norwood O. T., South Med J 68 (1975) 1359-1365, after Hamilton 1951",
    "READ-2nd; type A variants READ, their steps MEMORY",
    (
        Stage("I", "type I", "The hairline has hardly moved, or not at all.", "", 1),
        Stage("II", "type II", "Both temples have receded a little, in triangles.", "temples-2", 2),
        Stage("IIa", "type II A", "The whole front hairline has moved back a little.", "whole-front-2", 2),
        Stage("III", "type III", "Both temples have receded deeply, with little or no hair in them.", "temples", 3),
        Stage("IIIa", "type III A", "The whole front hairline has moved back clearly.", "whole-front-3", 3),
        Stage("III vertex", "type III vertex", "Mainly the crown has thinned; the temples no deeper than in type III.",
              "temples-crown", 3),
        Stage("IV", "type IV", "Temples deeper, little hair on the crown, and a band of fairly dense hair between.",
              "front-crown-4", 4),
        Stage("IVa", "type IV A", "The front has moved back well behind the hairline; the crown is kept.",
              "whole-front-4", 4),
        Stage("V", "type V", "Front and crown both larger, the band between them narrow and sparse.", "front-crown", 5),
        Stage("Va", "type V A", "The front has moved back to the middle of the top; the crown is kept.",
              "whole-front-5", 5),
        Stage("VI", "type VI", "The band is gone: front and crown have met.", "front-crown-6", 6),
        Stage("VII", "type VII", "A narrow rim, often fine, is left at the sides and the back.", "horseshoe", 7),
    ),
)  # fmt: skip  # a stage a line or two, as one reads them
OLSEN: Final = Scale(
    "olsen",
    "Olsen 1999",
    "Where the top is thinnest: at the front, at the front with the top, or evenly. Three kinds, no degrees.",
    "Olsen E. A., 1999, frontal accentuation",
    "READ in reviews and on a clinic's page",
    (
        Stage("front", "frontal", "Thinnest behind the front hairline, tapering back along the part.", "front", 1),
        Stage("mixed", "frontal and diffuse", "Thinnest at the front, and the rest of the top thinner too.",
              "front-top", 1),
        Stage("diffuse", "diffuse", "The top has thinned evenly, the front no more than the rest.", "top-even", 1),
    ),
)  # fmt: skip  # a stage a line or two, as one reads them

SCALES: Final = (LUDWIG, SINCLAIR, NORWOOD, OLSEN)


def scale_named(key: str) -> Scale:
    """The scale with that key; ValueError names the four."""
    for scale in SCALES:
        if scale.key == key:
            return scale
    raise ValueError(f"“{key}” is not a scale. The scales are: {', '.join(scale.key for scale in SCALES)}.")


def named(scale: str, stage: str) -> str:
    """A stage with its scale, as it is said: “Ludwig 1977, degree II”; ValueError for one that is not known.

    >>> named("norwood", "III vertex")
    'Norwood–Hamilton 1975, type III vertex'
    """
    found = scale_named(scale)
    return f"{found.label}, {found.stage(stage).name}"


@lru_cache(maxsize=64)
def draw_stage(scale: str, stage: str) -> str:
    """A small picture of the stage from above, as SVG: our own pattern on an average head."""
    shape = scale_named(scale).stage(stage).pattern
    head = Head.from_tapes()
    loss_map = pattern_start(shape, head) if shape else LossMap.full()
    drawing = draw_view_with(loss_map, head, view_named("top"), "", title=named(scale, stage), size=96, detail=_SMALL)
    return _WORDS_IN_PICTURE.sub("", drawing)  # too small to read there, and both sides are alike
