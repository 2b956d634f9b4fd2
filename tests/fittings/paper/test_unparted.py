"""What is read as one stays on one line of a paper, and nothing but the words is touched."""

import pytest

from fittings.paper.unparted import unparted


def with_ties(html):
    return unparted(html).replace("\N{NO-BREAK SPACE}", "~")


@pytest.mark.parametrize(
    ("words", "kept"),
    [
        ("Cover: 99 % of it", "Cover: 99~% of it"),
        ("30.0 cm × 14½ in", "30.0~cm × 14½~in"),
        ("4.2 cm² stay, under 356 °F", "4.2~cm² stay, under 356~°F"),
        ("worn 9 hours a day for 36 months", "worn 9~hours a day for 36~months"),
        ("on 2 January 2026, 10:30", "on 2~January~2026, 10:30"),
        ("until 31 Oct", "until 31~Oct"),
        ("call 01632 960 118.", "call 01632~960~118."),
        ("3 inside, 4 clips, 5 Thimble Lane", "3 inside, 4 clips, 5 Thimble Lane"),
    ],
)
def test_a_number_a_date_and_a_telephone_number_are_not_parted(words, kept):
    assert with_ties(f"<p>{words}</p>") == f"<p>{kept}</p>"


def test_a_reference_is_not_broken_at_its_hyphen_and_stays_as_it_can_be_searched():
    assert unparted("<h1>Heron (U-VP7WYZ47)</h1>") == '<h1>Heron (<span class="reference">U-VP7WYZ47</span>)</h1>'
    assert unparted("<p>mid-length, X-RAY</p>") == "<p>mid-length, X-RAY</p>"


def test_titles_attributes_and_drawings_stay_as_they_are():
    page = (
        "<html><head><title>Record C-VP7WYZ47, 2 May 2026</title></head>"
        '<body data-day="2 May 2026" data-reference="C-VP7WYZ47"><svg><title>20 % left</title></svg></body></html>'
    )
    assert unparted(page) == page
