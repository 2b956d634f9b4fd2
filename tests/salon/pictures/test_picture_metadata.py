"""Nothing but pixels: every rendition of a picture that was full of fields, read by a reader that is not ours.

The reader is ExifRead (general library, PyPI, 3.5); beside it the stored bytes are taken apart here, segment by segment
(ITU-T T.81 annex B), so that no field can hide where one reader does not look.
"""

import struct
from dataclasses import fields
from io import BytesIO

import exifread
import pytest
from PIL import Image

from salon.common.pictures import Renditions
from tests.salon.pictures.sent import (
    FORMATS,
    SERIAL_NUMBER,
    XMP,
    display_p3_profile,
    exif,
    rich,
    scene,
    segment,
    taken,
    with_segments,
    written,
)

JFIF, TABLES_AND_FRAME, SCAN, END = 0xE0, {0xDB, 0xC0, 0xC4, 0xDD}, 0xDA, 0xD9
GIVEAWAYS = [
    b"Exif",
    b"GPS",
    b"http://ns.adobe.com",
    b"xpacket",
    b"ICC_PROFILE",
    b"Photoshop",
    b"8BIM",
    b"MPF\x00",
    b"Adobe",
    b"Ada",
    b"Invented",
    b"Phone 9",
    SERIAL_NUMBER.rstrip(b"\x00"),
]


def jpegs(renditions):
    return {
        field.name: value for field in fields(Renditions) if isinstance(value := getattr(renditions, field.name), bytes)
    }


def read_by_another(data):
    return exifread.process_file(BytesIO(data), details=True, extract_thumbnail=True)


def segments(jpeg):
    """Every marker of a JPEG with its body, the scan's without its data; what lies behind the end has the marker 0."""
    assert jpeg[:2] == b"\xff\xd8"
    position = 2
    while True:
        assert jpeg[position] == 0xFF
        marker = jpeg[position + 1]
        if marker == END:
            break
        (length,) = struct.unpack_from(">H", jpeg, position + 2)
        yield marker, jpeg[position + 4 : position + 2 + length]
        position += 2 + length
        if marker == SCAN:
            while jpeg[position] != 0xFF or jpeg[position + 1] in {0x00, *range(0xD0, 0xD8)}:
                position += 1
    if jpeg[position + 2 :]:
        yield 0, jpeg[position + 2 :]


def assert_nothing_but_pixels(jpeg):
    assert read_by_another(jpeg) == {}
    assert [mark for mark in GIVEAWAYS if mark in jpeg] == []
    (first, head), *others = segments(jpeg)
    assert first == JFIF
    assert head == b"JFIF\x00\x01\x01\x00\x00\x01\x00\x01\x00\x00"  # no resolution, and a thumbnail of 0 × 0
    assert {marker for marker, _ in others} <= TABLES_AND_FRAME | {SCAN}
    assert set(Image.open(BytesIO(jpeg)).info) <= {"jfif", "jfif_version", "jfif_unit", "jfif_density"}


@pytest.mark.parametrize("form", FORMATS)
def test_nothing_of_a_picture_full_of_fields_is_kept(form):
    sent = rich(form)
    found = read_by_another(sent)
    assert {"GPS GPSLatitude", "EXIF BodySerialNumber", "Image Make", "EXIF DateTimeOriginal"} <= set(found)
    assert XMP in sent
    kept = jpegs(taken(sent))
    assert set(kept) == {"full", "page", "thumb"}
    for jpeg in kept.values():
        assert_nothing_but_pixels(jpeg)


def test_the_example_has_a_thumbnail_a_caption_and_a_comment_to_lose():
    sent = rich("JPEG")
    assert "JPEGThumbnail" in read_by_another(sent)
    info = Image.open(BytesIO(sent)).info
    assert info["comment"] == b"Taken by Ada at home"
    assert info["photoshop"][0x0404].endswith(b"Bath")


@pytest.mark.parametrize("form", FORMATS)
def test_a_colour_profile_is_followed_and_left_out(form):
    for jpeg in jpegs(taken(written(scene(), form, icc_profile=display_p3_profile(), exif=exif()))).values():
        assert_nothing_but_pixels(jpeg)


@pytest.mark.parametrize("marker", [*range(0xE0, 0xF0), 0xFE])
def test_no_segment_of_any_number_is_kept(marker):
    hidden = segment(marker, b"Ada's secret, in a segment that nobody knows")
    for jpeg in jpegs(taken(with_segments(written(scene(), "JPEG"), hidden))).values():
        assert_nothing_but_pixels(jpeg)


def test_a_second_picture_and_what_it_holds_are_left_behind():
    behind = written(scene(16, 16), "JPEG", exif=exif())
    for jpeg in jpegs(taken(written(scene(), "JPEG", exif=exif()) + behind)).values():
        assert_nothing_but_pixels(jpeg)


def test_print_colours_leave_no_segment_of_their_own():
    """Pillow marks a JPEG in print colours with one; ours are never in them."""
    sent = written(Image.fromarray(scene()).convert("CMYK"), "JPEG", exif=exif(), comment=b"Ada")
    for jpeg in jpegs(taken(sent)).values():
        assert_nothing_but_pixels(jpeg)
