"""The turn of a set: its frames in order, with or without a script, and who may see them."""

import re
from html import unescape

import pytest
from django.urls import reverse
from django.utils.timezone import now

from clients.consenting import withdraw_consent
from clients.models import AccessEntry, Photo
from clients.photos import remove_photo
from tests.clients.factories import PhotoFactory, PhotoSetFactory
from tests.factories import DeskFactory, StylistFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def stylist(client):
    stylist = StylistFactory()
    client.force_login(stylist)
    return stylist


@pytest.fixture
def photo_set(stylist):
    return PhotoSetFactory(client__given_name="Ada", client__family_name="Wren", by=stylist)


@pytest.fixture
def page(photo_set, client):
    def get(status=200):
        response = client.get(reverse("photos-turn", args=[photo_set.reference]))
        assert response.status_code == status
        return " ".join(unescape(response.content.decode()).split())

    return get


def take_turn(photo_set, *places):
    return [PhotoFactory(photo_set=photo_set, angle="turn", frame=place) for place in places]


def test_its_frames_come_in_order_whatever_was_taken_first_and_whatever_place_is_empty(photo_set, page):
    taken = take_turn(photo_set, 7, 2, 12)
    PhotoFactory(photo_set=photo_set, angle="front")
    frames = re.findall(r"/photos/(P-\w+)/page/", page())
    assert frames == [taken[1].reference, taken[0].reference, taken[2].reference]


def test_it_is_spun_by_a_slider_with_a_place_for_each_frame(photo_set, page):
    take_turn(photo_set, *range(1, 25))
    assert 'type="range" id="turn-frame" min="1" max="24"' in page()


def test_a_removed_frame_leaves_the_others(photo_set, page, stylist):
    first, second, third = take_turn(photo_set, 1, 2, 3)
    remove_photo(photo=second, because="blurred", by=stylist, at=now())
    assert re.findall(r"/photos/(P-\w+)/page/", page()) == [first.reference, third.reference]


def test_one_frame_is_shown_and_said_to_wait_for_a_second(photo_set, page):
    take_turn(photo_set, 1)
    found = page()
    assert "with a second it can be spun" in found
    assert 'type="range"' not in found


def test_a_set_without_a_turn_says_what_one_is(photo_set, page):
    PhotoFactory(photo_set=photo_set, angle="front")
    assert "This set has no turn. A turn is two to 24 photos" in page()


def test_it_is_kept_by_no_cache_and_the_look_is_recorded(photo_set, client):
    response = client.get(reverse("photos-turn", args=[photo_set.reference]))
    assert {"no-store", "private"} <= {*response["Cache-Control"].split(", ")}
    assert AccessEntry.objects.get().page == "photos"


def test_after_her_consent_it_is_locked_and_not_a_look(photo_set, page, stylist):
    take_turn(photo_set, 1, 2)
    withdraw_consent(consent=photo_set.client.consents.get(), by=stylist, at=now())
    found = page(status=403)
    assert "Photos of Ada Wren are locked" in found
    assert not any(photo.reference in found for photo in Photo.objects.all())
    assert not AccessEntry.objects.exists()


def test_it_is_not_for_the_front_desk(photo_set, client, page):
    client.force_login(DeskFactory())
    page(status=403)


def test_the_page_of_the_set_leads_to_it_once_it_can_be_spun(photo_set, client):
    way = reverse("photos-turn", args=[photo_set.reference])
    take_turn(photo_set, 1)
    assert way not in client.get(photo_set.get_absolute_url()).content.decode()
    take_turn(photo_set, 2)
    assert way in client.get(photo_set.get_absolute_url()).content.decode()
