"""Colours of a picture taken in, against an independent computation: colour-science's conversion between RGB spaces.

Differences are ΔE00; what is compared are the stored JPEGs, read back.
"""

from io import BytesIO

import numpy as np
import pytest
from PIL import Image, ImageCms

from salon.colour.difference import ciede2000
from salon.common.pictures import MOST_PIXELS, PictureRefused
from tests.salon.pictures.sent import (
    FORMATS,
    chunk,
    colour_science,
    display_p3_profile,
    icc_profile,
    pixels,
    scene,
    taken,
    with_chunks,
    written,
)

colour = colour_science()

WORST, MEAN = 2.0, 0.7  # ΔE00; one code of 255 in a dark brown is 1.0, and 8 bits and JPEG round more than once
PATCH = 32


@pytest.fixture(scope="module")
def patches():
    """Colours of hair, skin and a card, all inside sRGB, as 8-bit codes of sRGB: shape (n, 3)."""
    lab = [(lightness, a, b) for lightness in (15, 25, 35, 50, 65, 78) for a, b in ((0, 0), (4, 9), (9, 16), (14, 22))]
    return np.rint(255 * to_srgb(lab)).astype(np.uint8)


def to_srgb(lab):
    white = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["D65"]
    return np.clip(colour.XYZ_to_sRGB(colour.Lab_to_XYZ(np.array(lab, float), white)), 0, 1)


def to_lab(codes):
    white = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["D65"]
    return colour.XYZ_to_Lab(colour.sRGB_to_XYZ(np.asarray(codes) / 255), white)


def in_space(codes, space):
    """The same colours as codes of another space, by colour-science."""
    converted = colour.RGB_to_RGB(
        np.asarray(codes) / 255, "sRGB", space, apply_cctf_decoding=True, apply_cctf_encoding=False
    )
    curve = colour.models.eotf_inverse_sRGB  # both are stored with sRGB's tone curve, as phones do
    return np.clip(np.rint(255 * curve(np.clip(converted, 0, 1))), 0, 255).astype(np.uint8)


def sheet(codes):
    """A row of square patches."""
    return np.repeat(np.repeat(np.asarray(codes, np.uint8)[None], PATCH, 0), PATCH, 1)


def middles(jpeg):
    """The mean of each patch's middle, as codes."""
    found = pixels(jpeg).astype(float)
    squares = found.reshape(PATCH, -1, PATCH, 3)[8:-8, :, 8:-8]
    return squares.mean(axis=(0, 2))


def differences(jpeg, expected):
    return ciede2000(to_lab(middles(jpeg)), to_lab(expected))


def assert_same_colours(jpeg, expected):
    found = differences(jpeg, expected)
    assert found.max() < WORST
    assert found.mean() < MEAN


@pytest.mark.parametrize("form", FORMATS)
def test_a_picture_without_a_profile_keeps_its_codes(form, patches):
    assert_same_colours(taken(written(sheet(patches), form)).full, patches)


@pytest.mark.parametrize("form", FORMATS)
def test_a_display_p3_photo_comes_out_right(form, patches):
    """And would not without its profile: the same codes read as sRGB are on average four times as far away."""
    codes = in_space(patches, "Display P3")
    renditions = taken(written(sheet(codes), form, icc_profile=display_p3_profile()))
    assert_same_colours(renditions.full, patches)
    assert differences(taken(written(sheet(codes), form)).full, patches).mean() > 1.5


def test_the_profile_is_followed_after_the_picture_is_made_smaller(patches):
    codes = in_space(patches, "Display P3")
    large = np.repeat(np.repeat(sheet(codes), 4, 0), 4, 1)
    jpeg = taken(written(large, "PNG", icc_profile=display_p3_profile())).full
    found = pixels(jpeg)
    centres = ((np.arange(len(codes)) + 0.5) * found.shape[1] / len(codes)).astype(int)
    assert ciede2000(to_lab(found[found.shape[0] // 2, centres]), to_lab(patches)).max() < WORST


def test_our_profile_of_display_p3_is_what_colour_science_says(patches):
    """The fixture itself: Little CMS, by another way than the code under test, agrees with colour-science."""
    codes = in_space(patches, "Display P3")
    profile = ImageCms.ImageCmsProfile(BytesIO(display_p3_profile()))
    picture = ImageCms.profileToProfile(Image.fromarray(sheet(codes)), profile, ImageCms.createProfile("sRGB"))
    found = np.asarray(picture)[PATCH // 2, PATCH // 2 :: PATCH]
    assert ciede2000(to_lab(found), to_lab(patches)).max() < WORST


@pytest.mark.parametrize(("primaries", "space"), [(12, "Display P3"), (9, "ITU-R BT.2020")])
def test_colours_named_by_number_come_out_right(primaries, space, patches):
    """Both ways in which a file can name its primaries instead of bringing a profile: a HEIC's and a PNG's."""
    codes = sheet(in_space(patches, space))
    png = with_chunks(written(codes, "PNG"), chunk(b"cICP", bytes([primaries, 13, 0, 1])))
    heic = written(codes, "HEIF", color_primaries=primaries, transfer_characteristics=13)
    for sent in (png, heic):
        assert_same_colours(taken(sent).full, patches)


def test_srgb_by_number_is_srgb(patches):
    sent = written(sheet(patches), "HEIF", color_primaries=1, transfer_characteristics=13)
    assert_same_colours(taken(sent).full, patches)


@pytest.mark.parametrize("profile", [b"no profile at all", display_p3_profile()[:200], b"\x00" * 300])
def test_a_broken_profile_counts_as_srgb(profile, patches):
    assert_same_colours(taken(written(sheet(patches), "JPEG", icc_profile=profile)).full, patches)


def test_a_profile_for_another_kind_of_picture_counts_as_none():
    grey = Image.fromarray(sheet([(90, 90, 90)])[..., 0])
    found = pixels(taken(written(grey, "PNG", icc_profile=display_p3_profile())).full)
    assert np.abs(found.astype(int) - 90).max() <= 1


def test_a_darker_tone_curve_in_the_profile_is_followed():
    """The profile of sRGB's primaries with a gamma of 1.0 says that the codes are linear light."""
    to_d50 = colour.adaptation.matrix_chromatic_adaptation_VonKries(
        colour.xy_to_XYZ((0.3127, 0.3290)), [0.9642, 1.0, 0.8249], transform="Bradford"
    )
    columns = (to_d50 @ colour.RGB_COLOURSPACES["sRGB"].matrix_RGB_to_XYZ).T
    profile = icc_profile(columns, [1.0, 1.0, 0.0, 1.0, 0.0])
    found = middles(taken(written(sheet([(55, 55, 55)]), "PNG", icc_profile=profile)).full)
    expected = 255 * colour.models.eotf_inverse_sRGB(55 / 255)
    np.testing.assert_allclose(found[0], expected, atol=1.5)


def test_transparency_over_white_is_as_it_would_be_seen_on_paper(patches):
    seen = Image.fromarray(sheet(patches)).convert("RGBA")
    assert_same_colours(taken(written(seen, "PNG")).full, patches)


@pytest.mark.slow
def test_decoding_at_a_half_does_not_shift_the_colours_of_hair():
    """A JPEG so large that it is decoded at half its size, with strands and gloss: each patch as by decoding all."""
    rng = np.random.default_rng(11)
    height, width, patch = 1600, 4800, 400
    base = to_srgb([(lightness, 7, 13) for lightness in np.linspace(12, 70, width // patch)])
    strands = 1 + 0.25 * np.repeat(rng.standard_normal((1, width // 3)), 3, axis=1)[..., None]
    linear = np.repeat(colour.models.eotf_sRGB(base), patch, 0)[None] * strands
    linear = linear * (1 + 0.1 * rng.standard_normal((height, width, 1)))
    hair = np.rint(255 * colour.models.eotf_inverse_sRGB(np.clip(linear, 0, 1))).astype(np.uint8)
    assert height * width < MOST_PIXELS
    jpeg = written(hair, "JPEG", quality=90, subsampling="4:2:0")
    full = pixels(taken(jpeg).full)
    assert full.shape == (800, 2400, 3)
    whole = Image.open(BytesIO(jpeg)).resize((2400, 800), Image.Resampling.LANCZOS)

    def means(picture):
        light = colour.models.eotf_sRGB(np.asarray(picture)[40:-40].reshape(720, -1, patch // 2, 3)[:, :, 20:-20] / 255)
        return 255 * colour.models.eotf_inverse_sRGB(light.mean(axis=(0, 2)))

    assert ciede2000(to_lab(means(full)), to_lab(means(whole))).max() < 0.3


@pytest.mark.parametrize("transfer", [8, 16, 18])
def test_hdr_whose_colours_cannot_be_read_is_refused(transfer):
    for sent in (
        with_chunks(written(scene(), "PNG"), chunk(b"cICP", bytes([9, transfer, 0, 1]))),
        written(scene(), "HEIF", color_primaries=9, transfer_characteristics=transfer),
    ):
        with pytest.raises(PictureRefused, match="HDR"):
            taken(sent)
