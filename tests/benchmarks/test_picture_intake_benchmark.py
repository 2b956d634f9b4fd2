"""How long does taking in a 12-megapixel photo take, and how much memory at its highest, beside plain Pillow?

Each is measured in a process of its own, after a small picture has brought in what is loaded once. Prints multiples of
Pillow's decoding and resizing of the same JPEG to the largest of our sizes; asserts no time, only that each was done.
"""

import json
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from tests.salon.pictures.sent import display_p3_profile, exif, written

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="only Linux tells a process its highest memory"),
]

MEASURED = """
import json, sys
from io import BytesIO
from pathlib import Path
from time import perf_counter
import django
django.setup()
from PIL import Image
from salon.common.pictures import FULL_PX, take_in

def plain(data):
    picture = Image.open(BytesIO(data), formats=["JPEG"])
    picture.resize((FULL_PX, FULL_PX * picture.height // picture.width), Image.Resampling.LANCZOS)

def taken_in(data):
    take_in(BytesIO(data), size=len(data))

def highest():
    # not getrusage's: there a new process begins with what the one that started it held
    lines = Path("/proc/self/status").read_text().splitlines()
    return next(int(line.split()[1]) for line in lines if line.startswith("VmHWM")) / 1024  # MB

deed = {"plain": plain, "taken in": taken_in}[sys.argv[1]]
small, large = (Path(name).read_bytes() for name in sys.argv[2:])
deed(small)
before = highest()
seconds = []
for _ in range(3):
    began = perf_counter()
    deed(large)
    seconds.append(perf_counter() - began)
print(json.dumps({"seconds": min(seconds), "added": highest() - before, "peak": highest()}))
"""


def a_scene(width, height):
    """Soft shapes with the noise of a sensor: what a camera has to keep of a room."""
    rng = np.random.default_rng(12)
    shapes = Image.fromarray(rng.integers(20, 200, (height // 84, width // 84, 3)).astype(np.uint8))
    smooth = np.asarray(shapes.resize((width, height), Image.Resampling.BICUBIC))
    noise = rng.integers(-3, 4, (height, width, 1), dtype=np.int16)
    return np.clip(smooth + noise, 0, 255).astype(np.uint8)


@pytest.fixture(scope="module")
def photos(tmp_path_factory):
    """One scene as a phone stores it, turned and in Display P3, as a JPEG and as a HEIC of tiles; and a small one."""
    folder = tmp_path_factory.mktemp("photos")
    how = {"exif": exif(6), "icc_profile": display_p3_profile()}
    large, small = a_scene(4032, 3024), a_scene(420, 336)
    files = {}
    for form, quality in (("JPEG", {"quality": 92, "subsampling": "4:2:0"}), ("HEIF", {"quality": 60})):
        for name, pixels in (("large", large), ("small", small)):
            tiles = {"tile_size": 512, "enc_params": {"preset": "ultrafast"}} if form == "HEIF" else {}
            files[form, name] = folder / f"{name}.{form.lower()}"
            files[form, name].write_bytes(written(pixels, form, **how, **quality, **tiles))
    return files


def measured(deed, photos, form):
    files = [str(photos[form, name]) for name in ("small", "large")]
    told = subprocess.run(
        [sys.executable, "-c", MEASURED, deed, *files],
        env={"DJANGO_SETTINGS_MODULE": "salon.settings", "PYTHONPATH": ".", "PATH": ""},
        capture_output=True,
        text=True,
        check=True,
    )
    return json.loads(told.stdout)


def test_taking_in_twelve_megapixels_against_plain_pillow(photos, capsys):
    plain = measured("plain", photos, "JPEG")
    with capsys.disabled():
        print(
            f"\nPlain Pillow, 12 megapixels of JPEG decoded and resized: {plain['seconds']:.2f} s, "
            f"{plain['added']:.0f} MB more at its highest"
        )
        for form in ("JPEG", "HEIF"):
            ours = measured("taken in", photos, form)
            size = photos[form, "large"].stat().st_size / 1e6
            print(
                f"Taken in from {form} ({size:.1f} MB), three sizes in sRGB: {ours['seconds']:.2f} s, "
                f"{ours['seconds'] / plain['seconds']:.1f} times as long; {ours['added']:.0f} MB more, "
                f"{ours['added'] / plain['added']:.1f} times as much; {ours['peak']:.0f} MB in all"
            )
