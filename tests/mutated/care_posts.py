"""A valid post of every form about the care of a piece: washes, the address she tells by, and that she was told."""

from datetime import timedelta

from django.utils.timezone import localdate

from tests.mutated.sending import post


def of_care(scene):
    owned = scene.owned.reference
    earlier = f"{localdate() - timedelta(days=3)}"
    return {
        "washed, written down": post("wash-tell", "Stylist", owned, washed_on=earlier, deep_care="yes"),
        "washed, she tells by her own address": post("washed", "nobody", scene.wash_secret, deep_care="yes"),
        "her address for washes taken back": post("wash-link-revoke", "Stylist", owned),
        "her address for washes": post("wash-link-new", "Stylist", scene.cared_for.reference),
        "told of a care date": post("care-told", "Front desk", scene.care_date.pk, told="yes", kind="", after=""),
    }
