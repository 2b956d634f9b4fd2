"""No photo leaks: signed out, as the front desk, after her consent is taken back, from a cache; every look is kept."""

from html import unescape

import pytest
from django.urls import reverse
from django.utils.timezone import now

from clients.consenting import withdraw_consent
from clients.models import AccessEntry, Consent, Photo
from clients.models.consent import ConsentKind
from clients.photos import remove_photo
from salon.common.stored_pictures import SIZES
from tests.clients.factories import PhotoFactory, PhotoSetFactory
from tests.factories import ClientFactory, ConsentFactory, DeskFactory, OwnerFactory, StylistFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def her():
    return ClientFactory(given_name="Ada", family_name="Wren", record_consent=True, photo_consent=True)


@pytest.fixture
def photo(her):
    return PhotoFactory(photo_set=PhotoSetFactory(client=her))


def take_back(her):
    withdraw_consent(consent=Consent.objects.get(client=her, kind="photos"), by=StylistFactory(), at=now())


def file_of(photo, size):
    return reverse("photo-file", args=[photo.reference, size])


def pages_of(photo):
    """Every address that shows something of her photos or does something to them: (address, is it posted to)."""
    her, photo_set = photo.photo_set.client, photo.photo_set
    return [
        (reverse("photos", args=[her.reference]), False),
        (reverse("photo-set-new", args=[her.reference]), True),
        (reverse("photo-set", args=[photo_set.reference]), False),
        (reverse("photo-take", args=[photo_set.reference]), True),
        (reverse("photo", args=[photo.reference]), False),
        (reverse("photo-refile", args=[photo.reference]), True),
        (reverse("photo-show-outside", args=[photo.reference]), True),
        (reverse("photo-keep-inside", args=[photo.reference]), True),
        (reverse("photo-remove", args=[photo.reference]), True),
    ]


def ask(client, address, is_posted):
    return client.post(address) if is_posted else client.get(address)


# A file


@pytest.mark.parametrize("size", SIZES)
def test_whoever_may_see_it_gets_the_file_and_nothing_on_the_way_keeps_it(size, photo, client):
    client.force_login(StylistFactory())
    response = client.get(file_of(photo, size))
    assert response.status_code == 200
    with getattr(photo, size).open() as kept:
        assert response.getvalue() == kept.read()
    assert response["Content-Type"] == "image/jpeg"
    assert response["Cache-Control"] == "private, no-store"
    assert getattr(photo, size).name not in str(response.headers)


@pytest.mark.parametrize("size", SIZES)
def test_somebody_signed_out_is_led_to_the_sign_in_page(size, photo, client):
    response = client.get(file_of(photo, size))
    assert (response.status_code, response.url.split("?")[0]) == (302, reverse("sign-in"))


@pytest.mark.parametrize("size", SIZES)
def test_the_front_desk_may_not_open_it(size, photo, client):
    client.force_login(DeskFactory())
    assert client.get(file_of(photo, size)).status_code == 403


@pytest.mark.parametrize("role", [StylistFactory, OwnerFactory])
@pytest.mark.parametrize("size", SIZES)
def test_after_she_took_her_consent_back_nobody_may(size, role, photo, client):
    client.force_login(role())
    take_back(photo.photo_set.client)
    response = client.get(file_of(photo, size))
    assert response.status_code == 403
    assert "Photos of Ada Wren are locked" in response.content.decode()


def test_when_she_agrees_again_it_is_there_again(her, photo, client):
    client.force_login(StylistFactory())
    take_back(her)
    ConsentFactory(client=her, kind=ConsentKind.PHOTOS)
    assert client.get(file_of(photo, "page")).getvalue()


@pytest.mark.parametrize("size", ["original", "thumbs", "FULL"])
def test_a_size_that_is_none_is_no_page(size, photo, client):
    client.force_login(StylistFactory())
    assert client.get(file_of(photo, size)).status_code == 404


def test_a_removed_photo_has_no_files(photo, client):
    client.force_login(StylistFactory())
    remove_photo(photo=photo, because="blurred", by=StylistFactory(), at=now())
    for size in SIZES:
        assert client.get(file_of(photo, size)).status_code == 404


def test_a_photo_of_an_erased_client_is_no_page(her, photo, client):
    client.force_login(StylistFactory())
    type(her).objects.update(erased_at=now())
    for address, is_posted in [*pages_of(photo), (file_of(photo, "thumb"), False)]:
        assert ask(client, address, is_posted).status_code == 404


# Pages


def test_pages_are_not_for_the_front_desk(photo, client):
    client.force_login(DeskFactory())
    for address, is_posted in pages_of(photo):
        assert ask(client, address, is_posted).status_code == 403


def test_pages_are_kept_by_no_cache(photo, client):
    client.force_login(StylistFactory())
    for address, is_posted in pages_of(photo):
        if not is_posted:
            caching = client.get(address)["Cache-Control"]
            assert "no-store" in caching
            assert "private" in caching


def test_after_her_consent_every_page_is_a_calm_sentence_and_the_way_to_her_consents(her, photo, client):
    client.force_login(StylistFactory())
    take_back(her)
    for address, is_posted in pages_of(photo):
        response = ask(client, address, is_posted)
        page = response.content.decode()
        assert response.status_code == 403
        assert "None may be taken, and none of those kept may be opened by anybody." in page
        assert reverse("client-consents", args=[her.reference]) in page
        assert photo.reference not in page
    photo.refresh_from_db()
    assert not photo.is_removed


def test_a_page_that_sends_by_itself_hears_of_it_in_json(her, photo, client):
    client.force_login(StylistFactory())
    take_back(her)
    address = reverse("photo-take", args=[photo.photo_set.reference])
    response = client.post(address, headers={"Accept": "application/json"})
    assert response.status_code == 200
    assert response.json()["refused"].startswith("Ada Wren has not agreed to photos, or has taken it back.")


# Her own page


@pytest.fixture
def her_page(her, client):
    def seen_by(user):
        client.force_login(user)
        return " ".join(unescape(client.get(her.get_absolute_url()).content.decode()).split())

    return seen_by


def test_her_page_shows_the_newest_photos(photo, her_page):
    for angle in ("left", "turn"):
        turn = PhotoFactory(photo_set=photo.photo_set, angle=angle)
    page = her_page(StylistFactory())
    assert page.count(file_of(photo, "thumb")) == 2  # among the newest, and in the row of its set
    assert file_of(turn, "thumb") not in page
    assert "Stays in the record" in page
    assert reverse("photos", args=[photo.photo_set.client.reference]) in page


def test_her_page_shows_the_front_desk_nothing_of_them(photo, her_page):
    page = her_page(DeskFactory())
    for word in (photo.reference, "All photos", "photos/", "Stays in the record"):
        assert word not in page


def test_after_her_consent_her_page_says_that_there_are_photos_and_shows_none(her, photo, her_page):
    take_back(her)
    page = her_page(StylistFactory())
    assert "There are photos in her record. They are locked" in page
    for word in (photo.reference, "/thumb/", photo.photo_set.reference):
        assert word not in page


def test_before_her_consent_her_page_says_what_comes_first(her, her_page):
    take_back(her)
    page = her_page(StylistFactory())
    assert "She has not agreed to photos, so none may be taken." in page
    assert f"{reverse('client-consents', args=[her.reference])}#photos" in page


# Looks


def test_every_look_at_photos_is_recorded(her, photo, client):
    stylist = StylistFactory()
    client.force_login(stylist)
    for address in (reverse("photos", args=[her.reference]), photo.photo_set.get_absolute_url()):
        AccessEntry.objects.all().delete()
        client.get(address)
        entry = AccessEntry.objects.get()
        assert (entry.client, entry.user, entry.page) == (her, stylist, "photos")
    AccessEntry.objects.all().delete()
    client.get(photo.get_absolute_url())
    assert AccessEntry.objects.get().page == f"photo {photo.reference}"


def test_the_files_of_a_page_are_part_of_its_look(her, photo, client):
    client.force_login(StylistFactory())
    client.get(reverse("photos", args=[her.reference]))
    for size in SIZES:
        client.get(file_of(photo, size)).getvalue()
    assert AccessEntry.objects.count() == 1


def test_a_file_opened_by_its_address_alone_is_a_look(her, photo, client):
    client.force_login(StylistFactory())
    client.get(file_of(photo, "full")).getvalue()
    assert AccessEntry.objects.get().client == her


def test_a_refused_look_is_none(photo, client):
    client.force_login(DeskFactory())
    client.get(file_of(photo, "full"))
    client.get(photo.get_absolute_url())
    take_back(photo.photo_set.client)
    client.force_login(StylistFactory())
    client.get(file_of(photo, "full"))
    client.get(photo.get_absolute_url())
    assert not AccessEntry.objects.exists()
    assert Photo.objects.count() == 1
