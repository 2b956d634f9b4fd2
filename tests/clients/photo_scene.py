"""What the tests of photos share: a set, what lies in the storage, consents that come and go, and a refusal's words."""

import io
import uuid

import pytest
from django.core.exceptions import ValidationError
from django.core.files.storage import storages
from django.utils.timezone import now

from clients.consenting import withdraw_consent
from clients.models import Consent
from clients.models.consent import ConsentKind
from clients.photos import take_photo
from tests.clients.factories import tiny_picture
from tests.factories import ConsentFactory, StylistFactory

NO_CONSENT = "has not agreed to photos, or has taken it back"


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
