"""Every file of a picture that the site serves, sent full of fields and opened again by a reader that is not ours.

The sending and the serving go through the addresses that a browser uses; what is looked for is told in
tests/salon/pictures/test_picture_metadata.py (reader: ExifRead, general library, PyPI, 3.5).
"""

import uuid

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from clients.models import Photo
from pieces.models import RingPhoto
from salon.common.stored_pictures import SIZES
from tests.clients.factories import PhotoSetFactory
from tests.factories import StylistFactory
from tests.salon.pictures.sent import FORMATS, rich
from tests.salon.pictures.test_picture_metadata import assert_nothing_but_pixels, read_by_another

pytestmark = pytest.mark.django_db


def send(client, address, field, form, **fields):
    sent = rich(form)
    assert {"GPS GPSLatitude", "EXIF BodySerialNumber"} <= set(read_by_another(sent))
    file = SimpleUploadedFile(f"photo.{form.lower()}", sent)
    client.post(address, {field: file, "upload_key": str(uuid.uuid4()), **fields})


@pytest.mark.parametrize("form", FORMATS)
def test_a_clients_photo_is_served_without_a_field(form, client):
    client.force_login(StylistFactory())
    send(client, reverse("photo-take", args=[PhotoSetFactory().reference]), "photo", form, angle="front")
    photo = Photo.objects.get()
    for size in SIZES:
        assert_nothing_but_pixels(client.get(reverse("photo-file", args=[photo.reference, size])).getvalue())


@pytest.mark.parametrize("form", FORMATS)
def test_a_photo_of_the_ring_is_served_without_a_field(form, client):
    client.force_login(StylistFactory())
    send(client, reverse("ring-photo-take"), "file", form)
    photo = RingPhoto.objects.get()
    for size in SIZES:
        assert_nothing_but_pixels(client.get(reverse("ring-photo-file", args=[photo.reference, size])).getvalue())
