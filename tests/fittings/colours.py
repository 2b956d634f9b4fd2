"""Colours read from photos, for tests: of a client's hair, and of the ring, as one made-up camera sees them."""

from django.utils.timezone import now

from clients.models import ColourReading, Photo, PhotoSet
from pieces.models import RingPhoto
from tests.fittings.visits import BROWN
from tests.pieces.factories import ShadeFactory, ShadeReadingFactory

CARD = "card-1"
ZONES = ("root", "mid", "ends")


def as_photographed(lab):
    """Lighter, and a little redder, than the instrument reads it."""
    lightness, a, b = lab
    return (0.8 * lightness + 20, 1.1 * a, b + 1)


def colour_photo(fitting):
    own = {"client": fitting.client, "moment": "own hair", "begun_at": now(), "begun_by": fitting.stylist}
    files = {"full": "full.jpg", "page": "page.jpg", "thumb": "thumb.jpg", "width": 64, "height": 48}
    return Photo.objects.create(
        photo_set=PhotoSet.objects.create(**own), angle="colour", taken_at=now(), taken_by=fitting.stylist, **files
    )


def read_by_card(fitting, labs=BROWN, *, doubt=2.0, method="card", scale=CARD):
    """Make the readings of a visit's assessment those of a photo; `labs`, by zone or strand, as an instrument reads."""
    photo, assessment = colour_photo(fitting), fitting.assessment
    for zone, lab in labs.items():
        lightness, a, b = as_photographed(lab)
        ColourReading.objects.update_or_create(
            assessment=assessment,
            zone=zone,
            defaults={
                "method": method,
                "scale": scale,
                "routine_version": scale,
                "photo": photo,
                "doubt": doubt,
                "lightness": lightness,
                "a_star": a,
                "b_star": b,
            },
        )
    return fitting


def photo_of_the_ring(by):
    files = {"full": "full.jpg", "page": "page.jpg", "thumb": "thumb.jpg", "width": 64, "height": 48}
    return RingPhoto.objects.create(taken_at=now(), taken_by=by, **files)


def read_shade_by_card(shade, photo, *, labs=None, scale=CARD, **more):
    """A photo's reading of a shade; without `labs`, what that camera makes of the instrument's values."""
    labs = labs or {zone: as_photographed(lab) for zone, lab in shade.lab().items()}
    values = {f"{zone}_{axis}": value for zone in ZONES for axis, value in zip("lab", labs[zone], strict=True)}
    return ShadeReadingFactory(shade=shade, photo=photo, routine_version=scale, **values, **more)


def ring_read_both_ways(photo, count=6):
    """Shades from dark to light, measured by the instrument and read from a photo."""
    shades = []
    for step in range(count):
        lightness = 18 + 40 * step / max(count - 1, 1)
        values = {
            f"{zone}_{axis}": value for zone in ZONES for axis, value in zip("lab", (lightness, 6, 12), strict=True)
        }
        shades.append(ShadeFactory(**values))
        read_shade_by_card(shades[-1], photo)
    return shades
