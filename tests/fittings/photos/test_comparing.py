"""Two sets of photos compared: which pair, which angle, by which photos, and what is said where nothing is to show."""

import re
from datetime import timedelta
from html import unescape

import pytest
from django.urls import reverse
from django.utils.timezone import now

from clients.consenting import withdraw_consent
from clients.models import AccessEntry
from clients.photos import remove_photo
from fittings.photos.comparing import Comparison, pair_asked_for, sets_to_compare
from fittings.visiting import begin_visit
from tests.clients.factories import PhotoFactory, PhotoSetFactory, tiny_picture
from tests.factories import ClientFactory, DeskFactory, StylistFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def stylist(client):
    stylist = StylistFactory()
    client.force_login(stylist)
    return stylist


@pytest.fixture
def her(stylist):
    return ClientFactory(given_name="Ada", family_name="Wren", record_consent=True, photo_consent=True)


@pytest.fixture
def photographed(her, stylist):
    """`photographed(days_ago, *angles, moment=…)`: a set of hers with a photo of each angle."""

    def take(days_ago, *angles, moment="own hair", of=her):
        at = now() - timedelta(days=days_ago)
        photo_set = PhotoSetFactory(client=of, moment=moment, by=stylist, at=at)
        for angle in angles:
            PhotoFactory(photo_set=photo_set, angle=angle, by=stylist, at=at)
        return photo_set

    return take


@pytest.fixture
def page(her, client):
    """The page's words; what is asked for goes behind the “?”."""

    def get(status=200, **asked):
        response = client.get(reverse("photos-compare", args=[her.reference]), asked)
        assert response.status_code == status
        return " ".join(unescape(response.content.decode()).split())

    return get


def pair(her, one="", other=""):
    return [entry.photo_set for entry in pair_asked_for(sets_to_compare(her), one, other)]


def files(page):
    return re.findall(r"/photos/(P-\w+)/page/", page)


# Which pair


def test_the_newest_two_sets_are_compared_with_the_older_on_the_left(her, photographed):
    photographed(400, "front")
    before, last = photographed(90, "front"), photographed(2, "front")
    assert pair(her) == [before, last]


def test_a_set_from_other_sides_is_passed_over(her, photographed):
    both = photographed(200, "front", "top")
    photographed(90, "front")
    last = photographed(2, "top")
    assert pair(her) == [both, last]


def test_where_the_newest_shares_no_side_the_newest_two_that_do_are_compared(her, photographed):
    first, second = photographed(300, "front"), photographed(200, "front")
    photographed(2, "top")
    assert pair(her) == [first, second]


def test_the_pair_asked_for_is_compared_as_it_was_asked_for(her, photographed):
    old, _, new = (photographed(days, "front") for days in (300, 200, 2))
    assert pair(her, new.reference, old.reference) == [new, old]


@pytest.mark.parametrize("side", ["one", "other"])
def test_a_set_asked_for_alone_stays_on_its_side_beside_the_newest_that_goes_with_it(side, her, photographed):
    old, newer = photographed(300, "front"), photographed(200, "front")
    photographed(2, "top")
    expected = [old, newer] if side == "one" else [newer, old]
    assert pair(her, **{side: old.reference}) == expected


def test_sets_of_turns_and_colours_alone_are_none_to_compare(her, photographed):
    photographed(300, "front")
    photographed(2, "turn", "turn", "colour")
    assert len(sets_to_compare(her)) == 1


@pytest.mark.parametrize("asked", ["S-00000000", "nothing", "\x00"])
def test_a_set_that_is_none_of_hers_is_no_page(asked, photographed, page):
    photographed(300, "front")
    photographed(2, "front")
    elsewhere = photographed(2, "front", of=ClientFactory(photo_consent=True))
    page(one=asked, status=404)
    page(other=elsewhere.reference, status=404)


# Which angle, and which photos


def test_the_first_side_that_both_have_is_shown_and_the_others_are_offered(photographed, page):
    photographed(90, "left", "top", "back")
    photographed(2, "top", "front", "left")
    found = page()
    assert re.findall(r'aria-current="page">(\w+)</a>', found)[-1] == "Left"
    assert "angle=top" in found
    for not_shared in ("angle=front", "angle=back"):
        assert not_shared not in found


def test_the_side_asked_for_is_shown_by_the_newest_photo_of_each_set(photographed, page):
    old, new = photographed(90, "front", "top"), photographed(2, "front", "top")
    again = PhotoFactory(photo_set=new, angle="top", at=new.begun_at + timedelta(minutes=5))
    assert files(page(angle="top")) == [old.photos.get(angle="top").reference, again.reference]


@pytest.mark.parametrize("asked", ["back", "turn", "nonsense"])
def test_a_side_that_one_lacks_gives_the_first_that_both_have(asked, photographed, page):
    old = photographed(90, "front", "back")
    photographed(2, "front")
    assert files(page(angle=asked))[0] == old.photos.get(angle="front").reference


def test_a_removed_photo_is_not_shown(photographed, page, stylist):
    old, new = photographed(90, "front", "top"), photographed(2, "front", "top")
    remove_photo(photo=new.photos.get(angle="front"), because="blurred", by=stylist, at=now())
    assert files(page()) == [one.photos.get(angle="top").reference for one in (old, new)]


def test_what_only_one_set_has_is_named(photographed, page):
    photographed(90, "front", "back", "top")
    photographed(2, "front", "left", moment="piece on")
    found = page()
    assert re.search(r"Only in “own hair, \d+ \w+ \d{4}”: back, top\.", found)
    assert re.search(r"Only in “with the piece on, \d+ \w+ \d{4}”: left\.", found)


def test_each_picture_says_moment_date_and_visit(her, photographed, page, stylist):
    photographed(90, "front")
    visit = begin_visit(client=her, stylist=stylist, at=now())
    with_it = photographed(0, "front", moment="piece on")
    visit.photo_sets.create(photo_set=with_it)
    found = page()
    assert re.search(r"<strong>Own hair</strong> <span>\d+ \w+ \d{4}, between visits</span>", found)
    assert re.search(rf'<strong>With the piece on</strong> <a href="{visit.get_absolute_url()}">Visit of \d+', found)


@pytest.mark.parametrize(
    ("sizes", "wide"), [([(64, 48), (80, 60)], True), ([(64, 48), (48, 64)], False), ([(48, 64), (48, 64)], False)]
)
def test_both_pictures_get_a_box_that_suits_both(sizes, wide, her, photographed):
    for days_ago, size in zip((90, 2), sizes, strict=True):
        photo_set = photographed(days_ago)
        PhotoFactory(photo_set=photo_set, picture=tiny_picture(size=size), at=photo_set.begun_at)
    assert Comparison(*pair_asked_for(sets_to_compare(her), "", "")).is_wide is wide


def test_it_tells_dates_and_judges_nothing(photographed, page):
    photographed(90, "front", "back")
    photographed(2, "front", "top", moment="piece on")
    words = re.sub(r"<[^>]*>", " ", page().split("<main")[1])
    assert not re.search(r"better|worse|improv|progress|recover|before|after|gain|lost", words, re.IGNORECASE)


# Nothing to compare


@pytest.mark.parametrize(
    ("taken", "says"), [([], "So far there is none."), (["front"], "So far there is one such set")]
)
def test_with_fewer_than_two_sets_it_says_what_is_needed(taken, says, photographed, page):
    for angle in taken:
        photographed(2, angle)
    found = page()
    assert "Two sets of photos are needed, taken from the same side" in found
    assert says in found


def test_two_sets_from_different_sides_are_said_to_share_none_and_others_can_be_chosen(photographed, page):
    photographed(90, "front")
    photographed(2, "top")
    found = page()
    assert "No side of her head is in both sets." in found
    assert found.count("<option") == 4


def test_the_same_set_on_both_sides_asks_for_another(photographed, page):
    photographed(90, "front")
    new = photographed(2, "front")
    assert "The same set is chosen on both sides." in page(one=new.reference, other=new.reference)


# Who may


def test_it_is_kept_by_no_cache_and_the_look_is_recorded(her, photographed, client):
    photographed(2, "front")
    response = client.get(reverse("photos-compare", args=[her.reference]))
    assert {"no-store", "private"} <= {*response["Cache-Control"].split(", ")}
    assert AccessEntry.objects.get().page == "photos"


def test_after_her_consent_it_is_locked_and_not_a_look(her, photographed, page, stylist):
    photo_set = photographed(2, "front")
    withdraw_consent(consent=her.consents.get(kind="photos"), by=stylist, at=now())
    found = page(status=403)
    assert "Photos of Ada Wren are locked" in found
    assert photo_set.reference not in found
    assert not AccessEntry.objects.exists()


def test_it_is_not_for_the_front_desk(her, client, page):
    client.force_login(DeskFactory())
    page(status=403)


def test_many_sets_take_no_more_queries_than_two(her, photographed, queries_for):
    address = reverse("photos-compare", args=[her.reference])
    for days_ago in (90, 2):
        photographed(days_ago, "front", "left")
    few = queries_for(address)
    for days_ago in (500, 400, 300):
        photographed(days_ago, "front", "top")
    assert queries_for(address) == few
