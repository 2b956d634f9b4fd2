"""Taking a picture of the ring in, and taking it away."""

import io
import uuid
from datetime import UTC, datetime
from pathlib import Path
from unittest.mock import patch

import pytest
from django.conf import settings

from pieces.models import RingPhoto
from pieces.ring.taking import remove_ring_photo, take_ring_photo
from salon.common.pictures import PictureRefused, pixels_of
from salon.common.stored_pictures import SIZES
from tests.factories import StylistFactory
from tests.pieces.factories import RingPhotoFactory, ShadeReadingFactory, plain_jpeg

pytestmark = pytest.mark.django_db
AT = datetime(2026, 3, 14, 10, 30, tzinfo=UTC)


def take(content, *, upload_key=None, by=None):
    return take_ring_photo(
        file=io.BytesIO(content),
        size=len(content),
        upload_key=upload_key or uuid.uuid4(),
        by=by or StylistFactory(),
        at=AT,
    )


def files():
    folder = Path(settings.MEDIA_ROOT)
    return sorted(folder.rglob("*.jpg")) if folder.exists() else []


def test_a_photo_is_kept_in_three_sizes_with_who_took_it_and_when():
    stylist = StylistFactory()
    photo = take(plain_jpeg(size=(3000, 1500)), by=stylist)
    assert (photo.width, photo.height, photo.taken_by, photo.taken_at) == (2400, 1200, stylist, AT)
    assert [max(pixels_of(getattr(photo, size)).shape) for size in SIZES] == [2400, 1200, 320]
    assert len(files()) == 3


def test_its_pixels_are_those_that_were_sent():
    photo = take(plain_jpeg((90, 70, 60)))
    pixels = pixels_of(photo.full)
    assert pixels.shape == (48, 64, 3)
    assert pixels.dtype == "uint8"
    assert abs(pixels.astype(int) - (90, 70, 60)).max() <= 2


def test_the_same_upload_twice_is_one_photo():
    key = uuid.uuid4()
    first = take(plain_jpeg(), upload_key=key)
    assert take(plain_jpeg(), upload_key=key) == first
    assert RingPhoto.objects.count() == 1
    assert len(files()) == 3


def test_of_two_at_once_the_first_is_the_photo_and_the_others_files_go():
    key = uuid.uuid4()
    first = take(plain_jpeg(), upload_key=key)
    with patch("pieces.ring.taking._taken_under", side_effect=[None, first]):  # as if it had come in between
        assert take(plain_jpeg(), upload_key=key) == first
    assert RingPhoto.objects.count() == 1
    assert len(files()) == 3


def test_what_is_no_picture_leaves_nothing():
    with pytest.raises(PictureRefused, match="not a picture"):
        take(b"no picture at all")
    assert not RingPhoto.objects.exists()
    assert files() == []


def test_a_photo_that_nothing_was_read_from_goes_whole(django_capture_on_commit_callbacks):
    photo = RingPhotoFactory()
    with django_capture_on_commit_callbacks(execute=True):
        remove_ring_photo(photo=photo)
    assert not RingPhoto.objects.exists()
    assert files() == []


def test_a_photo_that_was_read_loses_its_files_and_keeps_its_readings(django_capture_on_commit_callbacks):
    reading = ShadeReadingFactory()
    with django_capture_on_commit_callbacks(execute=True):
        remove_ring_photo(photo=reading.photo)
    photo = RingPhoto.objects.get()
    assert (photo.full.name, photo.page.name, photo.thumb.name) == ("", "", "")
    assert photo.readings.get() == reading
    assert files() == []
