"""A valid post of the one form of the owner's review: what was proposed, as she changed it."""

from tests.mutated.sending import post

KEY = "0d5e7c3a-6a1b-4a57-9d0c-2f7f5d0b9a71"


def of_the_review(scene):
    first, second = scene.variant.pk, scene.elsewhere.untried.variant_id
    counts = {f"count-{first}": "3", f"count-{second}": "0"}
    return {"what is proposed, ordered": post("review-order", "Owner", once=KEY, **counts)}
