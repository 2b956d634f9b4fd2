"""Photos of a client: taken whole or not at all, filed, shown outside under a consent that lives, and taken away."""

import io
import uuid
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from threading import Barrier

import pytest
from django.core.exceptions import ValidationError
from django.core.files.storage import storages
from django.db import connection
from django.utils.timezone import now

from clients import photos
from clients.assessing import begin_assessment
from clients.consenting import give_consent, withdraw_consent
from clients.looking import note_look_lately
from clients.models import AccessEntry, Client, ColourReading, Consent, Photo, PhotoSet
from clients.models.consent import ConsentKind
from clients.photos import file_under, keep_inside, open_photo_set, remove_photo, show_outside, take_photo
from tests.clients.factories import PhotoFactory, PhotoSetFactory, tiny_picture
from tests.factories import ClientFactory, ConsentFactory, StylistFactory

pytestmark = pytest.mark.django_db
at_once = pytest.mark.django_db(transaction=True)

NO_CONSENT = "has not agreed to photos, or has taken it back"


@pytest.fixture
def stylist():
    return StylistFactory(first_name="Imke", last_name="Valcourt")


@pytest.fixture
def photo_set(stylist):
    return PhotoSetFactory(by=stylist)


def withdraw(client, kind=ConsentKind.PHOTOS):
    withdraw_consent(consent=Consent.objects.live().get(client=client, kind=kind), by=StylistFactory(), at=now())


def publish(client):
    return ConsentFactory(client=client, kind=ConsentKind.PUBLICITY)


def files():
    """What lies in the storage now."""
    storage = storages["photos"]
    folders = storage.listdir(".")[0] if storage.exists(".") else []
    return sorted(f"{folder}/{name}" for folder in folders for name in storage.listdir(folder)[1])


def refusal(deed, **how):
    with pytest.raises(ValidationError) as refused:
        deed(**how)
    return " ".join(refused.value.messages)


def taken(photo_set, stylist, **how):
    sent = tiny_picture()
    given = {"angle": "front", "file": io.BytesIO(sent), "size": len(sent), "upload_key": uuid.uuid4()}
    return take_photo(photo_set=photo_set, by=stylist, at=now(), **given | how)


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
