"""Pictures of pieces: taken in, in order, shown to who may see pieces, and taken away."""

import io
import uuid
from pathlib import Path

import pytest
from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils.timezone import now

from pieces.keeping_pictures import MOST_PICTURES, remove_piece_picture, take_piece_picture
from pieces.models import PiecePicture
from salon.common.pictures import PictureRefused
from tests.factories import OwnerFactory
from tests.pieces.factories import PieceFactory, PiecePictureFactory, VariantFactory, plain_jpeg

pytestmark = pytest.mark.django_db


def files():
    folder = Path(settings.MEDIA_ROOT)
    return sorted(folder.rglob("*.jpg")) if folder.exists() else []


def take(piece, content, **kwargs):
    asked = {"shows": "From the front", "upload_key": uuid.uuid4(), "by": OwnerFactory(), "at": now()} | kwargs
    return take_piece_picture(piece=piece, file=io.BytesIO(content), size=len(content), **asked)


def sent(**fields):
    picture = SimpleUploadedFile("front.jpg", plain_jpeg(), "image/jpeg")
    return {"file": picture, "shows": "On a stand", "upload_key": str(uuid.uuid4())} | fields


def test_pictures_stand_in_the_order_in_which_they_came():
    piece = PieceFactory()
    taken = [take(piece, plain_jpeg(), shows=shows) for shows in ("Front", "Back", "The base")]
    assert list(piece.pictures.all()) == taken
    assert [picture.position for picture in taken] == [0, 1, 2]
    remove_piece_picture(picture=taken[1])
    assert take(piece, plain_jpeg()).position == 3


def test_the_same_upload_twice_is_one_picture():
    piece, key = PieceFactory(), uuid.uuid4()
    first = take(piece, plain_jpeg(), upload_key=key)
    assert take(piece, plain_jpeg(), upload_key=key) == first
    assert (PiecePicture.objects.count(), len(files())) == (1, 3)


def test_what_is_no_picture_or_one_too_many_is_refused_and_no_file_stays(monkeypatch):
    piece = PieceFactory()
    with pytest.raises(PictureRefused):
        take(piece, b"no picture")
    monkeypatch.setattr("pieces.keeping_pictures.MOST_PICTURES", 1)
    take(piece, plain_jpeg())
    with pytest.raises(ValidationError, match="has 1 pictures already"):
        take(piece, plain_jpeg())
    with pytest.raises(ValidationError):
        take(PieceFactory(), plain_jpeg(), shows="x" * 121)
    assert (PiecePicture.objects.count(), len(files())) == (1, 3)
    assert MOST_PICTURES == 12


def test_a_picture_taken_away_goes_with_its_files_and_twice_is_harmless(django_capture_on_commit_callbacks):
    picture = PiecePictureFactory()
    for _ in range(2):
        with django_capture_on_commit_callbacks(execute=True):
            remove_piece_picture(picture=picture)
    assert not PiecePicture.objects.exists()
    assert files() == []


def test_the_owner_adds_one_and_everybody_sees_it_on_the_piece_and_in_the_list(owner):
    piece = VariantFactory().piece
    answer = owner.post(reverse("piece-picture-new", args=[piece.pk]), sent())
    assert answer.url == reverse("piece", args=[piece.pk])
    picture = PiecePicture.objects.get()
    for page in (answer.url, reverse("pieces")):
        assert 'alt="On a stand"' in owner.get(page).content.decode()
    served = owner.get(reverse("piece-picture", args=[picture.reference, "thumb"]))
    assert served["Content-Type"] == "image/jpeg"
    assert b"".join(served.streaming_content)[:2] == b"\xff\xd8"


@pytest.mark.parametrize(
    ("fields", "sentence"),
    [
        ({"file": ""}, "Take or choose a picture first."),
        ({"file": SimpleUploadedFile("a.jpg", b"no picture", "image/jpeg")}, "not a picture"),
        ({"shows": ""}, "Write what it shows."),
        ({"upload_key": "1"}, "Load this page again."),
    ],
)
def test_a_refused_picture_says_why_keeps_the_words_and_that_the_file_is_to_be_chosen_again(owner, fields, sentence):
    page = owner.post(reverse("piece-picture-new", args=[PieceFactory().pk]), sent(**fields)).content.decode()
    assert sentence in page
    assert "The file has to be chosen again" in page
    assert ("On a stand" in page) is ("shows" not in fields)
    assert not PiecePicture.objects.exists()


def test_the_owner_takes_one_away(owner, stylist):
    picture = PiecePictureFactory()
    assert stylist.post(reverse("piece-picture-remove", args=[picture.reference])).status_code == 403
    stylist.force_login(OwnerFactory())
    for url in (reverse("piece", args=[picture.piece_id]), reverse("pieces")):
        assert owner.post(reverse("piece-picture-remove", args=[picture.reference])).url == url


def test_there_are_three_sizes_and_no_other(owner):
    assert owner.get(reverse("piece-picture", args=[PiecePictureFactory().reference, "huge"])).status_code == 404
    assert owner.get(reverse("piece-picture", args=["T-00000000", "thumb"])).status_code == 404
