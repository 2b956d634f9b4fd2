"""What is not taken in, each with the sentence that says why; and for any bytes at all, nothing but such a sentence."""

import struct
import tarfile
import tracemalloc
import zipfile
import zlib
from io import BytesIO

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from PIL import Image, ImageFile

from salon.common.pictures import LARGEST_BYTES, PictureRefused, take_in
from tests.salon.pictures.sent import FORMATS, chunk, exif, scene, segment, taken, with_chunks, with_segments, written

BY_FORMAT = pytest.mark.parametrize("form", FORMATS)
GOOD = {form: written(scene(), form, exif=exif()) for form in FORMATS} | {
    "progressive JPEG": written(scene(), "JPEG", progressive=True),
    "HEIC of tiles": written(scene(160, 128), "HEIF", tile_size=64),
}


def refusal(data):
    with pytest.raises(PictureRefused) as refused:
        taken(data)
    (sentence,) = refused.value.messages
    return sentence


# Not a picture, or not one of the four


def zipped():
    file = BytesIO()
    with zipfile.ZipFile(file, "w") as archive:
        archive.writestr(zipfile.ZipInfo("hello.txt"), "hello " * 20)  # 1980: the hour must not name the tests
    return file.getvalue()


def tarred():
    file = BytesIO()
    with tarfile.open(fileobj=file, mode="w", format=tarfile.USTAR_FORMAT) as archive:
        archive.addfile(tarfile.TarInfo("hello.txt"))
    return file.getvalue()


SVG = b'<?xml version="1.0"?>\n<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>'
PDF = b"%PDF-1.7\n1 0 obj<</Type/Catalog>>endobj\ntrailer<</Root 1 0 R>>\n%%EOF"
PAGE = b"<!DOCTYPE html><html><body><script>alert(1)</script></body></html>"
ELF = b"\x7fELF\x02\x01\x01" + bytes(60)
WINDOWS_PROGRAM = b"MZ\x90\x00" + bytes(60) + b"\x0e\x1f\xba\x0e This program cannot be run in DOS mode.\r\r\n$"


def as_format(form, **how):
    file = BytesIO()
    Image.fromarray(scene()).save(file, form, **how)
    return file.getvalue()


@pytest.mark.parametrize(
    ("data", "name"),
    [
        (as_format("GIF"), "a GIF"),
        (as_format("TIFF"), "a TIFF"),
        (as_format("BMP"), "a BMP"),
        (SVG, "an SVG drawing"),
        (b"\xef\xbb\xbf  <SVG width='1'></SVG>", "an SVG drawing"),
        (PDF, "a PDF"),
        (b"\n\n" + PDF, "a PDF"),
        (PAGE, "a web page"),
        (zipped(), "a ZIP archive"),
        (tarred(), "an archive"),
        (ELF, "a program"),
        (WINDOWS_PROGRAM, "a program"),
        (b"#!/bin/sh\necho", "a program"),
        (b"\x00\x00\x00\x1cftypavif" + bytes(40), "an AVIF"),
        (b"\x00\x00\x00\x18ftypmp42" + bytes(40), "a film"),
    ],
)
def test_another_kind_of_file_is_named(data, name):
    assert refusal(data) == f"This is {name}, not a photo: JPEG, PNG, WebP and HEIC are taken in."


@pytest.mark.parametrize(
    "data", [b"x", b"\xff\xd8", b"%!PS-Adobe-3.0 EPSF-3.0", b"RIFF\x00\x00\x00\x00WAVEfmt ", b"\x00" * 99]
)
def test_what_nobody_recognises_is_no_picture(data):
    assert refusal(data) == "This is not a picture: JPEG, PNG, WebP and HEIC are taken in."


def test_an_empty_file_is_said_to_be_empty():
    assert refusal(b"") == "This file is empty: something went wrong on its way. Send it again."


@BY_FORMAT
def test_a_name_of_another_format_changes_nothing(form):
    """What counts is what is in the file: no name is asked for."""
    file = BytesIO(GOOD[form])
    file.name = "photo.exe"
    assert take_in(file, size=len(GOOD[form])).width


# Too large


def test_more_than_25_megabytes_are_refused_unread():
    class Untouched(BytesIO):
        def read(self, *_):
            raise AssertionError("it was read")

    with pytest.raises(PictureRefused) as refused:
        take_in(Untouched(), size=LARGEST_BYTES + 1)
    assert refused.value.messages == [
        "This file has 26 MB; up to 25 are taken in. Set the camera to a smaller picture and take it again."
    ]


def test_a_file_larger_than_its_sender_said_is_refused_too():
    with pytest.raises(PictureRefused, match="over 25 MB"):
        take_in(BytesIO(GOOD["JPEG"] + bytes(LARGEST_BYTES)), size=10)


def test_exactly_25_megabytes_are_taken_in():
    assert taken(GOOD["JPEG"].ljust(LARGEST_BYTES, b"\x00")).width == 96


def announcing(form, width, height):
    """A small file that says it holds so many pixels."""
    data = bytearray(written(scene(), form))
    if form == "JPEG":
        at = data.find(b"\xff\xc0") + 5
        data[at : at + 4] = struct.pack(">HH", height, width)
    elif form == "PNG":
        header = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
        return bytes(data[:8]) + chunk(b"IHDR", header) + bytes(data[33:])
    elif form == "WEBP":
        canvas = bytes(4) + (width - 1).to_bytes(3, "little") + (height - 1).to_bytes(3, "little")
        body = b"WEBPVP8X" + struct.pack("<I", 10) + canvas + bytes(data[12:])
        return b"RIFF" + struct.pack("<I", len(body)) + body
    else:
        at = data.find(b"ispe") + 8
        data[at : at + 8] = struct.pack(">II", width, height)
    return bytes(data)


@BY_FORMAT
def test_more_than_40_megapixels_are_refused_before_any_is_decoded(form):
    sent = announcing(form, 8000, 6000)
    taken(GOOD[form])  # so that the decoders' own start is not counted
    tracemalloc.start()
    try:
        assert refusal(sent) == (
            "This picture has 48.0 megapixels; up to 40 are taken in. "
            "Set the camera to a smaller picture and take it again."
        )
        assert tracemalloc.get_traced_memory()[1] < 1_000_000
    finally:
        tracemalloc.stop()


@pytest.mark.parametrize(("width", "height"), [(65_535, 65_535), (16_383, 16_383), (1, 65_535 * 700)])
@pytest.mark.parametrize("form", ["PNG", "HEIF"])
def test_the_largest_announcements_are_refused(form, width, height):
    assert "megapixels" in refusal(announcing(form, width, height))


def test_a_small_crop_of_a_huge_heic_is_huge():
    """The sizes of all parts count: a decoder makes the whole before it cuts out the piece."""
    huge = bytearray(GOOD["HEIC of tiles"])
    at = huge.rfind(b"ispe") + 8
    huge[at : at + 8] = struct.pack(">II", 20_000, 20_000)
    assert "megapixels" in refusal(bytes(huge))


def test_a_heic_that_announces_less_than_it_holds_is_refused():
    sent = bytearray(written(np.zeros((512, 512, 3), np.uint8), "HEIF"))
    at = sent.find(b"ispe") + 8
    sent[at : at + 8] = struct.pack(">II", 64, 64)
    assert refusal(bytes(sent)) == "This picture is damaged and can't be opened. Take the photo again."


# Bombs: little to send, much to unpack


def bomb(length):
    return zlib.compress(bytes(length), 9)


@pytest.mark.parametrize(
    "part",
    [
        chunk(b"iCCP", b"p\x00\x00" + bomb(80_000_000)),
        chunk(b"zTXt", b"Comment\x00\x00" + bomb(80_000_000)),
        chunk(b"iTXt", b"Comment\x00\x01\x00\x00\x00" + bomb(80_000_000)),
    ],
    ids=["profile", "text", "international text"],
)
def test_a_png_that_unpacks_to_far_more_than_a_photo_is_refused(part):
    tracemalloc.start()
    try:
        assert (
            refusal(with_chunks(GOOD["PNG"], part))
            == "This picture is damaged and can't be opened. Take the photo again."
        )
        assert tracemalloc.get_traced_memory()[1] < 20_000_000
    finally:
        tracemalloc.stop()


def test_what_is_damaged_is_refused_also_after_something_was_printed(monkeypatch):
    monkeypatch.setattr(ImageFile, "LOAD_TRUNCATED_IMAGES", True)  # as WeasyPrint does when it is imported
    assert "damaged" in refusal(with_chunks(GOOD["PNG"], chunk(b"iCCP", b"p\x00\x00" + bomb(80_000_000))))


def test_many_texts_that_each_unpack_to_a_little_less_are_refused():
    texts = [chunk(b"zTXt", b"Comment\x00\x00" + bomb(1_000_000))] * 80
    assert "damaged" in refusal(with_chunks(GOOD["PNG"], *texts))


def test_a_jpeg_of_countless_empty_scans_is_refused():
    """Each would make a decoder go over the whole picture once more."""
    jpeg = GOOD["progressive JPEG"]
    last = jpeg.rfind(b"\xff\xda")
    scan = jpeg[last:-2]
    assert "damaged" in refusal(jpeg[:last] + scan * 200 + b"\xff\xd9")


def test_a_file_of_countless_small_parts_is_refused():
    assert "damaged" in refusal(with_segments(GOOD["JPEG"], *[segment(0xFE, b"")] * 60_000))
    assert "damaged" in refusal(with_chunks(GOOD["PNG"], *[chunk(b"teSt", b"")] * 60_000))


# Moving pictures


@pytest.mark.parametrize("form", ["PNG", "WEBP"])
def test_a_moving_picture_is_refused(form):
    frames = [Image.new("RGB", (40, 40), colour) for colour in ("red", "blue")]
    assert refusal(as_moving(form, frames)) == "This picture moves; a still photo is needed."


def as_moving(form, frames):
    file = BytesIO()
    frames[0].save(file, form, save_all=True, append_images=frames[1:], duration=100)
    return file.getvalue()


@pytest.mark.parametrize("brand", [b"hevc", b"hevx"])
def test_a_heic_sequence_is_refused(brand):
    """By its brand, or by the box in which a film keeps its tracks."""
    film = GOOD["HEIF"].replace(b"heic", brand)
    tracks = struct.pack(">I", 16) + b"moov" + bytes(8)
    for sent in (film, GOOD["HEIF"] + tracks):
        assert refusal(sent) == "This picture moves; a still photo is needed."


# Two things at once

ADDED = {
    "a ZIP archive": zipped(),
    "an archive": tarred(),
    "a PDF": PDF,
    "a program": ELF,
    "a GIF": as_format("GIF"),
    "an SVG drawing": SVG,
    "a web page": PAGE,
    "a script": b"<?php system($_GET['c']); ?>",
}


@pytest.mark.parametrize("name", ADDED)
@pytest.mark.parametrize(
    "before", [b"", b"\x00" * 100, b"\xff\xd8\xff\xd9 maker's record"], ids=["at once", "zeros", "record"]
)
@BY_FORMAT
def test_a_picture_with_another_file_behind_it_is_refused(form, before, name):
    sentence = refusal(GOOD[form] + before + ADDED[name])
    named = [name, "a web page"] if name in {"an SVG drawing", "a script"} else [name]
    expected = [
        f"This file is a picture and {each} in one; only a plain picture is taken in. Take the photo again."
        for each in [*named, "a script"]
    ]
    assert sentence in expected


@pytest.mark.parametrize(
    "added",
    [
        WINDOWS_PROGRAM,
        b"#!/bin/sh\necho hello",
        b"\x1f\x8b\x08\x00",
        b"Rar!\x1a\x07\x00",
        b"7z\xbc\xaf\x27\x1c",
        b"\xca\xfe\xba\xbe",
    ],
)
@BY_FORMAT
def test_archives_and_programs_of_other_kinds_are_seen_too(form, added):
    assert "in one; only a plain picture is taken in" in refusal(GOOD[form] + added)


@pytest.mark.parametrize("added", [PDF, PAGE, SVG, zipped()[:60]])
def test_another_file_hidden_in_a_field_is_refused(added):
    in_comment = with_segments(GOOD["JPEG"], segment(0xFE, added))
    in_text = with_chunks(GOOD["PNG"], chunk(b"tEXt", b"Comment\x00" + added))
    in_free_box = GOOD["HEIF"][:28] + struct.pack(">I", len(added) + 8) + b"free" + added + GOOD["HEIF"][28:]
    body = GOOD["WEBP"][8:] + b"XMP " + struct.pack("<I", len(added)) + added + b"\x00" * (len(added) % 2)
    in_chunk = b"RIFF" + struct.pack("<I", len(body)) + body
    for sent in (in_comment, in_text, in_free_box, in_chunk):
        assert "in one; only a plain picture is taken in" in refusal(sent)


def test_a_zip_that_begins_inside_the_picture_is_found_by_its_end():
    """Its directory stands at the end, where readers of ZIP look, and points back; here its files are in a field."""
    whole = zipped()
    files, directory = whole[: whole.find(b"PK\x01\x02")], whole[whole.find(b"PK\x01\x02") :]
    assert "a ZIP archive" in refusal(with_segments(GOOD["JPEG"], segment(0xEF, b"\x00" + files)) + b"\x01" + directory)


def test_a_jpeg_whose_first_length_opens_a_script_is_refused():
    assert "a script" in refusal(with_segments(GOOD["JPEG"], segment(0xE0, b"=alert(1);/*".ljust(0x2F2A - 2, b" "))))


# Cut short and damaged


@given(data=st.data(), kind=st.sampled_from(sorted(GOOD)))
def test_every_picture_that_ends_too_early_is_refused(data, kind):
    good = GOOD[kind]
    cut = data.draw(st.integers(0, len(good) - 1))
    with pytest.raises(PictureRefused):
        taken(good[:cut])


@pytest.mark.parametrize("kind", GOOD)
@pytest.mark.parametrize("share", [0.3, 0.6, 0.9, 0.999])
def test_half_a_picture_is_said_to_end_too_early(kind, share):
    good = GOOD[kind]
    assert refusal(good[: int(len(good) * share)]) == (
        "This picture ends too early: part of it was lost on its way. Send it again."
    )


def taken_or_refused(data):
    try:
        renditions = taken(data)
    except PictureRefused as refused:
        (sentence,) = refused.messages
        assert sentence.endswith(".")
    else:
        assert renditions.full.startswith(b"\xff\xd8\xff")


BEGINNINGS = [b"", b"\xff\xd8\xff", b"\x89PNG\r\n\x1a\n", b"RIFF\xff\x00\x00\x00WEBPVP8 ", b"\x00\x00\x00\x18ftypheic"]


@given(beginning=st.sampled_from(BEGINNINGS), rest=st.binary(max_size=400))
def test_any_bytes_are_taken_in_or_refused_by_a_sentence(beginning, rest):
    taken_or_refused(beginning + rest)


@settings(max_examples=150)
@given(
    kind=st.sampled_from(sorted(GOOD)),
    flips=st.lists(st.tuples(st.floats(0, 1, exclude_max=True), st.integers(0, 7)), min_size=1, max_size=8),
    header_only=st.booleans(),
)
@example(kind="PNG", flips=[(0.0, 0)], header_only=False)
def test_a_picture_with_any_bits_turned_over_is_taken_in_or_refused_by_a_sentence(kind, flips, header_only):
    damaged = bytearray(GOOD[kind])
    reach = min(len(damaged), 600) if header_only else len(damaged)
    for share, bit in flips:
        damaged[int(share * reach)] ^= 1 << bit
    taken_or_refused(bytes(damaged))


@pytest.mark.parametrize("kind", GOOD)
def test_bytes_lost_from_the_middle_are_no_more_than_a_refusal(kind):
    good = GOOD[kind]
    for start in range(0, len(good), max(1, len(good) // 40)):
        taken_or_refused(good[:start] + good[start + 7 :])
