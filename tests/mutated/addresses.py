"""Every address of the site with arguments of the scene, and every name that a page reads from behind the “?”."""

import re
from functools import cache
from pathlib import Path

from django.conf import settings
from django.urls import URLPattern, get_resolver

from fittings.desk.wish_form import WishForm
from fittings.messages.stopping import stop_token
from pieces.forms import PieceSearchForm, UnitSearchForm

READ_FROM_ADDRESS = re.compile(r"""GET(?:\.get|\.getlist)?[(\[]["'](\w+)["']""")


def arguments_of(scene):
    """{name of the address: its arguments}."""
    new, drafted, visit = (scene.new.reference,), (scene.drafted.reference,), (scene.visit.fitting.reference,)
    booked, signed = (scene.appointment.reference,), (scene.finished.assessment.reference,)
    variant = (*visit, scene.elsewhere.candidate.variant_id)
    unit, piece, person = (scene.unit.number,), (scene.piece.pk,), (scene.staff["Stylist"].pk,)
    return {
        **dict.fromkeys(["home", "sign-in", "sign-out", "my-settings", "my-password", "salon-settings", "help"], ()),
        **dict.fromkeys(
            [
                "clients",
                "clients-import",
                "client-new",
                "client-phone",
                "today",
                "today-board",
                "week",
                "appointment-new",
                "appointment-series",
                "walk-in",
                "free-times",
                "awaited-pieces",
                "waiting-list",
                "waiting-new",
                "calendar-feeds",
                "calendar-feed-new",
                "house-rules",
                "fittings",
                "rules",
            ],
            (),
        ),
        **dict.fromkeys(["client", "client-edit", "client-consents", "consent-sign", "consent-withdraw"], new),
        **dict.fromkeys(["client-skin-tests", "client-looks", "client-merge", "visit-begin"], new),
        **dict.fromkeys(["merge", "merge-undo"], (scene.merge.reference,)),
        **dict.fromkeys(["client-intake", "intake-hand-over", "intake-link-new", "client-consents-paper"], new),
        "intake-link-revoke": (*new, scene.intake_link.pk),
        "intake": (scene.intake_secret,),
        "intake-take-over": drafted,
        **dict.fromkeys(["skin-test-read", "skin-test-strike-out"], (*new, scene.skin_test.pk)),
        **dict.fromkeys(["products", "product-new"], ()),
        "product": (scene.product.pk,),
        **dict.fromkeys(
            ["appointment", "appointment-move", "appointment-cancel", "board-move", "appointment-units"], booked
        ),
        **dict.fromkeys(["appointment-deposit", "appointment-ics"], booked),
        "appointment-refill": (scene.given_back.reference,),
        **dict.fromkeys(["waiting", "waiting-book", "waiting-off"], (scene.wish.reference,)),
        **dict.fromkeys(["house-rule", "house-rule-back"], ("margin_mm",)),
        "calendar-feed-revoke": (scene.feed.pk,),
        "calendar-feed": (scene.feed_secret,),
        "awaited-piece-mark": (scene.awaited.pk,),
        **dict.fromkeys(["setting-up", "kinds", "kind-new", "places", "place-new", "opening-hours"], ()),
        **dict.fromkeys(["closures", "closure-new", "people", "person-new", "time-off", "time-off-new"], ()),
        **dict.fromkeys(["person", "person-kinds", "person-password", "person-access", "person-hours"], person),
        "kind": (scene.kind.pk,),
        "place": (scene.place.pk,),
        **dict.fromkeys(["closure", "closure-remove"], (scene.closure.pk,)),
        **dict.fromkeys(["time-off-change", "time-off-remove"], (scene.time_off.pk,)),
        **dict.fromkeys(["appointment-mark", "board-mark"], (scene.waiting.reference,)),
        **dict.fromkeys(
            ["consult-story", "consult-tapes", "consult-map", "consult-own-hair", "consult-wishes"], drafted
        ),
        "consult-sign-off": drafted,
        "reading-photos": drafted,
        "reading-marks": (*drafted, scene.colour_photo.reference),
        "stage-drawing": ("norwood", "III vertex"),
        **dict.fromkeys(["assessment", "assessment-renew"], signed),
        **dict.fromkeys(["hair-over-time", "hair-compare"], (scene.finished.client.reference,)),
        **dict.fromkeys(["repaintings", "repainting-new"], ()),
        **dict.fromkeys(["repainting", "repainting-drop"], (scene.painted_once.reference,)),
        **dict.fromkeys(["fitting", "candidates", "try-ons", "decision", "visit-finish", "services"], visit),
        **dict.fromkeys(["candidate", "candidate-placement", "candidate-try"], variant),
        "candidate-untry": (*visit, scene.visit.untried.pk),
        "try-on-log": (*visit, scene.visit.candidate.pk),
        "service-plan": (*visit, "heat"),
        "service-remove": (*visit, scene.visit.service.pk),
        "service-log": (*visit, "colour"),
        "service-done": (*visit, scene.visit.service.pk),
        "service-correct": (*visit, scene.done.pk),
        "strand-test": [scene.owned.reference],
        **dict.fromkeys(["care-sheet", "service-record"], (scene.owned.reference,)),
        **dict.fromkeys(["skin-test-record", "own-hair-record", "client-record"], new),
        **dict.fromkeys(["owned-piece", "owned-wear", "owned-check", "owned-end"], (scene.owned.reference,)),
        **dict.fromkeys(["owned-turns", "owned-repair"], (scene.owned.reference,)),
        "repair-back": (scene.away.reference,),
        **dict.fromkeys(["owned-new", "loan-new"], new),
        **dict.fromkeys(["sale-new", "deposit-new", "statement", "statement-pdf"], new),
        **dict.fromkeys(["sales", "deposits", "price-list", "priced-service-new", "tax-rates", "tax-rate-new"], ()),
        **dict.fromkeys(["sale", "sale-pay", "sale-hand-over", "sale-give-back"], (scene.sale.reference,)),
        "sale-cancel": (scene.unpaid_sale.reference,),
        "sale-deposit": (scene.sale.reference, scene.deposit.pk),
        "sale-take-out": (scene.of_two.sale.reference, scene.of_two.pk),
        "deposit-back": (scene.deposit.pk,),
        "receipt": (scene.deposit.receipt.number,),
        "priced-service": (scene.priced_service.pk,),
        "tax-rate": (scene.tax_rate.pk,),
        "return-new": (scene.sold.sale.reference, scene.sold.pk),
        **dict.fromkeys(["returns", "return-reasons", "return-reason-new"], ()),
        "return-reason": (scene.return_reason.pk,),
        **dict.fromkeys(["review", "review-rows", "review-order"], ()),
        "review-csv": ("kept-by-group",),
        **dict.fromkeys(["maker-orders", "maker-order-new"], ()),
        **dict.fromkeys(["maker-order-line", "maker-order-send", "maker-order-drop"], (scene.draft_order.reference,)),
        **dict.fromkeys(["maker-order", "maker-order-csv", "maker-order-expect"], (scene.sent_order.reference,)),
        **dict.fromkeys(["maker-order-receive", "maker-order-close"], (scene.sent_order.reference,)),
        "special-order": new,
        "asked-for": visit,
        "loans": (),
        "loan-back": (scene.loan.pk,),
        **dict.fromkeys(["consult-summary", "consult-summary-pdf"], (scene.finished.reference,)),
        **dict.fromkeys(["pieces", "bases", "shades", "units", "catalogue-import", "catalogue-columns"], ()),
        **dict.fromkeys(["piece", "units-receive"], piece),
        **dict.fromkeys(["base", "base-edit"], (scene.piece.base_id,)),
        **dict.fromkeys(["makers", "maker-new", "base-new", "piece-new", "shade-new"], ()),
        "maker": (scene.piece.base.maker_id,),
        "shade-edit": (scene.variant.shade_id,),
        **dict.fromkeys(["piece-edit", "piece-discontinue", "variant-new", "piece-picture-new"], piece),
        **dict.fromkeys(["variant-edit", "variant-discontinue"], (scene.variant.pk,)),
        "piece-picture": (scene.piece_picture.reference, "thumb"),
        "piece-picture-remove": (scene.piece_picture.reference,),
        "catalogue-example": ("bases",),
        "maker-file": (),
        "catalogue-export": ("variants",),
        "variant-prices": (scene.variant.pk,),
        **dict.fromkeys(["ring-photos", "ring-photo-take", "ring-both-ways"], ()),
        **dict.fromkeys(["ring-photo", "ring-photo-remove"], (scene.ring_photo.reference,)),
        "ring-photo-file": (scene.ring_photo.reference, "thumb"),
        **dict.fromkeys(["photos", "photo-set-new", "photos-compare"], (scene.drafted.client.reference,)),
        **dict.fromkeys(["photo-set", "photo-take", "photos-turn"], (scene.photo.photo_set.reference,)),
        **dict.fromkeys(["photo", "photo-refile", "photo-show-outside", "photo-remove"], (scene.photo.reference,)),
        "photo-keep-inside": (scene.shown_photo.reference,),
        "photo-file": (scene.photo.reference, "thumb"),
        **dict.fromkeys(["wash-tell", "wash-link-new", "wash-link-revoke"], (scene.owned.reference,)),
        "care-due": (),
        "care-told": (scene.care_date.pk,),
        "washed": (scene.wash_secret,),
        "messages": (),
        **dict.fromkeys(["message-settle", "message-again"], (scene.message.pk,)),
        "stop-messages": (stop_token(scene.message.client),),
        **dict.fromkeys(["unit", "unit-line", "unit-reserve", "unit-release", "unit-purpose", "label"], unit),
        **dict.fromkeys(["unit-clean", "unit-cleaned", "unit-let-in", "unit-apart", "unit-write-off"], unit),
        **dict.fromkeys(["labels", "labels-pdf", "stocktakes", "stocktake-new"], ()),
        **dict.fromkeys(["stocktake", "stocktake-count", "stocktake-put-right"], (scene.stocktake.reference,)),
        "stocktake-finish": (scene.stocktake.reference,),
        "entry-strike-out": (scene.owned.client.reference, "wear", scene.wear.pk),
    }


def names_of_addresses():
    """Of all that the site answers."""
    return {pattern.name for pattern in _patterns(get_resolver().url_patterns)}


@cache
def names_asked_for():
    """What follows the “?” somewhere on the site, read from where it is read."""
    folders = [Path(settings.BASE_DIR, app) for app in ("salon", "clients", "pieces", "fittings")]
    sources = [path.read_text() for folder in folders for path in folder.rglob("*.py")]
    read = {name for source in sources for name in READ_FROM_ADDRESS.findall(source)}
    return sorted(
        read
        | {
            *PieceSearchForm.base_fields,
            *UnitSearchForm.base_fields,
            *WishForm.base_fields,
            "next",
            "first",
            "count",
            "row",
            "shade",
            "subject",
            "weight",
        }
    )


def _patterns(patterns):
    for pattern in patterns:
        if isinstance(pattern, URLPattern):
            yield pattern
        else:
            yield from _patterns(pattern.url_patterns)
