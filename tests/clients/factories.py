"""Sets of photos and photos, made by the deeds the pages call from a picture that is tiny and fixed."""

import io
import uuid

import factory
from django.utils.timezone import now
from factory.django import DjangoModelFactory
from PIL import Image

from clients.models import Photo, PhotoSet
from clients.models.photo import Angle, Moment
from clients.photos import open_photo_set, take_photo
from tests.factories import ClientFactory, StylistFactory


def tiny_picture(colour=(122, 92, 71), size=(48, 64), form="JPEG"):
    """The bytes of a photo of one colour, as a camera would send them."""
    sent = io.BytesIO()
    Image.new("RGB", size, colour).save(sent, form)
    return sent.getvalue()


class PhotoSetFactory(DjangoModelFactory):
    class Meta:
        model = PhotoSet

    client = factory.SubFactory(ClientFactory, photo_consent=True)
    moment = Moment.OWN_HAIR
    by = factory.SubFactory(StylistFactory)
    at = factory.LazyFunction(now)

    @classmethod
    def _create(cls, model_class, *args, **kwargs):
        return open_photo_set(**kwargs)


class PhotoFactory(DjangoModelFactory):
    """`picture` is what the camera sends."""

    class Meta:
        model = Photo

    photo_set = factory.SubFactory(PhotoSetFactory)
    angle = Angle.FRONT
    picture = factory.LazyFunction(tiny_picture)
    upload_key = factory.LazyFunction(uuid.uuid4)
    by = factory.SubFactory(StylistFactory)
    at = factory.LazyFunction(now)

    @classmethod
    def _create(cls, model_class, *args, picture, **kwargs):
        return take_photo(file=io.BytesIO(picture), size=len(picture), **kwargs)
