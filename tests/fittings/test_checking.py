"""Looking a piece over: its own parts, in four words, corrected by a new entry, with photos of this piece alone."""

from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError
from django.utils.timezone import now

from fittings.checking import begin_check_photos, check_condition, parts_of
from fittings.models import PARTS, ConditionCheck
from fittings.visiting import begin_visit
from tests.clients.factories import PhotoSetFactory
from tests.factories import ClientFactory, ConsentFactory, StylistFactory
from tests.fittings.factories import OwnedPieceFactory
from tests.pieces.factories import BaseFactory, PieceFactory, UnitFactory, VariantFactory

pytestmark = pytest.mark.django_db
CLIP = {"u_mm": 8, "v_mm": 0, "length_mm": 32}


@pytest.fixture
def stylist():
    return StylistFactory()


@pytest.fixture
def owned():
    return OwnedPieceFactory(clips=[CLIP])


def checked(owned, stylist, grades=None, **how):
    return check_condition(owned=owned, grades=grades or {}, by=stylist, **{"at": now()} | how)


def refusal_of(deed, *args, **how):
    with pytest.raises(ValidationError) as refusal:
        deed(*args, **how)
    return " ".join(refusal.value.messages)


def piece_on(**base):
    variant = VariantFactory(piece=PieceFactory(base=BaseFactory(**base)))
    return OwnedPieceFactory(unit=UnitFactory(variant=variant, state="with client"), clips=[CLIP])


def test_only_the_parts_this_piece_has_are_asked():
    assert list(parts_of(piece_on(construction="lace"))) == list(PARTS)
    assert list(parts_of(piece_on(front_edge="lace"))) == list(PARTS)
    assert set(PARTS) - set(parts_of(piece_on())) == {"lace"}
    assert set(PARTS) - set(parts_of(OwnedPieceFactory(clips=[]))) == {"lace", "clips"}


def test_grades_and_what_was_seen_are_kept(owned, stylist):
    check = checked(owned, stylist, {"fibre": 1, "clips": 3}, note=" Matted at the nape ")
    assert check.grades == {"fibre": 1, "clips": 3}
    assert (check.worst, check.note, check.checked_by) == (3, "Matted at the nape", stylist)
    assert owned.care_dates.exists()


@pytest.mark.parametrize(
    ("grades", "says"),
    [
        ({}, "says how at least one part is"),
        ({"lace": 1}, "this piece has none"),
        ({"hem": 1}, "no part called “hem”"),
        ({"fibre": 4}, "one of the four words"),
        ({"fibre": -1}, "one of the four words"),
    ],
)
def test_what_can_not_be_said_of_it_is_refused(grades, says, owned, stylist):
    assert says in refusal_of(checked, owned, stylist, grades)
    assert not ConditionCheck.objects.exists()


def test_a_correction_keeps_the_time_of_what_it_corrects_and_says_when_it_was_written(owned, stylist):
    then = now() - timedelta(days=40)
    first = checked(owned, stylist, {"fibre": 1}, at=then)
    later = checked(owned, stylist, {"fibre": 0}, at=now() - timedelta(days=5))
    second = checked(owned, stylist, {"fibre": 3}, corrects=first, because="Looked at the wrong line")
    assert second.checked_at == then
    assert second.recorded_at > later.checked_at
    assert list(ConditionCheck.objects.standing()) == [later, second]
    assert "corrected already" in refusal_of(checked, owned, stylist, {"fibre": 2}, corrects=first, because="Again")


def test_a_part_that_is_gone_since_can_still_be_corrected(owned, stylist):
    first = checked(owned, stylist, {"clips": 3})
    owned.clips = []
    owned.save()
    assert checked(owned, stylist, {"clips": 2}, corrects=first, because="Slip").grades == {"clips": 2}
    assert "this piece has none" in refusal_of(checked, owned, stylist, {"clips": 1})


def test_the_same_sent_twice_is_kept_once(owned, stylist):
    checked(owned, stylist, {"fibre": 1})
    assert "a moment ago" in refusal_of(checked, owned, stylist, {"fibre": 1})
    assert checked(owned, stylist, {"fibre": 2})
    assert checked(owned, StylistFactory(), {"fibre": 1})


def test_nothing_is_kept_of_a_client_who_does_not_agree_or_of_another_visit(stylist):
    never_asked = OwnedPieceFactory(client=ClientFactory())
    assert "has not agreed" in refusal_of(checked, never_asked, stylist, {"fibre": 1})
    owned = OwnedPieceFactory()
    elsewhere = begin_visit(client=ClientFactory(record_consent=True), stylist=stylist, at=now())
    assert "another client's" in refusal_of(checked, owned, stylist, {"fibre": 1}, fitting=elsewhere)
    others = PhotoSetFactory()
    assert "another client's" in refusal_of(checked, owned, stylist, {"fibre": 1}, photo_set=others)


def test_each_of_two_pieces_has_its_own_photos_in_one_visit(stylist):
    owned = OwnedPieceFactory()
    other = OwnedPieceFactory(client=owned.client)
    ConsentFactory(client=owned.client, kind="photos")
    visit = begin_visit(client=owned.client, stylist=stylist, at=now())
    first = begin_check_photos(owned=owned, by=stylist, at=now())
    assert (first.moment, first.of_visit.fitting) == ("piece", visit)
    checked(owned, stylist, {"fibre": 1}, photo_set=first)
    assert begin_check_photos(owned=owned, by=stylist, at=now()) == first
    assert begin_check_photos(owned=other, by=stylist, at=now()) != first


def test_photos_need_her_consent(owned, stylist):
    assert "not agreed to photos" in refusal_of(begin_check_photos, owned=owned, by=stylist, at=now())
