"""Photos of a client: a set is begun and a photo taken, whole or not at all, under a consent that lives."""

import io
import uuid
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from threading import Barrier

import pytest
from django.core.exceptions import ValidationError
from django.db import connection
from django.utils.timezone import now

from clients import photos
from clients.consenting import give_consent
from clients.models import Client, Photo, PhotoSet
from clients.photos import open_photo_set, remove_photo
from tests.clients.factories import PhotoFactory, PhotoSetFactory
from tests.clients.photo_scene import NO_CONSENT, files, refusal, taken, withdraw
from tests.factories import ClientFactory, StylistFactory

pytestmark = pytest.mark.django_db
at_once = pytest.mark.django_db(transaction=True)


@pytest.fixture
def stylist():
    return StylistFactory(first_name="Imke", last_name="Valcourt")


@pytest.fixture
def photo_set(stylist):
    return PhotoSetFactory(by=stylist)


# A set


def test_a_set_is_begun_with_her_consent(stylist):
    her = ClientFactory(photo_consent=True)
    kept = open_photo_set(client=her, moment="piece on", by=stylist, at=now())
    assert PhotoSet.objects.get() == kept
    assert (kept.client, kept.get_moment_display(), kept.begun_by) == (her, "With the piece on", stylist)


def test_no_set_is_begun_without_her_consent_or_after_she_took_it_back(stylist):
    her = ClientFactory(record_consent=True)
    assert NO_CONSENT in refusal(open_photo_set, client=her, moment="own hair", by=stylist, at=now())
    give_consent(client=her, kind="photos", signed_name="Ada", by=stylist, at=now())
    withdraw(her)
    assert NO_CONSENT in refusal(open_photo_set, client=her, moment="own hair", by=stylist, at=now())
    assert not PhotoSet.objects.exists()


def test_no_set_is_begun_of_a_moment_that_is_none(stylist):
    her = ClientFactory(photo_consent=True)
    assert "not a valid choice" in refusal(open_photo_set, client=her, moment="asleep", by=stylist, at=now())


def test_an_erased_client_is_not_photographed(photo_set, stylist):
    Client.objects.filter(pk=photo_set.client.pk).update(erased_at=now())
    for deed in (
        lambda: open_photo_set(client=photo_set.client, moment="own hair", by=stylist, at=now()),
        lambda: taken(photo_set, stylist),
    ):
        assert "erased" in refusal(deed)
    assert files() == []


# Taking a photo in


def test_a_photo_is_kept_in_three_sizes(photo_set, stylist):
    photo = taken(photo_set, stylist, angle="left")
    photo.refresh_from_db()
    assert (photo.angle, photo.frame, photo.taken_by, photo.photo_set) == ("left", None, stylist, photo_set)
    assert files() == sorted([photo.full.name, photo.page.name, photo.thumb.name])
    assert not photo.may_be_shown_outside


def test_what_is_no_picture_is_refused_and_leaves_nothing(photo_set, stylist):
    assert "not a picture" in refusal(taken, photo_set=photo_set, stylist=stylist, file=io.BytesIO(b"hello"), size=5)
    assert (Photo.objects.count(), files()) == (0, [])


def test_an_angle_that_is_none_is_refused_and_leaves_nothing(photo_set, stylist):
    assert "not a valid choice" in refusal(taken, photo_set=photo_set, stylist=stylist, angle="below")
    assert (Photo.objects.count(), files()) == (0, [])


def test_without_her_consent_no_photo_is_taken(photo_set, stylist):
    withdraw(photo_set.client)
    assert NO_CONSENT in refusal(taken, photo_set=photo_set, stylist=stylist)
    assert (Photo.objects.count(), files()) == (0, [])


def test_a_consent_taken_back_while_the_picture_is_read_counts(photo_set, stylist, monkeypatch):
    read = photos.take_in

    def slow(file, *, size):
        withdraw(photo_set.client)
        return read(file, size=size)

    monkeypatch.setattr(photos, "take_in", slow)
    assert NO_CONSENT in refusal(taken, photo_set=photo_set, stylist=stylist)
    assert (Photo.objects.count(), files()) == (0, [])


def test_a_set_that_is_gone_takes_nothing(photo_set, stylist):
    PhotoSet.objects.all().delete()
    assert "This set of photos is gone" in refusal(taken, photo_set=photo_set, stylist=stylist)
    assert files() == []


def test_a_set_whose_moment_is_over_takes_no_more(stylist):
    earlier = PhotoSetFactory(at=now() - timedelta(hours=25))
    assert "that moment is over. Begin a new set" in refusal(taken, photo_set=earlier, stylist=stylist)
    assert taken(PhotoSetFactory(at=now() - timedelta(hours=23)), stylist).pk


def test_a_turn_has_twenty_four_places_and_no_more(photo_set, stylist):
    frames = [taken(photo_set, stylist, angle="turn").frame for _ in range(24)]
    assert frames == list(range(1, 25))
    assert "its 24 photos under “Turn”" in refusal(taken, photo_set=photo_set, stylist=stylist, angle="turn")
    assert Photo.objects.count() == 24
    assert len(files()) == 3 * 24


def test_of_another_angle_there_are_twelve(photo_set, stylist):
    for _ in range(12):
        first = taken(photo_set, stylist, angle="back")
    assert "its 12 photos under “Back”" in refusal(taken, photo_set=photo_set, stylist=stylist, angle="back")
    assert taken(photo_set, stylist, angle="top").pk
    remove_photo(photo=first, because="blurred", by=stylist, at=now())
    assert taken(photo_set, stylist, angle="back").pk


def test_a_photo_gets_the_place_in_the_turn_that_it_asks_for_while_it_is_free(photo_set, stylist):
    assert [taken(photo_set, stylist, angle="turn", frame=frame).frame for frame in (3, 3, None, 9)] == [3, 1, 2, 9]
    assert taken(photo_set, stylist, angle="front", frame=4).frame is None


def test_a_place_in_the_turn_is_free_again_once_its_photo_is_removed(photo_set, stylist):
    turn = [taken(photo_set, stylist, angle="turn") for _ in range(3)]
    remove_photo(photo=turn[1], because="she moved", by=stylist, at=now())
    assert taken(photo_set, stylist, angle="turn").frame == 2


# The same picture sent again


def test_the_same_key_again_gives_the_photo_that_is_kept(photo_set, stylist):
    key = uuid.uuid4()
    first = taken(photo_set, stylist, upload_key=key)
    again = taken(photo_set, stylist, upload_key=key, angle="left")
    assert (again, again.angle) == (first, "front")
    assert (Photo.objects.count(), len(files())) == (1, 3)


def test_a_key_of_another_set_is_refused(photo_set, stylist):
    other = PhotoFactory()
    assert "in another set" in refusal(taken, photo_set=photo_set, stylist=stylist, upload_key=other.upload_key)
    assert Photo.objects.count() == 1


def test_a_key_whose_photo_was_removed_is_refused(photo_set, stylist):
    photo = taken(photo_set, stylist)
    remove_photo(photo=photo, because="blurred", by=stylist, at=now())
    assert "has been removed since" in refusal(taken, photo_set=photo_set, stylist=stylist, upload_key=photo.upload_key)


def test_the_same_key_tells_nothing_after_she_took_her_consent_back(photo_set, stylist):
    photo = taken(photo_set, stylist)
    withdraw(photo_set.client)
    assert NO_CONSENT in refusal(taken, photo_set=photo_set, stylist=stylist, upload_key=photo.upload_key)


def together(deed, count):
    """What `count` threads come back with that start at the same moment, each with its own connection."""
    begin = Barrier(count)

    def run(number):
        begin.wait()
        try:
            return deed(number)
        finally:
            connection.close()

    with ThreadPoolExecutor(count) as pool:
        return list(pool.map(run, range(count)))


@at_once
def test_one_picture_sent_twice_at_once_is_kept_once(photo_set, stylist):
    key = uuid.uuid4()
    first, second = together(lambda _: taken(photo_set, stylist, upload_key=key), 2)
    assert first == second == Photo.objects.get()
    assert len(files()) == 3


@at_once
def test_photos_of_a_turn_taken_at_once_get_places_of_their_own(photo_set, stylist):
    kept = together(lambda number: taken(photo_set, stylist, angle="turn", frame=number % 2 + 1), 6)
    assert sorted(photo.frame for photo in kept) == [1, 2, 3, 4, 5, 6]


@at_once
def test_the_last_place_of_a_turn_goes_to_one_of_those_who_ask_at_once(photo_set, stylist):
    for _ in range(23):
        taken(photo_set, stylist, angle="turn")

    def last(_):
        try:
            return taken(photo_set, stylist, angle="turn").frame
        except ValidationError:
            return None

    found = together(last, 3)
    assert sorted(found, key=str) == [24, None, None]
    assert len(files()) == 3 * 24
