"""A valid post of every form about orders to makers, special orders, and what was asked for and not in the drawer."""

from datetime import timedelta

from django.utils.timezone import localdate

from tests.mutated.sending import post

KEY = "0d5e7c3a-6a1b-4a57-9d0c-2f7f5d0b9a44"


def of_orders(scene):
    draft, sent, later = scene.draft_order.reference, scene.sent_order.reference, f"{localdate() + timedelta(days=9)}"
    on_draft, on_sent = scene.draft_order.lines.get(), scene.sent_order.lines.get()
    other = scene.elsewhere.untried.variant_id
    came = {f"count-{on_sent.pk}": "1", f"already-{on_sent.pk}": "0"}
    return {
        "an order begun": post(
            "maker-order-new", "Owner", maker=scene.draft_order.maker_id, note="By the green post", once=KEY
        ),
        "a line added": post(
            "maker-order-line", "Owner", draft, deed="add", variant=other, count="3", purpose="try-on", q="heron"
        ),
        "a line changed": post(
            "maker-order-line",
            "Owner",
            draft,
            deed="change",
            line=on_draft.pk,
            count="4",
            purpose="sale",
            cost_minor="£540.00",
            note="The soft edge",
        ),
        "a line taken out": post("maker-order-line", "Owner", draft, deed="take out", line=on_draft.pk),
        "an order sent": post("maker-order-send", "Owner", draft, expected_on=later),
        "a draft dropped": post("maker-order-drop", "Owner", draft),
        "another day": post("maker-order-expect", "Owner", sent, expected_on=later),
        "a parcel": post("maker-order-receive", "Front desk", sent, received_on=f"{localdate()}", **came),
        "a whole parcel": post(
            "maker-order-receive", "Front desk", sent, received_on=f"{localdate()}", all="yes", **came
        ),
        "an order closed": post("maker-order-close", "Owner", sent, because="The maker has no more hair of that kind"),
        "a special order": post(
            "special-order",
            "Front desk",
            scene.new.reference,
            q="heron",
            variant=other,
            noted=scene.awaited.pk,
            expected_on=later,
            note="A softer front",
            deposit_minor="£200.00",
            method="card",
            once=KEY,
        ),
        "a piece asked for": post(
            "asked-for", "Stylist", scene.visit.fitting.reference, variant=scene.variant.pk, back="show=fits&page=2"
        ),
        "what no catalogue has": post(
            "asked-for", "Stylist", scene.visit.fitting.reference, variant="", words="Short fringe", length_mm="20 cm"
        ),
    }
