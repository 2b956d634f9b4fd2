"""Which of her own pieces still cover by the newest map, and what is said of those that don't."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils.timezone import localdate, now

from clients.scalp.loss_map import LossMap
from fittings.models import OwnedPiece
from fittings.placement.placing import best_placement
from fittings.still_covers import Covers, still_covers
from tests.fittings.factories import CandidateFactory, OwnedPieceFactory
from tests.fittings.over_time.visits_over_time import FULL, HEAD, numbers, round_loss
from tests.fittings.test_candidates import clipped_base
from tests.fittings.visits import signed_off_visit
from tests.pieces.factories import PieceFactory, UnitFactory, VariantFactory

pytestmark = pytest.mark.django_db

SMALL = round_loss(40)


def piece_of(visit, *, chosen=True, **more):
    """A piece on a base with clips: chosen at its best place by the map of the visit, or brought from elsewhere."""
    variant = VariantFactory(piece=PieceFactory(base=clipped_base()))
    candidate = None
    if chosen:
        seat = best_placement(HEAD, SMALL, variant.piece.base.shape())
        where = {name: getattr(seat, name) for name in ("set_back_mm", "side_shift_mm", "turned")}
        candidate = CandidateFactory(fitting=visit, variant=variant, **where)
    unit = UnitFactory(variant=variant, state="with client")
    return OwnedPieceFactory(client=visit.client, unit=unit, candidate=candidate, **more)


def shown(visit, newest):
    return still_covers(visit.client, newest, HEAD, numbers())


def shifted(*, left_mm):
    def density_at(s_mm, t_mm):
        inside = (s_mm - 170) ** 2 + (t_mm - left_mm) ** 2 <= 40**2
        return inside * 15.0 + ~inside * 100.0

    return LossMap.from_tape_coordinates(HEAD, density_at)


@pytest.fixture
def visit():
    return signed_off_visit(loss=lambda head: SMALL)


def test_on_the_map_it_was_chosen_by_a_piece_still_covers(visit):
    piece_of(visit)
    (found,) = shown(visit, SMALL)
    assert found.covers is Covers.STILL
    assert found.now.placement == found.then.placement
    assert found.now.showing == []
    sentences = " ".join(found.sentences("cm"))
    assert "It reaches past the thinning by" in sentences
    assert "clips hold, as when she chose it." in sentences


def test_where_the_front_edge_has_moved_the_side_it_shows_on_is_said(visit):
    piece_of(visit)
    (found,) = shown(visit, round_loss(60, middle_mm=110))
    assert found.covers is Covers.NO_LONGER
    assert "front" in found.moved.outwards
    assert "front" in found.now.showing
    first = found.sentences("cm")[0]
    assert first.startswith("The front")
    assert "moved; this base now shows at the front" in first
    assert "thinning reaches up to" in first


def test_thinning_on_her_left_shows_on_the_left(visit):
    piece_of(visit)
    (found,) = shown(visit, shifted(left_mm=60))
    assert "left" in found.now.showing
    assert "right" not in found.now.showing
    assert "on the left" in found.sentences("cm")[0]


def test_clips_that_have_lost_their_hold_are_counted_then_and_now(visit):
    piece_of(visit)
    (found,) = shown(visit, round_loss(75))
    now_, then = found.now.placement, found.then.placement
    assert now_.clips_holding < then.clips_holding
    told = f"{then.clips_holding} of {then.clips_total} clips held when she chose it; {now_.clips_holding} of"
    assert told in " ".join(found.sentences("cm"))


def test_the_clips_it_has_now_count_and_not_those_it_was_made_with(visit):
    piece_of(visit, clips=[{"u_mm": 10, "v_mm": 0, "length_mm": 32}])
    (found,) = shown(visit, SMALL)
    assert found.now.placement.clips_total == 1


def test_a_piece_that_was_only_taped_since_has_no_clips(visit):
    piece_of(visit, tape=[{"where": "front edge", "product": "Lace tape", "since": "2026-01-02"}])
    (found,) = shown(visit, SMALL)
    assert found.now.placement.clips_total == 0


def test_the_set_back_noted_when_it_was_put_on_comes_before_the_computed_one(visit):
    owned = piece_of(visit)
    owned.candidate.try_ons.create(
        fitting=owned.candidate.fitting, covers="well", sits="well", matches="well", set_back_mm=77,
        outcome="chosen", logged_by=owned.begun_by,
    )  # fmt: skip  # one row, read at a glance
    (found,) = shown(visit, SMALL)
    assert found.now.placement.set_back_mm == 77


def test_a_piece_she_brought_is_taken_at_its_best_place_and_says_so(visit):
    piece_of(visit, chosen=False)
    (found,) = shown(visit, SMALL)
    assert (found.then, found.seat_is_known) == (None, False)
    assert "Where it is worn was not recorded" in found.sentences("cm")[-1]


def test_where_nothing_counts_as_thinning_there_is_no_margin_to_tell(visit):
    piece_of(visit)
    (found,) = shown(visit, FULL)
    assert found.covers is Covers.STILL
    assert found.margin_mm is None
    assert found.sentences("cm") == [found.sentences("cm")[-1]]


def test_pieces_she_had_are_left_out(visit):
    owned = piece_of(visit)
    OwnedPiece.objects.filter(pk=owned.pk).update(
        until=localdate(), ended="worn out", ended_by=owned.begun_by, ended_at=now()
    )
    assert shown(visit, SMALL) == []


def test_four_pieces_take_as_many_queries_as_one(visit):
    taken = []
    for count in (1, 3):
        for _ in range(count):
            piece_of(visit)
        rules = numbers()
        with CaptureQueriesContext(connection) as queries:
            assert still_covers(visit.client, SMALL, HEAD, rules)
        taken.append(len(queries))
    assert taken[0] == taken[1]
