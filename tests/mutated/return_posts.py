"""A valid post of every form about pieces that come back, and about the salon's reasons."""

from tests.mutated.sending import post


def of_returns(scene):
    sold, late, reason = scene.sold, scene.sold_long_ago, scene.return_reason.pk
    told = {
        "reason": reason,
        "said": "It moves when she laughs",
        "fate": "cleaning",
        "refund_minor": "£1,249.00",
        "method": "card",
        "once": "1f4c8a2e-6a07-4f0e-9a3c-6d1b5f7e2c33",
    }
    one, other = ((line.sale.reference, line.pk) for line in (sold, late))
    reworded = {"name": "Slides to the front", "position": "2", "is_in_use": "on"}
    return {
        "a piece taken back": post("return-new", "Stylist", *one, **told, seal_broken="", exchanged_for=""),
        "a piece exchanged": post("return-new", "Front desk", *one, **told, exchanged_for=scene.taken_instead.pk),
        "a piece taken back outside the terms": post(
            "return-new", "Owner", *other, **told, worn="on", cut="on", coloured="on", because="She was in hospital"
        ),
        "a reason added": post("return-reason-new", "Owner", name="Sheds too much", position="3"),
        "a reason changed": post("return-reason", "Owner", reason, **reworded),
    }
