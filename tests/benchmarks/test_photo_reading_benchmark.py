"""Reading one photo of 12 megapixels against Pillow's plain decode-and-resize of the same file; ratios are printed.

Once from the file as the camera made it, and once as the pages do, from the full rendition of 2,400 pixels that is kept
of it. No time is asserted.
"""

import io
from time import perf_counter

import numpy as np
import pytest
from django.core.files.base import ContentFile
from PIL import Image

from salon.colour.marks import marks_from_json
from salon.colour.reading import read_photo
from salon.common.pictures import FULL_PX, pixels_of, take_in
from tests.salon.colour.synthetic_cameras import HEIGHT, WIDTH, ZONES, take_picture


def best_of_five(deed):
    seconds = []
    for _ in range(5):
        began = perf_counter()
        deed()
        seconds.append(perf_counter() - began)
    return min(seconds)


@pytest.mark.slow
def test_reading_a_photo_against_decoding_and_resizing_it(capsys):
    picture = take_picture(12, scale=(12e6 / (WIDTH * HEIGHT)) ** 0.5)
    marks = {"chart": picture.with_chart, "card": picture.with_card}

    def plainly():
        with Image.open(io.BytesIO(picture.jpeg)) as photo:
            photo.convert("RGB").resize((FULL_PX, round(FULL_PX * HEIGHT / WIDTH)), Image.Resampling.LANCZOS)

    def decoded():
        with Image.open(io.BytesIO(picture.jpeg)) as photo:
            return np.array(photo)

    rendition = ContentFile(take_in(io.BytesIO(picture.jpeg), size=len(picture.jpeg)).full)

    def read(pixels, by):
        return read_photo(pixels, marks_from_json(marks[by], regions=ZONES))

    whole, kept = decoded(), pixels_of(rendition)
    plain = best_of_five(plainly)
    lines = [
        f"Photo of {whole.shape[0] * whole.shape[1] / 1e6:.1f} megapixels, {len(picture.jpeg) / 1e6:.1f} MB; "
        f"Pillow decodes and resizes it in {plain * 1000:.0f} ms"
    ]
    for by in marks:
        for name, deed in (
            ("whole photo, decoded and read", lambda by=by: read(decoded(), by)),
            ("whole photo, read once decoded", lambda by=by: read(whole, by)),
            (f"rendition of {FULL_PX:,} px, decoded and read", lambda by=by: read(pixels_of(rendition), by)),
            (f"rendition of {FULL_PX:,} px, read once decoded", lambda by=by: read(kept, by)),
        ):
            seconds = best_of_five(deed)
            lines.append(f"by the {by}, {name}: {seconds * 1000:.0f} ms, {seconds / plain:.2f} times that")
    with capsys.disabled():
        print("\n" + "\n  ".join(lines))
    assert read(kept, "chart").correction.patches_used >= 15
