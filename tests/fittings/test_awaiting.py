"""Pieces on their way: noted, expected later, come in, given up."""

from datetime import UTC, date, datetime, timedelta

import pytest
from django.core.exceptions import ValidationError

from fittings.awaiting import await_piece, expect_piece_on, give_up, piece_came_in
from fittings.models import AwaitedPiece
from salon.models import Salon
from tests.factories import ClientFactory, DeskFactory
from tests.pieces.factories import VariantFactory

pytestmark = pytest.mark.django_db
NOON = datetime(2026, 12, 1, 12, tzinfo=UTC)
LATER = NOON + timedelta(days=3)


def heron(**changed):
    asked = {"client": ClientFactory(), "what": "Heron, walnut", "by": DeskFactory(), "at": NOON} | changed
    return await_piece(**asked)


def test_a_piece_is_noted_with_who_and_when():
    clerk = DeskFactory()
    piece = heron(what="  Heron,   walnut ", expected_on=date(2026, 12, 9), by=clerk)
    assert (piece.what, piece.expected_on, piece.noted_by, piece.noted_at) == (
        "Heron, walnut",
        date(2026, 12, 9),
        clerk,
        NOON,
    )
    assert AwaitedPiece.objects.still_awaited().get() == piece


def test_a_variant_alone_gives_it_its_name():
    variant = VariantFactory(length_mm=300)
    assert heron(what="", variant=variant).what == f"{variant.piece}, {variant.shade.code}, 30.0 cm"


def test_the_name_tells_its_length_as_the_salon_measures():
    Salon.objects.default()
    Salon.objects.update(units="imperial")
    assert heron(what="", variant=VariantFactory(length_mm=300)).what.endswith(", 11¾ in")


@pytest.mark.parametrize(
    ("changed", "sentence"),
    [
        ({"what": "  "}, "Write which piece is on its way"),
        ({"expected_on": date(2026, 11, 30)}, "30 November 2026 is over"),
        ({"expected_on": date(2062, 12, 9)}, "more than two years ahead"),
        ({"what": "x" * 121}, "at most 120 characters"),
    ],
)
def test_what_can_not_be_meant_is_refused(changed, sentence):
    with pytest.raises(ValidationError, match=sentence):
        heron(**changed)
    assert not AwaitedPiece.objects.exists()


def test_a_second_press_notes_nothing_twice_and_a_second_piece_has_its_own_words():
    her = ClientFactory()
    heron(client=her)
    with pytest.raises(ValidationError, match="on its way for her since 1 December"):
        heron(client=her)
    heron(client=her, what="Heron, walnut, the spare one")
    heron()  # the same for somebody else
    assert AwaitedPiece.objects.count() == 3


def test_what_came_in_is_awaited_no_more_and_may_be_ordered_again():
    piece = heron()
    came = piece_came_in(awaited=piece, by=DeskFactory(), at=LATER)
    assert came.in_at == LATER
    assert not AwaitedPiece.objects.still_awaited().exists()
    heron(client=piece.client, at=LATER)


@pytest.mark.parametrize("deed", [piece_came_in, give_up])
def test_what_came_in_or_was_given_up_is_not_marked_again(deed):
    came, unwanted = heron(), heron()
    clerk = DeskFactory()
    piece_came_in(awaited=came, by=clerk, at=LATER)
    give_up(awaited=unwanted, by=clerk, at=LATER)
    with pytest.raises(ValidationError, match="came in on 4 December"):
        deed(awaited=came, by=clerk, at=LATER)
    with pytest.raises(ValidationError, match="not been wanted since 4 December"):
        deed(awaited=unwanted, by=clerk, at=LATER)


def test_the_day_it_is_expected_moves_and_may_be_unknown():
    piece = heron(expected_on=date(2026, 12, 9))
    assert expect_piece_on(awaited=piece, expected_on=date(2027, 1, 4), at=NOON).expected_on == date(2027, 1, 4)
    assert expect_piece_on(awaited=piece, expected_on=None, at=NOON).expected_on is None
    with pytest.raises(ValidationError, match="is over"):
        expect_piece_on(awaited=piece, expected_on=date(2026, 1, 4), at=NOON)


def test_nothing_is_noted_for_a_record_that_went_into_another():
    her, same = ClientFactory(), ClientFactory()
    her.merged_into = same
    her.save()
    with pytest.raises(ValidationError, match="record is closed"):
        heron(client=her)
