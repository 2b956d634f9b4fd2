"""Beginning a set, and one photo as the page, a plain form and another page send it."""

import uuid
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test import Client as Browser
from django.urls import reverse
from django.utils.timezone import now

from clients.models import Photo, PhotoSet
from fittings.models import VisitPhotoSet
from fittings.photos import taking
from fittings.photos.filing import begin_photo_set
from fittings.visiting import begin_visit
from tests.clients.factories import PhotoFactory, PhotoSetFactory, tiny_picture
from tests.factories import ClientFactory, StylistFactory
from tests.salon.pictures.sent import scene, written

pytestmark = pytest.mark.django_db
BY_ITSELF = {"Accept": "application/json"}


@pytest.fixture
def stylist(client):
    stylist = StylistFactory()
    client.force_login(stylist)
    return stylist


@pytest.fixture
def her():
    return ClientFactory(record_consent=True, photo_consent=True)


@pytest.fixture
def photo_set(her, stylist):
    return PhotoSetFactory(client=her)


@pytest.fixture
def begin(client, her, stylist):
    """Press a button of the page with all photos; the set that opens, or None."""

    def press(moment="own hair"):
        response = client.post(reverse("photo-set-new", args=[her.reference]), {"moment": moment})
        return PhotoSet.objects.filter(reference=response.url.split("/")[2]).first()

    return press


@pytest.fixture
def send(client, photo_set):
    def post(picture=None, name="IMG_0001.JPG", headers=None, **fields):
        file = SimpleUploadedFile(name, tiny_picture() if picture is None else picture, "image/jpeg")
        fields = {"angle": "front", "photo": file} | fields
        sent = {name: value for name, value in fields.items() if value is not None}
        return client.post(reverse("photo-take", args=[photo_set.reference]), sent, headers=headers, follow=False)

    return post


@pytest.fixture
def send_itself(send):
    return lambda *args, **fields: send(*args, headers=BY_ITSELF, **fields).json()


def sentences(client, address):
    return [str(message) for message in client.get(address).context["messages"]]


# A set


def test_a_set_begun_in_an_open_visit_is_filed_with_it(begin, her, stylist):
    visit = begin_visit(client=her, stylist=stylist, at=now())
    photo_set = begin()
    assert photo_set.of_visit.fitting == visit
    assert (photo_set.moment, photo_set.begun_by) == ("own hair", stylist)


def test_the_same_moment_in_the_same_visit_goes_on_with_its_set(begin, her, stylist):
    begin_visit(client=her, stylist=stylist, at=now())
    first = begin()
    PhotoFactory(photo_set=first)
    assert begin() == first
    assert begin("piece on") != first
    assert VisitPhotoSet.objects.count() == 2


def test_between_visits_a_set_stands_alone_and_only_an_empty_one_is_gone_on_with(begin, her):
    first = begin()
    assert not VisitPhotoSet.objects.exists()
    assert begin() == first
    PhotoFactory(photo_set=first)
    assert begin() != first


def test_a_set_whose_moment_is_over_is_not_gone_on_with(begin, her, stylist):
    begin_visit(client=her, stylist=stylist, at=now())
    first = begin()
    PhotoSet.objects.update(begun_at=now() - timedelta(hours=30))
    assert begin() != first


def test_a_moment_that_is_none_is_refused_with_a_sentence(begin, her, client):
    assert begin("asleep") is None
    address = reverse("photos", args=[her.reference])
    assert sentences(client, address) == ["Choose what is seen: her own hair, the piece on or off her head, a strand."]


@pytest.mark.django_db(transaction=True)
def test_a_button_pressed_twice_at_once_begins_one_set(her, stylist):
    begin_visit(client=her, stylist=stylist, at=now())

    def press(_):
        try:
            return begin_photo_set(client=her, moment="own hair", by=stylist, at=now())
        finally:
            connection.close()

    with ThreadPoolExecutor(3) as pool:
        assert len(set(pool.map(press, range(3)))) == 1


# Sent by the page itself


def test_a_photo_sent_by_the_page_is_kept_and_named_in_the_answer(send_itself):
    key = uuid.uuid4()
    answer = send_itself(angle="turn", frame="3", upload_key=str(key))
    photo = Photo.objects.get()
    assert (photo.upload_key, photo.angle, photo.frame) == (key, "turn", 3)
    assert answer == {
        "photo": photo.get_absolute_url(),
        "thumb": reverse("photo-file", args=[photo.reference, "thumb"]),
        "angle": "turn",
        "frame": 3,
    }


@pytest.mark.parametrize("form", ["JPEG", "PNG", "WEBP", "HEIF"])
def test_what_a_phone_or_tablet_sends_is_kept(form, send_itself):
    assert "refused" not in send_itself(picture=written(scene(), form), name=f"IMG_0001.{form}")
    assert Photo.objects.count() == 1


def test_a_retry_after_a_lost_answer_keeps_one_photo(send_itself):
    key = str(uuid.uuid4())
    assert send_itself(upload_key=key) == send_itself(upload_key=key)
    assert Photo.objects.count() == 1


REFUSALS = [
    ({"picture": b"<svg xmlns='http://www.w3.org/2000/svg'/>", "name": "a.svg"}, "JPEG, PNG, WebP and HEIC"),
    ({"picture": b""}, "This file is empty"),
    ({"photo": None}, "Choose a photo first."),
    ({"photo": "not a file"}, "Choose a photo first."),
    ({"angle": None}, "Choose from where the photo looks at her head."),
    ({"angle": "below"}, "Choose from where the photo looks at her head."),
    ({"upload_key": "1"}, "Load it again"),
    ({"angle": "turn", "frame": "25"}, "A turn has places 1 to 24"),
    ({"picture": tiny_picture()[:-40]}, "ends too early"),
]


@pytest.mark.parametrize(("sent", "says"), REFUSALS)
def test_a_refusal_is_a_sentence_with_status_200_and_keeps_nothing(sent, says, send):
    response = send(headers=BY_ITSELF, **sent)
    assert response.status_code == 200
    assert says in response.json()["refused"]
    assert not Photo.objects.exists()


def test_a_set_whose_moment_is_over_says_so(send_itself):
    PhotoSet.objects.update(begun_at=now() - timedelta(hours=30))
    assert "that moment is over" in send_itself()["refused"]


# Too large


def test_what_is_too_large_by_its_length_is_refused_before_it_is_read(client, photo_set, monkeypatch):
    def read(*args):
        pytest.fail("the body was read")

    monkeypatch.setattr("django.http.request.HttpRequest.read", read)
    response = client.generic(
        "POST",
        reverse("photo-take", args=[photo_set.reference]),
        b"",
        content_type="multipart/form-data; boundary=x",
        headers=BY_ITSELF,
        CONTENT_LENGTH="40000000",
    )
    assert response.json()["refused"].startswith("This photo has more than 25 MB")


def test_a_plain_form_that_is_too_large_comes_back_to_the_set(client, photo_set):
    address = reverse("photo-take", args=[photo_set.reference])
    kind = "multipart/form-data; boundary=x"
    response = client.generic("POST", address, b"", content_type=kind, CONTENT_LENGTH="9" * 30)
    assert response.url == photo_set.get_absolute_url()
    assert sentences(client, response.url) == [taking.TOO_LARGE]


def test_a_file_that_is_a_little_too_large_is_refused_too(send_itself):
    assert "up to 25" in send_itself(picture=tiny_picture() + bytes(25_000_000))["refused"]


def test_a_post_from_another_site_is_refused(photo_set, stylist):
    browser = Browser(enforce_csrf_checks=True)
    browser.force_login(stylist)
    address = reverse("photo-take", args=[photo_set.reference])
    file = SimpleUploadedFile("a.jpg", tiny_picture(), "image/jpeg")
    assert browser.post(address, {"angle": "front", "photo": file}).status_code == 403
    token = browser.get(photo_set.get_absolute_url()).cookies["csrftoken"].value
    file.seek(0)
    sent = {"angle": "front", "photo": file}
    assert "photo" in browser.post(address, sent, headers={"X-CSRFToken": token} | BY_ITSELF).json()


# Sent by a plain form, or by another page


def test_a_plain_form_goes_back_to_the_set(send, photo_set, client):
    response = send()
    assert response.url == photo_set.get_absolute_url()
    assert sentences(client, response.url) == ["Taken: Front."]


def test_a_plain_form_hears_its_refusal_on_the_set(send, photo_set, client):
    response = send(picture=b"hello")
    assert response.url == photo_set.get_absolute_url()
    assert "This is not a picture" in sentences(client, response.url)[0]


def test_another_page_is_come_back_to(send):
    assert send(next="/fittings/?page=2").url == "/fittings/?page=2"
    assert send(picture=b"hello", next="/fittings/").url == "/fittings/"


@pytest.mark.parametrize("elsewhere", ["https://elsewhere.example/", "//elsewhere.example", "/\\elsewhere", "fittings"])
def test_nobody_is_led_out_of_the_salon(send, photo_set, elsewhere):
    assert send(next=elsewhere).url == photo_set.get_absolute_url()
