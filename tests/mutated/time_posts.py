"""A valid post of every form about hair over time: a head painted twice, from its choice to its end."""

from clients.models.assessment import NO_LOSS_HEX
from tests.mutated.sending import post

PAINTED = NO_LOSS_HEX[:4000] + "32" * 100 + NO_LOSS_HEX[4200:]


def of_hair_over_time(scene):
    by_table = {"density_hex": NO_LOSS_HEX, "zone_front": "100", "zone_crown": "35", "zone_nape": ""}
    return {
        "an example begun": post("repainting-new", "Stylist", whose="top-1"),
        "a client's head begun": post("repainting-new", "Stylist", whose=scene.finished.assessment.reference),
        "the first painting": post(
            "repainting", "Stylist", scene.to_paint.reference, round="first", density_hex=PAINTED
        ),
        "the first painting by its table": post(
            "repainting", "Stylist", scene.to_paint.reference, round="first", **by_table
        ),
        "the second painting": post(
            "repainting", "Stylist", scene.painted_once.reference, round="second", density_hex=PAINTED
        ),
        "a head painted twice dropped": post("repainting-drop", "Stylist", scene.painted_once.reference),
    }
