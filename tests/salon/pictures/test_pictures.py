"""Taking a picture in: whatever phones and programs send becomes the same upright picture in three sizes."""

from io import BytesIO

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from salon.common.pictures import FULL_PX, PAGE_PX, THUMB_PX
from tests.salon.pictures.sent import FORMATS, as_held, exif, pixels, scene, taken, written

BY_FORMAT = pytest.mark.parametrize("form", FORMATS)
NAMES = {"JPEG": "JPEG", "PNG": "PNG", "WEBP": "WEBP", "HEIF": "HEIC"}


def away_from_edges(picture):
    """The middles of the four corners, where neither compression nor resizing has mixed colours."""
    height, width, _ = picture.shape
    return np.array([picture[y * height // 8, x * width // 8] for y in (2, 6) for x in (2, 6)], int)


def assert_same_scene(found, expected, within=4):
    assert found.shape[0] * expected.shape[1] == found.shape[1] * expected.shape[0]
    assert np.abs(away_from_edges(found) - away_from_edges(expected)).max() <= within


@BY_FORMAT
@pytest.mark.parametrize("orientation", range(1, 9))
def test_a_photo_taken_in_any_position_is_kept_upright(form, orientation):
    renditions = taken(written(as_held(scene(), orientation), form, exif=exif(orientation)))
    assert renditions.taken_from == NAMES[form]
    for jpeg in (renditions.full, renditions.page, renditions.thumb):
        assert_same_scene(pixels(jpeg), scene())


@BY_FORMAT
@given(
    orientation=st.integers(1, 8),
    width=st.integers(4, 40).map(lambda eighths: 8 * eighths),
    height=st.integers(4, 40).map(lambda eighths: 8 * eighths),
)
def test_any_size_in_any_position_comes_out_as_itself(form, orientation, width, height):
    upright = scene(width, height)
    renditions = taken(written(as_held(upright, orientation), form, exif=exif(orientation)))
    assert (renditions.width, renditions.height) == (width, height)
    assert_same_scene(pixels(renditions.full), upright)


@pytest.mark.parametrize("orientation", [0, 9, 65_535])
def test_a_position_that_does_not_exist_is_none(orientation):
    assert_same_scene(pixels(taken(written(scene(), "JPEG", exif=exif(orientation))).full), scene())


@pytest.mark.filterwarnings("ignore:Corrupt EXIF data")  # Pillow's word for it, an error in tests alone
@pytest.mark.parametrize(
    "fields", [b"Exif\x00\x00", b"Exif\x00\x00II*\x00\xff\xff\xff\x7f", b"Exif\x00\x00MM\x00*junk"]
)
def test_fields_that_cannot_be_read_are_no_reason_to_refuse(fields):
    assert_same_scene(pixels(taken(written(scene(), "JPEG", exif=fields)).full), scene())


@pytest.mark.parametrize("form", ["JPEG", "PNG", "WEBP"])
@pytest.mark.parametrize("turned", [False, True])
def test_a_large_picture_is_kept_in_three_sizes_and_never_enlarged(form, turned):
    large = scene(3200, 2400)
    sent = written(as_held(large, 6 if turned else 1), form, exif=exif(6 if turned else 1))
    renditions = taken(sent)
    shapes = [pixels(jpeg).shape[:2] for jpeg in (renditions.full, renditions.page, renditions.thumb)]
    assert shapes == [(1800, FULL_PX), (900, PAGE_PX), (240, THUMB_PX)]
    assert (renditions.width, renditions.height) == (FULL_PX, 1800)
    assert_same_scene(pixels(renditions.full), large)


def test_a_small_picture_keeps_its_size():
    renditions = taken(written(scene(500, 400), "PNG"))
    shapes = [pixels(jpeg).shape[:2] for jpeg in (renditions.full, renditions.page, renditions.thumb)]
    assert shapes == [(400, 500), (400, 500), (256, 320)]


@pytest.mark.parametrize("size", [(1, 1), (1, 5000), (5000, 1), (3, 2)])
def test_the_narrowest_pictures_are_kept(size):
    renditions = taken(written(Image.new("RGB", size, "red"), "PNG"))
    assert max(renditions.width, renditions.height) == min(max(size), FULL_PX)
    assert min(renditions.width, renditions.height) >= 1


def test_the_full_size_has_colour_at_every_pixel():
    """Four in four: what colours are measured from is not averaged over neighbours."""
    full = Image.open(BytesIO(taken(written(scene(), "PNG")).full))
    assert {(across, down) for _, across, down, _ in full.layer} == {(1, 1)}


def test_the_larger_size_is_the_finer():
    noise = np.random.default_rng(4).integers(0, 255, (800, 1000, 3)).astype(np.uint8)
    renditions = taken(written(np.repeat(np.repeat(noise, 3, 0), 3, 1), "JPEG"))
    assert len(renditions.full) > len(renditions.page) > len(renditions.thumb)


# Modes: grey, palettes, sixteen bits, print colours, transparency


def test_grey_comes_out_grey_from_eight_and_from_sixteen_bits():
    ramp = np.tile(np.arange(0, 256, 4, dtype=np.uint8), (64, 1))
    eight = pixels(taken(written(Image.fromarray(ramp), "PNG")).full)
    sixteen = pixels(taken(written(Image.fromarray(ramp.astype(np.uint16) * 257), "PNG")).full)
    for found in (eight, sixteen):
        np.testing.assert_allclose(found, np.repeat(ramp[..., None], 3, 2), atol=2)


@pytest.mark.parametrize("form", ["PNG", "WEBP"])
def test_what_shows_through_is_white(form):
    clear = Image.fromarray(scene()).convert("RGBA")
    clear.putalpha(Image.fromarray(np.tile(np.repeat(np.uint8([0, 255]), 48), (64, 1))))
    found = pixels(taken(written(clear, form)).full)
    assert found[32, 24].tolist() == [255, 255, 255]
    np.testing.assert_allclose(found[16, 72], scene()[16, 72], atol=4)


def test_half_transparent_is_halfway_to_white():
    found = pixels(taken(written(Image.new("RGBA", (40, 40), (0, 100, 200, 128)), "PNG")).full)
    np.testing.assert_allclose(found[20, 20], [127, 177, 227], atol=3)


@pytest.mark.parametrize("mode", ["1", "L", "LA", "P", "PA", "CMYK"])
def test_every_mode_that_a_file_can_have_is_taken_in(mode):
    sent = Image.fromarray(scene()).convert(mode if mode != "PA" else "P")
    form, how = ("JPEG", {}) if mode == "CMYK" else ("PNG", {"transparency": 0} if mode == "PA" else {})
    found = pixels(taken(written(sent, form, **how)).full)
    assert found.shape == (64, 96, 3)


def test_print_colours_without_a_profile_keep_their_places():
    found = away_from_edges(pixels(taken(written(Image.fromarray(scene()).convert("CMYK"), "JPEG")).full))
    np.testing.assert_allclose(found, away_from_edges(scene()), atol=12)


# What phones put behind a photo


def test_a_second_picture_behind_the_first_is_left_behind():
    file = BytesIO()
    Image.fromarray(scene()).save(file, "MPO", save_all=True, append_images=[Image.new("RGB", (32, 32), "red")])
    renditions = taken(file.getvalue())
    assert renditions.taken_from == "JPEG"
    assert_same_scene(pixels(renditions.full), scene(), within=12)


FILM = b"\x00\x00\x00\x18ftypmp42\x00\x00\x00\x00isommp42" + b"\x00\x00\x00\x10mdat" + bytes(range(8))


@BY_FORMAT
@pytest.mark.parametrize(
    "behind",
    [bytes(512), FILM, written(scene(16, 16), "JPEG"), b"\x01\x02\x03maker's own record" * 40, b'maker{"night":"on"}'],
    ids=["zeros", "film", "second JPEG", "record", "words"],
)
def test_what_phones_append_is_left_behind(form, behind):
    assert_same_scene(pixels(taken(written(scene(), form) + behind).full), scene())


def test_a_heic_of_tiles_is_whole():
    """As Apple's phones write them."""
    large = scene(640, 512)
    assert_same_scene(pixels(taken(written(large, "HEIF", tile_size=128)).full), large)


def test_of_several_pictures_in_a_heic_the_first_is_kept():
    file = BytesIO()
    Image.fromarray(scene()).save(file, "HEIF", quality=95, save_all=True, append_images=[Image.new("RGB", (64, 64))])
    assert_same_scene(pixels(taken(file.getvalue()).full), scene())
