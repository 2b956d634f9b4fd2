"""The pages of the ring's photos: taking, marking, reading, keeping, refusals, files, and what the ring then shows."""

import uuid
from html import unescape

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from pieces.models import RingPhoto, ShadeReading
from salon.colour.lab import css_hex
from salon.models import Salon
from tests.factories import DeskFactory
from tests.pieces.factories import RingPhotoFactory, ShadeFactory, ShadeReadingFactory, VariantFactory, plain_jpeg
from tests.pieces.ring.ring_pictures import marks_without, one_shade, row_marks, row_of_swatches, without_reference

pytestmark = pytest.mark.django_db

SWAP = {"HX-Request": "true"}


def text_of(response):
    assert response.status_code == 200, response.status_code
    return " ".join(unescape(response.content.decode()).split())


def send(client, content, name="shades.jpg", **fields):
    file = SimpleUploadedFile(name, content)
    return client.post(reverse("ring-photo-take"), {"file": file, "upload_key": uuid.uuid4(), **fields})


def marks_page(photo, **shown):
    return reverse("ring-photo", args=[photo.reference], query=shown)


@pytest.fixture
def picture():
    return one_shade()


@pytest.fixture
def photo(picture):
    return RingPhotoFactory(jpeg=picture.jpeg)


@pytest.fixture
def shade():
    return ShadeFactory(code="sedge", name="Sedge brown", unmeasured=True)


def read(client, photo, shade, marks, **fields):
    return client.post(marks_page(photo, shade=shade.pk), {"marks": marks, "read": "read", **fields})


def keep(client, photo, shade, marks):
    seen = read(client, photo, shade, marks).context["form"].read.fingerprint
    return client.post(marks_page(photo, shade=shade.pk), {"marks": marks, "seen": seen, "keep": "keep"})


# Taking


def test_a_photo_is_taken_in_and_asks_what_it_shows(stylist, shade):
    response = send(stylist, plain_jpeg())
    photo = RingPhoto.objects.get()
    assert response.status_code == 302
    assert response.url == photo.get_absolute_url()
    page = text_of(stylist.get(response.url))
    assert "One shade in this photo" in page
    assert "sedge Sedge brown" in page


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        (b"%PDF-1.7 no picture", "not a photo: JPEG, PNG, WebP and HEIC are taken in."),
        (plain_jpeg()[:-40], "part of it was lost on its way"),
        (b"", "This file is empty."),
    ],
)
def test_what_is_no_photo_is_refused_by_a_sentence(stylist, content, sentence):
    page = text_of(send(stylist, content))
    assert sentence in page
    assert not RingPhoto.objects.exists()


def test_sending_nothing_says_so(stylist):
    page = text_of(stylist.post(reverse("ring-photo-take"), {"upload_key": uuid.uuid4()}))
    assert "Take or choose a photo first." in page


def test_the_page_says_that_client_and_ring_must_be_read_the_same_way(stylist):
    page = text_of(stylist.get(reverse("ring-photos")))
    assert "A client's hair and the ring have to be read the same way" in page
    assert "No client in the picture." in page


def test_the_desk_sees_the_photos_and_takes_none(client, photo):
    client.force_login(DeskFactory())
    page = text_of(client.get(reverse("ring-photos")))
    assert reverse("ring-photo-file", args=[photo.reference, "thumb"]) in page
    assert "Take it in" not in page
    assert send(client, plain_jpeg()).status_code == 403


def test_the_photos_take_the_same_queries_for_two_as_for_six(stylist, queries_for):
    ShadeReadingFactory.create_batch(2)
    few = queries_for(reverse("ring-photos"), stylist)
    ShadeReadingFactory.create_batch(4)
    assert queries_for(reverse("ring-photos"), stylist) == few


@pytest.mark.parametrize("size", ["full", "page", "thumb"])
def test_a_file_is_handed_out_to_be_kept_nowhere(stylist, photo, size):
    response = stylist.get(reverse("ring-photo-file", args=[photo.reference, size]))
    assert response.headers["Content-Type"] == "image/jpeg"
    assert response.headers["Cache-Control"] == "private, no-store"
    assert response.getvalue().startswith(b"\xff\xd8\xff")


def test_there_is_no_other_size(stylist, photo):
    assert stylist.get(reverse("ring-photo-file", args=[photo.reference, "original"])).status_code == 404


# Which shades it shows


def test_a_row_is_listed_from_its_first_shade_in_the_rings_order(stylist, photo):
    shades = [ShadeFactory(code=code, mid_l=lightness) for code, lightness in [("b", 30), ("a", 20), ("c", 40)]]
    page = stylist.get(marks_page(photo, first=shades[1].pk, count=4))
    assert page.context["row"] == [str(shades[1].pk), str(shades[0].pk), str(shades[2].pk), ""]


@pytest.mark.parametrize(
    ("asked", "sentence"),
    [
        ({"row": [1, 1]}, "is chosen twice."),
        ({"row": range(1, 14)}, "A row has up to 12 swatches."),
        ({"row": [1, 99999]}, "One of the shades is not in the ring."),
        ({"shade": "\x00"}, "One of the shades is not in the ring."),
        ({"shade": [1, 2]}, "One shade at a time is read at three zones."),
    ],
)
def test_what_is_no_row_is_said_and_stays_as_it_was_chosen(stylist, photo, asked, sentence):
    keys = {number: shade.pk for number, shade in enumerate(ShadeFactory.create_batch(13), start=1)}
    values = {
        name: [keys.get(one, one) for one in chosen] if not isinstance(chosen, str) else chosen
        for name, chosen in asked.items()
    }
    response = stylist.get(marks_page(photo, **values))
    assert sentence in text_of(response)
    assert response.context["row"] == [str(key) for key in values.get("row", [])][:12]


def test_how_many_swatches_must_be_a_number_from_one_to_twelve(stylist, photo, shade):
    page = text_of(stylist.get(marks_page(photo, first=shade.pk, count=13)))
    assert "Write how many, from 1 to 12." in page


# Marking and reading


def test_the_mark_page_lists_card_chart_and_three_spots_of_each_zone(stylist, photo, shade):
    page = text_of(stylist.get(marks_page(photo, shade=shade.pk)))
    assert reverse("ring-photo-file", args=[photo.reference, "full"]) in page
    for target in ("card", "chart-1", "chart-4", "root:1", "mid:3", "ends:3"):
        assert f'data-target="{target}"' in page


def test_the_mark_page_of_a_row_lists_each_swatch_and_says_what_its_one_colour_counts_for(stylist, photo):
    shades = [ShadeFactory(), ShadeFactory(root_l=15, ends_l=50, code="ombre")]
    page = text_of(stylist.get(marks_page(photo, row=[shade.pk for shade in shades])))
    for target in (f"shade-{shade.pk}:{spot}" for shade in shades for spot in (1, 2, 3)):
        assert f'data-target="{target}"' in page
    assert "Its one colour counts for roots, mid-length and ends alike." in page
    assert "ombre Deep warm brown runs from root to ends, which one colour can't tell." in page


def test_what_was_read_is_shown_and_nothing_is_kept_yet(stylist, photo, shade, picture):
    response = read(stylist, photo, shade, picture.with_card)
    page = text_of(response)
    assert "This is what it reads" in page
    for region in response.context["form"].read.told.regions:
        assert " ".join(region.colour.split()) in page  # its spaces keep letters and numbers on one line
        assert region.doubt in page
    assert "not read this way before." in page
    assert not ShadeReading.objects.exists()


def test_a_swap_gets_what_was_read_alone_and_the_page_keeps_the_marks(stylist, photo, shade, picture):
    address = marks_page(photo, shade=shade.pk)
    posted = {"marks": picture.with_card, "read": "read"}
    swap = text_of(stylist.post(address, posted, headers=SWAP))
    assert swap.startswith('<div id="ring-read">')
    assert "<colour-marks>" not in swap
    page = stylist.post(address, posted)
    assert page.context["marking"].marks == picture.with_card


def test_keeping_what_was_seen_puts_it_on_the_ring(stylist, photo, shade, picture):
    response = keep(stylist, photo, shade, picture.with_card)
    assert (response.status_code, response.url) == (302, photo.get_absolute_url())
    reading = ShadeReading.objects.get()
    assert (reading.shade, reading.read_by) == (shade, stylist.get(response.url).context["user"])
    page = text_of(stylist.get(response.url))
    assert "Kept: 1 shade read from this photo." not in page, "said once, on the page before"
    ring = text_of(stylist.get(reverse("shades")))
    assert "Photo with the grey card" in ring
    assert f"give or take {reading.doubt:.1f}" in ring
    assert "not measured" not in ring


def test_keeping_twice_keeps_one_row(stylist, photo, shade, picture):
    for _ in range(2):
        assert keep(stylist, photo, shade, picture.with_card).status_code == 302
    assert ShadeReading.objects.count() == 1


@pytest.mark.parametrize("change", ["marks", "setting", "never seen"])
def test_what_was_not_seen_is_shown_and_not_kept(stylist, photo, shade, picture, change):
    seen = read(stylist, photo, shade, picture.with_card).context["form"].read.fingerprint
    marks = picture.with_card
    if change == "marks":
        marks = marks.replace("0.64", "0.66")
    if change == "setting":
        Salon.objects.update(card_reflectance_percent=20)
    if change == "never seen":
        seen = ""
    response = read(stylist, photo, shade, marks, seen=seen, keep="keep")
    assert "nothing was kept. This is what it reads now." in text_of(response)
    assert not ShadeReading.objects.exists()


def test_a_big_step_from_the_reading_before_is_pointed_out(stylist, photo, shade, picture):
    ShadeReadingFactory(shade=shade, lightness=80.0)
    page = text_of(read(stylist, photo, shade, picture.with_card))
    assert "A big step: sedge reads ΔE00" in page.replace("</span>", "").replace('<span class="word">', "")


def test_a_row_is_read_and_kept(stylist):
    shades = ShadeFactory.create_batch(3)
    jpeg, card, spots = row_of_swatches([(22.0, 4.0, 6.0), (35.0, 8.0, 16.0), (55.0, 7.0, 22.0)])
    photo = RingPhotoFactory(jpeg=jpeg)
    address = marks_page(photo, row=[shade.pk for shade in shades])
    posted = {"marks": row_marks(shades, card, spots)}
    seen = stylist.post(address, posted).context["form"].read.fingerprint
    assert stylist.post(address, posted | {"seen": seen, "keep": "keep"}).status_code == 302
    assert [reading.shade for reading in ShadeReading.objects.order_by("pk")] == shades
    assert "One colour, from a row" in text_of(stylist.get(reverse("shades")))


# Refusals


def test_a_photo_without_card_or_chart_is_refused_with_what_to_change(stylist, photo, shade, picture):
    page = text_of(read(stylist, photo, shade, without_reference(picture.with_card)))
    assert "Neither the grey card nor the chart is marked on this photo" in page
    assert "Take it again with the card or the chart beside the hair" in page
    assert "Keep this colour" not in page


def test_a_zone_that_was_not_marked_is_asked_for(stylist, photo, shade, picture):
    page = text_of(read(stylist, photo, shade, marks_without(picture.with_card, "ends")))
    assert "There is no spot yet on the ends." in page


@pytest.mark.parametrize("marks", ["", "{", '{"reference": 4, "spots": {}}', "\x00"])
def test_marks_that_did_not_arrive_whole_are_said_and_nothing_is_kept(stylist, photo, shade, marks):
    page = text_of(read(stylist, photo, shade, marks, keep="keep"))
    assert "Keep this colour" not in page
    assert not ShadeReading.objects.exists()


def test_a_missing_file_is_said(stylist, photo, shade, picture):
    photo.full.storage.delete(photo.full.name)
    assert "The file of this photo is missing." in text_of(read(stylist, photo, shade, picture.with_card))


def test_a_photo_taken_away_shows_what_was_read_and_can_not_be_marked(
    stylist, photo, shade, picture, django_capture_on_commit_callbacks
):
    keep(stylist, photo, shade, picture.with_card)
    with django_capture_on_commit_callbacks(execute=True):
        stylist.post(reverse("ring-photo-remove", args=[photo.reference]))
    assert stylist.get(reverse("ring-photo-file", args=[photo.reference, "full"])).status_code == 404
    page = text_of(stylist.get(marks_page(photo, shade=shade.pk)))
    assert "The picture was taken away. What was read from it stays." in page
    assert "sedge" in page
    assert "One shade in this photo" not in page
    assert "Take this photo away" not in page
    assert "The picture was taken away." in text_of(stylist.get(reverse("ring-photos")))


def test_a_photo_never_read_is_taken_away_by_a_button_pressed_twice(stylist, photo):
    for _ in range(2):
        answer = stylist.post(reverse("ring-photo-remove", args=[photo.reference]), follow=True)
        assert "The photo is taken away." in text_of(answer)


# The ring


def test_the_ring_tells_of_each_shade_on_which_scale_by_what_when_and_how_sure(stylist):
    both = ShadeFactory(code="sedge")
    reading = ShadeReadingFactory(shade=both, doubt=2.34)
    ShadeReadingFactory(shade=both, doubt=3.0, read_at=reading.read_at.replace(year=2020))
    ShadeFactory(code="fawn", unmeasured=True)
    ring = stylist.get(reverse("shades"))
    rows = {row.shade.code: row.ways for row in ring.context["ring"]}
    assert [(way.by_what, way.scale, way.doubt, way.earlier) for way in rows["sedge"]] == [
        ("Instrument", "instrument", None, 0),
        ("Photo with the grey card", "card-1", 2.34, 1),
    ]
    assert rows["fawn"] == ()
    page = text_of(ring)
    assert "not measured" in page
    assert f"{reading.read_by}; 1 earlier" in page
    assert "give or take 2.3" in page


@pytest.mark.parametrize(
    ("reading", "remark"),
    [
        ({"details": {"setting": {"card_reflectance_percent": 20}}}, "Read with the card at 20 %, which is now 18 %"),
        ({"details": {"setting": {"chart_edition": "before"}}}, "Read with a chart made before November 2014"),
        ({"routine_version": "card-0"}, "By an earlier routine (card-0): read it anew to compare it"),
        ({"details": {"one_colour": True}}, "One colour, from a row"),
    ],
)
def test_the_ring_says_what_to_know_before_a_reading_is_compared(stylist, reading, remark):
    ShadeReadingFactory(**reading)
    assert remark in text_of(stylist.get(reverse("shades")))


def test_the_ring_takes_the_same_queries_for_two_shades_as_for_six(stylist, queries_for):
    ShadeReadingFactory.create_batch(2, shade__unmeasured=True)
    few = queries_for(reverse("shades"), stylist)
    ShadeReadingFactory.create_batch(4, shade__unmeasured=True)
    assert queries_for(reverse("shades"), stylist) == few


def test_a_shade_that_only_photos_read_is_shown_as_they_read_it(stylist):
    variant = VariantFactory(shade__unmeasured=True)
    address = reverse("piece", args=[variant.piece_id])
    assert "not measured" in text_of(stylist.get(address))
    ShadeReadingFactory(shade=variant.shade)
    page = text_of(stylist.get(address))
    assert "not measured" not in page
    assert css_hex((40.0, 6.0, 10.0)) in page


def test_shades_read_both_ways_are_told_with_their_correction(stylist):
    for lightness in (18, 30, 42, 54):
        lab = {f"{zone}_l": lightness for zone in ("root", "mid", "ends")}
        ShadeReadingFactory(shade=ShadeFactory(**lab), lightness=lightness + 14.0)
    page = text_of(stylist.get(reverse("ring-both-ways")))
    assert "An instrument and photos with the grey card" in page
    assert "Photos with the grey card read 14.0 lighter (L*)" in page
    assert "more needed" not in page


def test_under_four_shades_say_how_many_are_still_needed(stylist):
    ShadeReadingFactory()
    page = text_of(stylist.get(reverse("ring-both-ways")))
    assert "3 more needed:" in page
    assert "1 shade read both ways, and from four on one way leads to the other." in page


def test_a_ring_read_one_way_says_what_to_do(stylist):
    ShadeFactory()
    page = text_of(stylist.get(reverse("ring-both-ways")))
    assert "The ring is read in one way only so far." in page
    assert "Read shades from a photo" in page
