"""The pages with all photos, one set and one photo: what they show, and what is done from there."""

from datetime import timedelta
from html import unescape

import pytest
from django.urls import reverse
from django.utils.timezone import now

from clients.consenting import withdraw_consent
from clients.models import Consent, Photo, PhotoSet
from clients.models.consent import ConsentKind
from clients.photos import remove_photo, show_outside
from fittings.photos.views import SETS_A_PAGE
from fittings.visiting import begin_visit
from salon.common.days import day_said
from tests.clients.factories import PhotoFactory, PhotoSetFactory
from tests.factories import ClientFactory, ConsentFactory, StylistFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def stylist(client):
    stylist = StylistFactory(first_name="Imke", last_name="Valcourt")
    client.force_login(stylist)
    return stylist


@pytest.fixture
def her(stylist):
    return ClientFactory(given_name="Ada", family_name="Wren", record_consent=True, photo_consent=True)


@pytest.fixture
def photo_set(her, stylist):
    return PhotoSetFactory(client=her, by=stylist)


@pytest.fixture
def photo(photo_set, stylist):
    return PhotoFactory(photo_set=photo_set, by=stylist)


@pytest.fixture
def shown(client):
    """A page's words, spaces evened out."""

    def page(address, status=200):
        response = client.get(address)
        assert response.status_code == status
        return " ".join(unescape(response.content.decode()).split())

    return page


@pytest.fixture
def do(client):
    """Press a button of a photo's page; what is said of it."""

    def press(name, photo, **fields):
        response = client.post(reverse(name, args=[photo.reference]), fields)
        assert response.url == photo.get_absolute_url()
        photo.refresh_from_db()
        return " ".join(str(message) for message in client.get(response.url).context["messages"])

    return press


def all_photos(her):
    return reverse("photos", args=[her.reference])


def thumb(photo):
    return reverse("photo-file", args=[photo.reference, "thumb"])


# All photos


def test_before_the_first_photo_the_page_says_what_to_do(her, shown):
    page = shown(all_photos(her))
    assert "No photos yet. Begin with her own hair" in page
    assert "Take photos: own hair" in page
    assert "Compare two sets" not in page


def test_each_set_says_its_moment_its_visit_and_shows_a_tile_for_the_whole_turn(her, photo, stylist, client, shown):
    begin_visit(client=her, stylist=stylist, at=now())
    client.post(reverse("photo-set-new", args=[her.reference]), {"moment": "piece on"})
    in_visit = PhotoSet.objects.get(moment="piece on")
    turn = [PhotoFactory(photo_set=in_visit, angle="turn") for _ in range(3)]
    page = shown(all_photos(her))
    assert page.index("With the piece on,") < page.index("Own hair,")
    assert page.count("Visit of") == page.count("Between visits") == 1
    assert thumb(photo) in page
    assert [thumb(frame) in page for frame in turn] == [True, False, False]
    assert "Turn of 3 photos" in page
    assert reverse("photos-turn", args=[in_visit.reference]) in page
    assert reverse("photos-compare", args=[her.reference]) in page


def test_a_removed_photo_is_a_quiet_line(her, photo, stylist, shown):
    remove_photo(photo=photo, because="she blinked", by=stylist, at=now())
    page = shown(all_photos(her))
    assert f"Front: removed on {day_said(now())} by Imke Valcourt: she blinked" in page
    assert thumb(photo) not in page
    assert "Nothing is in it any more." in page


def test_every_photo_says_in_words_whether_it_may_be_shown_outside(her, photo, stylist, shown):
    ConsentFactory(client=her, kind=ConsentKind.PUBLICITY)
    for _ in range(2):
        frame = PhotoFactory(photo_set=photo.photo_set, angle="turn")
    assert shown(all_photos(her)).count("Stays in the record") == 2
    show_outside(photo=photo, by=stylist, at=now())
    show_outside(photo=frame, by=stylist, at=now())
    page = shown(all_photos(her))
    assert "Stays in the record" not in page
    assert "◆</span> May be shown outside" in page
    assert "1 of 2 may be shown outside" in page
    withdraw_consent(consent=Consent.objects.get(kind="publicity"), by=stylist, at=now())
    assert shown(all_photos(her)).count("Stays in the record") == 2


def test_sets_are_paged(her, shown):
    for days in range(SETS_A_PAGE + 1):
        PhotoSetFactory(client=her, at=now() - timedelta(days=days))
    first, second = shown(all_photos(her)), shown(f"{all_photos(her)}?page=2")
    assert first.count('photo-set" aria-labelledby') == SETS_A_PAGE
    assert second.count('photo-set" aria-labelledby') == 1


def test_a_photo_of_somebody_else_is_not_among_hers(her, shown):
    other = PhotoFactory()
    assert other.reference not in shown(all_photos(her))


def test_all_pages_take_the_same_queries_for_one_photo_as_for_thirty(her, photo, queries_for):
    addresses = [all_photos(her), photo.photo_set.get_absolute_url(), photo.get_absolute_url(), her.get_absolute_url()]
    few = [queries_for(address) for address in addresses]
    ConsentFactory(client=her, kind=ConsentKind.PUBLICITY)
    for moment in ("own hair", "piece on"):
        another = PhotoSetFactory(client=her, moment=moment)
        for angle in ("front", "left", "back", "turn", "turn", "colour"):
            for photo_set in (another, photo.photo_set):
                extra = PhotoFactory(photo_set=photo_set, angle=angle)
                show_outside(photo=extra, by=extra.taken_by, at=now())
    assert [queries_for(address) for address in addresses] == few


def test_a_file_takes_few_queries(photo, stylist, client, django_assert_num_queries):
    client.get(thumb(photo)).getvalue()  # the look is recorded by then
    with django_assert_num_queries(8):  # session, user, salon, two of rights, photo, consent, the look before this one
        client.get(thumb(photo)).getvalue()


# One set


def test_a_set_has_a_tile_for_each_angle_with_what_was_taken(photo, shown):
    page = shown(photo.photo_set.get_absolute_url())
    assert page.count('data-angle="') == 7
    assert page.count("○ None yet") == 6
    assert "✓ 1 taken" in page
    assert thumb(photo) in page
    assert page.count('capture="environment"') == 7
    assert "blob:" not in page


def test_a_set_whose_moment_is_over_takes_no_more_and_offers_a_new_one(photo, shown):
    PhotoSet.objects.update(begun_at=now() - timedelta(days=40))
    page = shown(photo.photo_set.get_absolute_url())
    assert "What is taken now is a new set" in page
    assert "<photo-intake" not in page
    assert thumb(photo) in page


# One photo


def test_a_photo_says_what_it_shows_when_and_by_whom(photo, shown):
    page = shown(photo.get_absolute_url())
    assert reverse("photo-file", args=[photo.reference, "page"]) in page
    assert "by Imke Valcourt" in page
    assert "<dd>Own hair</dd>" in page
    assert "Between visits" in page


def test_a_photo_is_filed_under_another_angle(photo, do):
    assert do("photo-refile", photo, angle="left") == "Filed under: Left."
    assert photo.angle == "left"
    assert do("photo-refile", photo, angle="below") == "Choose from where the photo looks at her head."


def test_without_a_publicity_consent_the_page_says_where_to_ask_for_it(photo, her, shown, do):
    page = shown(photo.get_absolute_url())
    assert "each photo only after I have seen it" in page
    assert f"{reverse('client-consents', args=[her.reference])}#publicity" in page
    assert "says yes to showing it" not in page
    assert "has not agreed to photos being shown outside" in do("photo-show-outside", photo)
    assert not photo.may_be_shown_outside


def test_she_says_yes_to_a_photo_and_takes_it_back(photo, her, shown, do):
    consent = ConsentFactory(client=her, kind=ConsentKind.PUBLICITY)
    page = shown(photo.get_absolute_url())
    assert "She has seen it and says yes to showing it outside" in page
    assert consent.text in page
    assert "Stays in the record" in page
    assert "may be shown outside" in do("photo-show-outside", photo)
    assert photo.may_be_shown_outside
    assert "written down by Imke Valcourt" in shown(photo.get_absolute_url())
    assert "stays in the record" in do("photo-keep-inside", photo)
    assert not photo.may_be_shown_outside


def test_a_photo_is_removed_after_one_more_question(photo, client, do):
    address = reverse("photo-remove", args=[photo.reference])
    asked = client.post(address, {"because": "she <blinked>"}).content.decode()
    assert "Remove this photo for good?" in asked
    assert 'value="she &lt;blinked&gt;"' in asked
    photo.refresh_from_db()
    assert not photo.is_removed
    assert do("photo-remove", photo, because="she <blinked>", sure="yes").startswith("The photo is removed.")
    assert photo.removed_because == "she <blinked>"


def test_without_a_reason_a_photo_is_not_removed(photo, client):
    response = client.post(reverse("photo-remove", args=[photo.reference]), {"because": " ", "sure": "yes"})
    assert response.status_code == 422
    assert "Write why the photo is removed." in response.content.decode()
    assert not Photo.objects.get().is_removed


def test_a_removed_photo_has_a_page_that_says_so(photo, stylist, shown, do):
    remove_photo(photo=photo, because="she blinked", by=stylist, at=now())
    page = shown(photo.get_absolute_url())
    assert "by Imke Valcourt: she blinked" in page
    assert "<img" not in page
    for name, fields in (
        ("photo-refile", {"angle": "left"}),
        ("photo-show-outside", {}),
        ("photo-keep-inside", {}),
        ("photo-remove", {"because": "again"}),
    ):
        assert "This photo was removed on" in do(name, photo, **fields)


# The way there


def test_every_step_of_a_visit_leads_to_her_photos(her, stylist, shown):
    visit = begin_visit(client=her, stylist=stylist, at=now())
    assert all_photos(her) in shown(reverse("consult-story", args=[visit.reference]))
    assert all_photos(her) in shown(reverse("fittings"))
