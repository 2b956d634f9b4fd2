"""A valid post of every form of the drawers: a unit moved, set aside, counted, put right; a stocktake ended.

Beginning a stocktake leads to the scene's, which is open: there is one at a time.
"""

from tests.mutated.sending import File, asked, post, sent_with
from tests.pieces.drawers.frames import frame_of

BY_CAMERA = {"Accept": "application/json"}
SWAPPED = {"HX-Request": "true"}


def of_drawers(scene):
    unit, stocktake = scene.unit.number, scene.stocktake.reference
    counted = post("stocktake-count", "Stylist", stocktake, number=unit)
    camera = sent_with(post("stocktake-count", "Stylist", stocktake), BY_CAMERA)
    label = f"https://salon.example/u/{unit}/"
    frame = File("frame.jpg", frame_of(label), "image/jpeg")
    return {
        "a unit set aside": post("unit-reserve", "Front desk", unit),
        "a unit set aside for her visit": asked(
            post("unit-reserve", "Front desk", unit, visit=scene.appointment.reference), client=scene.new.reference
        ),
        "a unit put back": post("unit-release", "Front desk", scene.reserved.number),
        "a unit to be cleaned": post("unit-clean", "Stylist", unit),
        "a unit cleaned": post("unit-cleaned", "Stylist", scene.cleaning.number),
        "a unit kept apart": post("unit-apart", "Stylist", unit, because="Seal broken"),
        "a unit let in again": post("unit-let-in", "Stylist", scene.apart.number),
        "a unit written off": post("unit-write-off", "Owner", unit, because="Torn beyond repair"),
        "a unit for trying on": post("unit-purpose", "Owner", unit, purpose="try-on"),
        "a stocktake begun while one is open": post("stocktake-new", "Owner", maker=""),
        "a unit counted": counted,
        "a unit counted, by itself": sent_with(counted, SWAPPED),
        "a label seen": camera.with_fields([("code", label)]),
        "a frame seen": camera.with_fields([("frame", frame)]),
        "a difference put right": post(
            "stocktake-put-right", "Owner", stocktake, unit=scene.unit.number, because="In no drawer"
        ),
        "a stocktake finished": post("stocktake-finish", "Owner", stocktake, leaves="on"),
    }
