"""Photos that are kept: filed under another angle, shown outside under a consent that lives, taken away, looked at."""

from datetime import timedelta

import pytest
from django.utils.timezone import now

from clients.assessing import begin_assessment
from clients.looking import note_look_lately
from clients.models import AccessEntry, ColourReading, Photo
from clients.models.consent import ConsentKind
from clients.photos import file_under, keep_inside, remove_photo, show_outside
from tests.clients.factories import PhotoFactory, PhotoSetFactory
from tests.clients.photo_scene import NO_CONSENT, files, publish, refusal, taken, withdraw
from tests.factories import ClientFactory, StylistFactory

pytestmark = pytest.mark.django_db
at_once = pytest.mark.django_db(transaction=True)


@pytest.fixture
def stylist():
    return StylistFactory(first_name="Imke", last_name="Valcourt")


@pytest.fixture
def photo_set(stylist):
    return PhotoSetFactory(by=stylist)


# Filing under another angle


def test_a_photo_is_filed_under_the_angle_it_was_taken_from(photo_set, stylist):
    photo = taken(photo_set, stylist, angle="left")
    assert file_under(photo=photo, angle="right", by=stylist).angle == "right"
    photo.refresh_from_db()
    assert (photo.angle, photo.frame) == ("right", None)
    assert AccessEntry.objects.get().page == f"photo {photo.reference}: filed under another angle"


def test_a_photo_filed_into_a_turn_and_out_of_it_gets_and_leaves_a_place(photo_set, stylist):
    taken(photo_set, stylist, angle="turn")
    photo = file_under(photo=taken(photo_set, stylist), angle="turn", by=stylist)
    assert photo.frame == 2
    assert file_under(photo=photo, angle="back", by=stylist).frame is None


def test_a_full_angle_a_wrong_one_and_a_withdrawn_consent_refuse_it(photo_set, stylist):
    photo = taken(photo_set, stylist)
    for _ in range(12):
        taken(photo_set, stylist, angle="top")
    assert "its 12 photos" in refusal(file_under, photo=photo, angle="top", by=stylist)
    assert "not a valid choice" in refusal(file_under, photo=photo, angle="below", by=stylist)
    withdraw(photo_set.client)
    assert NO_CONSENT in refusal(file_under, photo=photo, angle="left", by=stylist)
    photo.refresh_from_db()
    assert photo.angle == "front"


# Shown outside


def test_without_a_consent_of_its_own_no_photo_is_shown_outside(photo_set, stylist):
    photo = taken(photo_set, stylist)
    assert "being shown outside" in refusal(show_outside, photo=photo, by=stylist, at=now())
    publish(ClientFactory())  # somebody else's
    assert "being shown outside" in refusal(show_outside, photo=photo, by=stylist, at=now())
    photo.refresh_from_db()
    assert not photo.may_be_shown_outside


def test_she_says_yes_to_this_photo_and_to_no_other(photo_set, stylist):
    photo, other = taken(photo_set, stylist), taken(photo_set, stylist)
    consent = publish(photo_set.client)
    assert show_outside(photo=photo, by=stylist, at=now()).may_be_shown_outside
    photo.refresh_from_db()
    assert (photo.publicity_consent, photo.publicity_by) == (consent, stylist)
    other.refresh_from_db()
    assert not other.may_be_shown_outside


def test_taking_the_consent_back_takes_effect_at_once_and_a_new_one_brings_nothing_back(photo_set, stylist):
    photo = taken(photo_set, stylist)
    publish(photo_set.client)
    show_outside(photo=photo, by=stylist, at=now())
    withdraw(photo_set.client, ConsentKind.PUBLICITY)
    assert not Photo.objects.get().may_be_shown_outside
    second = publish(photo_set.client)
    assert not Photo.objects.get().may_be_shown_outside
    show_outside(photo=photo, by=stylist, at=now())
    assert Photo.objects.get().publicity_consent == second
    assert Photo.objects.get().may_be_shown_outside


def test_a_photo_is_kept_inside_again_at_once(photo_set, stylist):
    photo = taken(photo_set, stylist)
    publish(photo_set.client)
    show_outside(photo=photo, by=stylist, at=now())
    withdraw(photo_set.client)  # needs no consent
    keep_inside(photo=photo, by=stylist)
    photo.refresh_from_db()
    assert (photo.publicity_consent, photo.publicity_by, photo.publicity_at) == (None, None, None)
    assert AccessEntry.objects.get().page == f"photo {photo.reference}: kept inside"


def test_no_photo_is_shown_outside_while_her_photos_are_locked(photo_set, stylist):
    photo = taken(photo_set, stylist)
    publish(photo_set.client)
    withdraw(photo_set.client)
    assert NO_CONSENT in refusal(show_outside, photo=photo, by=stylist, at=now())


# Removal


@at_once
def test_a_removed_photo_loses_its_files_and_keeps_who_when_and_why(photo_set, stylist):
    photo = taken(photo_set, stylist, angle="turn")
    publish(photo_set.client)
    show_outside(photo=photo, by=stylist, at=now())
    remove_photo(photo=photo, because="  she  blinked ", by=stylist, at=now())
    photo.refresh_from_db()
    assert files() == []
    assert (photo.full.name, photo.page.name, photo.thumb.name, photo.frame) == ("", "", "", None)
    assert (photo.removed_by, photo.removed_because, photo.publicity_consent) == (stylist, "she blinked", None)
    assert photo.taken_by == stylist


def test_files_go_only_once_the_removal_is_committed(photo_set, stylist, django_capture_on_commit_callbacks):
    photo = taken(photo_set, stylist)
    with django_capture_on_commit_callbacks() as waiting:
        remove_photo(photo=photo, because="blurred", by=stylist, at=now())
        assert len(files()) == 3
    for callback in waiting:
        callback()
    assert files() == []


@pytest.mark.parametrize(("because", "says"), [("  ", "Write why"), ("x" * 241, "at most 240 characters")])
def test_a_photo_is_not_removed_without_a_reason_that_fits(photo_set, stylist, because, says):
    photo = taken(photo_set, stylist)
    assert says in refusal(remove_photo, photo=photo, because=because, by=stylist, at=now())
    photo.refresh_from_db()
    assert not photo.is_removed
    assert len(files()) == 3


def test_after_its_removal_nothing_is_done_to_a_photo(photo_set, stylist):
    photo = taken(photo_set, stylist)
    remove_photo(photo=photo, because="blurred", by=stylist, at=now())
    publish(photo_set.client)
    for deed, how in (
        (remove_photo, {"because": "again", "at": now()}),
        (file_under, {"angle": "left"}),
        (show_outside, {"at": now()}),
        (keep_inside, {}),
    ):
        assert "by Imke Valcourt: blurred." in refusal(deed, photo=photo, by=stylist, **how)


def test_colours_that_were_read_from_a_removed_photo_stay(stylist):
    her = ClientFactory(record_consent=True, photo_consent=True)
    assessment = begin_assessment(client=her, stylist=stylist, at=now())
    photo = PhotoFactory(photo_set=PhotoSetFactory(client=her), angle="colour")
    lab = {"lightness": 30, "a_star": 6, "b_star": 12}
    reading = ColourReading.objects.create(
        assessment=assessment, zone="root", doubt=1.4, method="card", scale="card-1", photo=photo, **lab
    )
    remove_photo(photo=photo, because="her wish", by=stylist, at=now())
    reading.refresh_from_db()
    assert (reading.photo, reading.lab) == (photo, (30, 6, 12))


# Looks


def test_one_look_is_recorded_once_in_ten_minutes_for_a_person_a_client_and_a_page(stylist):
    her, another = ClientFactory(), StylistFactory()
    for _ in range(3):
        note_look_lately(client=her, user=stylist, page="photos")
    assert AccessEntry.objects.count() == 1
    note_look_lately(client=her, user=another, page="photos")
    note_look_lately(client=ClientFactory(), user=stylist, page="photos")
    note_look_lately(client=her, user=stylist, page="photo P-1")
    assert AccessEntry.objects.count() == 4
    AccessEntry.objects.update(at=now() - timedelta(minutes=11))
    note_look_lately(client=her, user=stylist, page="photos")
    assert AccessEntry.objects.count() == 5
