"""Who may open which address: every address of the site, walked as nobody and as each role, against this table.

A new address is one line here. `where` is a function of the world below that gives the address's arguments; the four
numbers are what a GET is answered with: 200 a page, 302 a redirect (for nobody: to the sign-in page), 403 not for this
role, 405 for those who may post there.
"""

from functools import cached_property
from urllib.parse import urlparse

import pytest
from django.urls import URLResolver, get_resolver, reverse
from django.utils.timezone import localdate, now

from clients.intaking import make_intake_link
from clients.merging import merge_clients
from clients.repainting import begin_repainting
from fittings.awaiting import await_piece
from fittings.calendars.feeds import make_feed
from fittings.caring import make_wash_link, work_out_care
from fittings.lending import lend
from fittings.messages.stopping import stop_token
from fittings.models import Service
from fittings.owning import tell_wear
from fittings.photos.filing import begin_photo_set
from fittings.repairing import send_to_repair
from fittings.trying import choose_to_try
from fittings.visiting import begin_visit
from pieces.counting import begin_stocktake
from pieces.paying import take_deposit
from pieces.selling import hand_over
from salon.models import Salon
from tests.clients.factories import PhotoFactory
from tests.factories import STAFF, ClientFactory, ConsentFactory, ProductFactory, SkinTestFactory, StylistFactory
from tests.fittings.factories import (
    AppointmentFactory,
    ClosureFactory,
    OwnedPieceFactory,
    TimeOffFactory,
    WaitingEntryFactory,
)
from tests.fittings.messages.factories import UnsettledFactory
from tests.fittings.paper.papers import decided_visit
from tests.fittings.visits import signed_off_visit
from tests.pieces.factories import (
    MakerOrderFactory,
    OrderLineFactory,
    PiecePictureFactory,
    PricedServiceFactory,
    ReturnReasonFactory,
    RingPhotoFactory,
    SaleFactory,
    TaxRateFactory,
    UnitFactory,
)

pytestmark = pytest.mark.django_db


class World:
    """What the addresses point at, each made when a line of the table first asks for it."""

    @cached_property
    def stylist(self):
        return StylistFactory()

    @cached_property
    def her(self):
        return ClientFactory(record_consent=True)

    @cached_property
    def cared_for(self):
        """Her piece, with its care dates."""
        work_out_care(owned=self.owned, on=localdate())
        return self.owned

    @cached_property
    def wash_secret(self):
        return make_wash_link(owned=self.cared_for, by=self.stylist, at=now())[1]

    @cached_property
    def skin_test(self):
        return SkinTestFactory(client=self.her, by=self.stylist)

    @cached_property
    def product(self):
        return ProductFactory()

    @cached_property
    def appointment(self):
        return AppointmentFactory(client=self.her, stylist=self.stylist)

    @cached_property
    def wish(self):
        return WaitingEntryFactory(client=self.her)

    @cached_property
    def message(self):
        return UnsettledFactory(appointment=self.appointment)

    @cached_property
    def feed(self):
        return make_feed(stylist=self.stylist, by=self.stylist, at=now())

    @cached_property
    def closure(self):
        return ClosureFactory()

    @cached_property
    def time_off(self):
        return TimeOffFactory(stylist=self.stylist)

    @cached_property
    def awaited_piece(self):
        return await_piece(client=self.her, what="Heron, walnut", by=self.stylist, at=now())

    @cached_property
    def owned(self):
        return OwnedPieceFactory(client=self.her, begun_by=self.stylist)

    @cached_property
    def away(self):
        at = {"by": self.stylist, "at": now()}
        send_to_repair(owned=self.owned, what="A tear", done_by="The lace mender", sent_on=localdate(), **at)
        return self.owned

    @cached_property
    def maker_order(self):
        """On its way, with one line for the drawer and one for her."""
        order = MakerOrderFactory(sent=True, drafted_by=self.stylist)
        OrderLineFactory(order=order, variant=self.unit.variant)
        OrderLineFactory(order=order, variant=self.unit.variant, count=1, for_client=self.her)
        return order

    @cached_property
    def loan(self):
        today = localdate()
        return lend(client=self.her, unit=self.unit, lent_on=today, due_back_on=today, by=self.stylist, at=now())

    @cached_property
    def wear_entry(self):
        return tell_wear(owned=self.owned, told_on=localdate(), by=self.stylist, at=now(), days_per_week=5)

    @cached_property
    def draft_visit(self):
        return begin_visit(client=self.her, stylist=self.stylist, at=now())

    @cached_property
    def colour_photo(self):
        """Hers, taken in the visit that is still being written."""
        ConsentFactory(client=self.her, kind="photos")
        at = {"by": self.draft_visit.stylist, "at": now()}
        photo_set = begin_photo_set(client=self.her, moment="own hair", **at)
        return PhotoFactory(photo_set=photo_set, angle="colour", **at)

    @cached_property
    def intake(self):
        """Her link to an intake at home, and its secret."""
        return make_intake_link(client=self.her, where="home", by=self.stylist, at=now())

    @cached_property
    def merge(self):
        return merge_clients(keep=self.her, gone=ClientFactory(), by=self.stylist, at=now())

    @cached_property
    def visit(self):
        return signed_off_visit(stylist=self.stylist)

    @cached_property
    def unit(self):
        return UnitFactory()

    @cached_property
    def piece_picture(self):
        return PiecePictureFactory()

    @cached_property
    def sale(self):
        return SaleFactory(client=self.her)

    @cached_property
    def deposit(self):
        """Held for her, with its receipt."""
        till = {"salon": Salon.objects.default(), "by": self.stylist, "at": now()}
        return take_deposit(client=self.her, amount_minor=2000, what_for="A piece on order", method="card", **till)

    @cached_property
    def stocktake(self):
        return begin_stocktake(by=self.stylist, at=now())

    @cached_property
    def ring_photo(self):
        return RingPhotoFactory()

    @cached_property
    def candidate(self):
        return choose_to_try(
            fitting=self.visit,
            variant=self.unit.variant,
            salon=Salon.objects.default(),
            by=self.stylist,
            at=now(),
            on=localdate(),
        )

    @cached_property
    def service(self):
        return Service.objects.create(fitting=self.visit, kind="wash", planned_by=self.stylist)

    @cached_property
    def done_service(self):
        return Service.objects.create(
            fitting=self.visit, kind="wash", planned_by=self.stylist, done_by=self.stylist, done_at=now()
        )

    @cached_property
    def repainting(self):
        return begin_repainting(by=self.stylist, at=now(), pattern="top-2")

    @cached_property
    def sold_line(self):
        """A piece of hers that was handed over, and can be taken back."""
        return hand_over(line=SaleFactory(client=self.her).lines.get(), by=self.stylist, at=now())

    @cached_property
    def decided(self):
        return decided_visit(stylist=self.stylist)


def sale(world):
    return [world.sale.reference]


def sale_and_deposit(world):
    return [world.sale.reference, world.deposit.pk]


def deposit(world):
    return [world.deposit.pk]


def priced_service(world):
    return [PricedServiceFactory().pk]


def tax_rate(world):
    return [TaxRateFactory().pk]


def receipt(world):
    return [world.deposit.receipt.number]


def nothing(world):
    return []


def client(world):
    return [world.her.reference]


def intake_link(world):
    return [world.her.reference, world.intake[0].pk]


def intake_secret(world):
    return [world.intake[1]]


def cared_for(world):
    return [world.cared_for.reference]


def owned(world):
    return [world.owned.reference]


def away(world):
    return [world.away.reference]


def loan(world):
    return [world.loan.pk]


def care_date(world):
    return [world.cared_for.care_dates.first().pk]


def wash_secret(world):
    return [world.wash_secret]


def skin_test(world):
    return [world.her.reference, world.skin_test.pk]


def product(world):
    return [world.product.pk]


def appointment(world):
    return [world.appointment.reference]


def kind(world):
    return [world.appointment.kind.pk]


def place(world):
    return [world.appointment.place.pk]


def closure(world):
    return [world.closure.pk]


def person(world):
    return [world.stylist.pk]


def time_off(world):
    return [world.time_off.pk]


def message(world):
    return [world.message.pk]


def stop_link(world):
    return [stop_token(world.her)]


def maker_order(world):
    return [world.maker_order.reference]


def awaited_piece(world):
    return [world.awaited_piece.pk]


def draft_visit(world):
    return [world.draft_visit.reference]


def photographed_visit(world):
    return colour_photo(world)[:1]


def colour_photo(world):
    return [world.draft_visit.reference, world.colour_photo.reference]


def photographed(world):
    return [world.colour_photo.photo_set.client.reference]


def merge(world):
    return [world.merge.reference]


def photo_set(world):
    return [world.colour_photo.photo_set.reference]


def photo(world):
    return [world.colour_photo.reference]


def photo_file(world):
    return [world.colour_photo.reference, "page"]


def visit(world):
    return [world.visit.reference]


def decided(world):
    return [world.decided.reference]


def assessment(world):
    return [world.visit.assessment.reference]


def variant(world):
    return [world.unit.variant.pk]


def variant_in_visit(world):
    return [world.visit.reference, world.unit.variant.pk]


def candidate(world):
    return [world.visit.reference, world.candidate.pk]


def service_kind(world):
    return [world.visit.reference, "wash"]


def service(world):
    return [world.visit.reference, world.service.pk]


def done_service(world):
    return [world.visit.reference, world.done_service.pk]


def piece(world):
    return [world.unit.variant.piece.pk]


def base(world):
    return [world.unit.variant.piece.base.pk]


def maker(world):
    return [world.unit.variant.piece.base.maker.pk]


def shade(world):
    return [world.unit.variant.shade.pk]


def piece_picture(world):
    return [world.piece_picture.reference]


def piece_picture_file(world):
    return [world.piece_picture.reference, "thumb"]


def entry(world):
    return [world.her.reference, "wear", world.wear_entry.pk]


def unit(world):
    return [world.unit.number]


def stocktake(world):
    return [world.stocktake.reference]


def ring_photo(world):
    return [world.ring_photo.reference]


def ring_photo_file(world):
    return [world.ring_photo.reference, "thumb"]


def example(world):
    return ["bases"]


def repainting(world):
    return [world.repainting.reference]


def feed(world):
    return [world.feed[0].pk]


def feed_secret(world):
    return [world.feed[1]]


def house_number(world):
    return ["margin_mm"]


def wish(world):
    return [world.wish.reference]


def sold_line(world):
    return [world.sold_line.sale.reference, world.sold_line.pk]


def return_reason(world):
    return [ReturnReasonFactory().pk]


TABLE = [
    # name, where, nobody, front desk, stylist, owner
    ("home", nothing, 302, 302, 302, 302),
    ("sign-in", nothing, 200, 302, 302, 302),
    ("sign-out", nothing, 302, 405, 405, 405),
    ("my-settings", nothing, 302, 200, 200, 200),
    ("my-password", nothing, 302, 200, 200, 200),
    ("salon-settings", nothing, 302, 403, 403, 200),
    ("help", nothing, 302, 200, 200, 200),
    ("clients", nothing, 302, 200, 200, 200),
    ("clients-import", nothing, 302, 403, 403, 200),
    ("client-new", nothing, 302, 200, 200, 200),
    ("client-phone", nothing, 302, 200, 200, 200),
    ("client", client, 302, 200, 200, 200),
    ("client-edit", client, 302, 200, 200, 200),
    ("client-consents", client, 302, 200, 200, 200),
    ("consent-sign", client, 302, 405, 405, 405),
    ("consent-withdraw", client, 302, 405, 405, 405),
    ("client-skin-tests", client, 302, 403, 200, 200),
    ("skin-test-read", skin_test, 302, 403, 405, 405),
    ("skin-test-strike-out", skin_test, 302, 403, 200, 200),
    ("products", nothing, 302, 403, 200, 200),
    ("product-new", nothing, 302, 403, 403, 200),
    ("product", product, 302, 403, 403, 200),
    ("client-looks", client, 302, 403, 403, 200),
    ("client-merge", client, 302, 200, 200, 200),
    ("merge", merge, 302, 200, 200, 200),
    ("merge-undo", merge, 302, 405, 405, 405),
    ("client-intake", client, 302, 200, 200, 200),
    ("intake-hand-over", client, 302, 405, 405, 405),
    ("intake-link-new", client, 302, 405, 405, 405),
    ("intake-link-revoke", intake_link, 302, 405, 405, 405),
    ("intake", intake_secret, 200, 200, 200, 200),
    ("intake-take-over", draft_visit, 302, 403, 405, 405),
    ("client-consents-paper", client, 302, 200, 200, 200),
    ("skin-test-record", client, 302, 403, 200, 200),
    ("own-hair-record", client, 302, 403, 200, 200),
    ("client-record", client, 302, 403, 403, 200),
    ("care-sheet", owned, 302, 403, 200, 200),
    ("service-record", owned, 302, 403, 200, 200),
    ("pieces", nothing, 302, 200, 200, 200),
    ("piece", piece, 302, 200, 200, 200),
    ("units-receive", piece, 302, 403, 403, 200),
    ("bases", nothing, 302, 200, 200, 200),
    ("base", base, 302, 200, 200, 200),
    ("shades", nothing, 302, 200, 200, 200),
    ("makers", nothing, 302, 403, 403, 200),
    ("maker-new", nothing, 302, 403, 403, 200),
    ("maker", maker, 302, 403, 403, 200),
    ("base-new", nothing, 302, 403, 403, 200),
    ("base-edit", base, 302, 403, 403, 200),
    ("piece-new", nothing, 302, 403, 403, 200),
    ("piece-edit", piece, 302, 403, 403, 200),
    ("piece-discontinue", piece, 302, 403, 403, 200),
    ("piece-picture-new", piece, 302, 403, 403, 200),
    ("piece-picture", piece_picture_file, 302, 200, 200, 200),
    ("piece-picture-remove", piece_picture, 302, 403, 403, 405),
    ("shade-new", nothing, 302, 403, 403, 200),
    ("shade-edit", shade, 302, 403, 403, 200),
    ("variant-new", piece, 302, 403, 403, 200),
    ("variant-edit", variant, 302, 403, 403, 200),
    ("variant-discontinue", variant, 302, 403, 403, 405),
    ("ring-photos", nothing, 302, 200, 200, 200),
    ("ring-photo-take", nothing, 302, 403, 405, 405),
    ("ring-photo", ring_photo, 302, 403, 200, 200),
    ("ring-photo-remove", ring_photo, 302, 403, 405, 405),
    ("ring-photo-file", ring_photo_file, 302, 200, 200, 200),
    ("ring-both-ways", nothing, 302, 200, 200, 200),
    ("units", nothing, 302, 200, 200, 200),
    ("unit", unit, 302, 200, 200, 200),
    ("unit-reserve", unit, 302, 200, 200, 200),
    ("unit-release", unit, 302, 405, 405, 405),
    ("unit-clean", unit, 302, 405, 405, 405),
    ("unit-cleaned", unit, 302, 405, 405, 405),
    ("unit-let-in", unit, 302, 405, 405, 405),
    ("unit-apart", unit, 302, 405, 405, 405),
    ("unit-write-off", unit, 302, 403, 403, 405),
    ("unit-purpose", unit, 302, 403, 403, 405),
    ("label", unit, 302, 302, 302, 302),
    ("labels", nothing, 302, 200, 200, 200),
    ("labels-pdf", nothing, 302, 200, 200, 200),
    ("stocktakes", nothing, 302, 200, 200, 200),
    ("stocktake-new", nothing, 302, 403, 403, 405),
    ("stocktake", stocktake, 302, 200, 200, 200),
    ("stocktake-count", stocktake, 302, 405, 405, 405),
    ("stocktake-put-right", stocktake, 302, 403, 403, 405),
    ("stocktake-finish", stocktake, 302, 403, 403, 405),
    ("unit-line", unit, 302, 200, 200, 200),
    ("entry-strike-out", entry, 302, 403, 200, 200),
    ("maker-orders", nothing, 302, 200, 200, 200),
    ("maker-order-new", nothing, 302, 403, 403, 200),
    ("maker-order", maker_order, 302, 200, 200, 200),
    ("maker-order-csv", maker_order, 302, 200, 200, 200),
    ("maker-order-line", maker_order, 302, 403, 403, 405),
    ("maker-order-send", maker_order, 302, 403, 403, 405),
    ("maker-order-expect", maker_order, 302, 403, 403, 405),
    ("maker-order-receive", maker_order, 302, 405, 405, 405),
    ("maker-order-close", maker_order, 302, 403, 403, 405),
    ("maker-order-drop", maker_order, 302, 403, 403, 405),
    ("special-order", client, 302, 200, 200, 200),
    ("asked-for", visit, 302, 403, 200, 200),
    ("catalogue-import", nothing, 302, 403, 403, 200),
    ("catalogue-columns", nothing, 302, 403, 403, 200),
    ("catalogue-example", example, 302, 403, 403, 200),
    ("maker-file", nothing, 302, 403, 403, 200),
    ("catalogue-export", example, 302, 403, 403, 200),
    ("variant-prices", variant, 302, 200, 200, 200),
    ("today", nothing, 302, 200, 200, 200),
    ("today-board", nothing, 302, 200, 200, 200),
    ("board-move", appointment, 302, 405, 405, 405),
    ("board-mark", appointment, 302, 405, 405, 405),
    ("week", nothing, 302, 200, 200, 200),
    ("appointment-units", appointment, 302, 405, 405, 405),
    ("appointment-new", nothing, 302, 200, 200, 200),
    ("walk-in", nothing, 302, 200, 200, 200),
    ("appointment-series", nothing, 302, 200, 200, 200),
    ("appointment", appointment, 302, 200, 200, 200),
    ("free-times", nothing, 302, 200, 200, 200),
    ("awaited-pieces", nothing, 302, 200, 200, 200),
    ("awaited-piece-mark", awaited_piece, 302, 405, 405, 405),
    ("appointment-deposit", appointment, 302, 405, 405, 405),
    ("appointment-move", appointment, 302, 200, 200, 200),
    ("appointment-cancel", appointment, 302, 200, 200, 200),
    ("appointment-mark", appointment, 302, 405, 405, 405),
    ("appointment-ics", appointment, 302, 200, 200, 200),
    ("appointment-refill", appointment, 302, 200, 200, 200),
    ("waiting-list", nothing, 302, 200, 200, 200),
    ("waiting-new", nothing, 302, 200, 200, 200),
    ("waiting", wish, 302, 200, 200, 200),
    ("waiting-book", wish, 302, 405, 405, 405),
    ("waiting-off", wish, 302, 405, 405, 405),
    ("care-due", nothing, 302, 200, 200, 200),
    ("care-told", care_date, 302, 405, 405, 405),
    ("wash-tell", cared_for, 302, 403, 405, 405),
    ("wash-link-new", cared_for, 302, 403, 200, 200),
    ("wash-link-revoke", cared_for, 302, 403, 405, 405),
    ("washed", wash_secret, 200, 200, 200, 200),
    ("messages", nothing, 302, 200, 200, 200),
    ("message-settle", message, 302, 405, 405, 405),
    ("message-again", message, 302, 405, 405, 405),
    ("stop-messages", stop_link, 200, 200, 200, 200),
    ("calendar-feeds", nothing, 302, 403, 200, 200),
    ("calendar-feed-new", nothing, 302, 403, 405, 405),
    ("calendar-feed-revoke", feed, 302, 403, 405, 405),
    ("calendar-feed", feed_secret, 200, 200, 200, 200),
    ("house-rules", nothing, 302, 403, 403, 200),
    ("house-rule", house_number, 302, 403, 200, 200),
    ("house-rule-back", house_number, 302, 403, 403, 405),
    ("setting-up", nothing, 302, 403, 403, 200),
    ("kinds", nothing, 302, 403, 403, 200),
    ("kind-new", nothing, 302, 403, 403, 200),
    ("kind", kind, 302, 403, 403, 200),
    ("places", nothing, 302, 403, 403, 200),
    ("place-new", nothing, 302, 403, 403, 200),
    ("place", place, 302, 403, 403, 200),
    ("opening-hours", nothing, 302, 403, 403, 200),
    ("closures", nothing, 302, 200, 200, 200),
    ("closure-new", nothing, 302, 403, 403, 200),
    ("closure", closure, 302, 403, 403, 200),
    ("closure-remove", closure, 302, 403, 403, 405),
    ("people", nothing, 302, 403, 403, 200),
    ("person-new", nothing, 302, 403, 403, 200),
    ("person", person, 302, 403, 403, 200),
    ("person-kinds", person, 302, 403, 403, 405),
    ("person-password", person, 302, 403, 403, 405),
    ("person-access", person, 302, 403, 403, 405),
    ("person-hours", person, 302, 403, 403, 200),
    ("time-off", nothing, 302, 200, 200, 200),
    ("time-off-new", nothing, 302, 200, 200, 200),
    ("time-off-change", time_off, 302, 200, 200, 200),
    ("time-off-remove", time_off, 302, 405, 405, 405),
    ("visit-begin", client, 302, 403, 405, 405),
    ("fittings", nothing, 302, 403, 200, 200),
    ("fitting", draft_visit, 302, 403, 302, 302),
    ("consult-story", draft_visit, 302, 403, 200, 200),
    ("consult-tapes", draft_visit, 302, 403, 200, 200),
    ("consult-map", draft_visit, 302, 403, 200, 200),
    ("consult-own-hair", draft_visit, 302, 403, 200, 200),
    ("reading-photos", photographed_visit, 302, 403, 200, 200),
    ("reading-marks", colour_photo, 302, 403, 200, 200),
    ("consult-wishes", draft_visit, 302, 403, 200, 200),
    ("consult-sign-off", draft_visit, 302, 403, 200, 200),
    ("stage-drawing", lambda world: ["norwood", "III vertex"], 302, 403, 200, 200),
    ("assessment", assessment, 302, 403, 200, 200),
    ("assessment-renew", assessment, 302, 403, 405, 405),
    ("candidates", visit, 302, 403, 200, 200),
    ("candidate", variant_in_visit, 302, 403, 200, 200),
    ("candidate-placement", variant_in_visit, 302, 403, 200, 200),
    ("candidate-try", variant_in_visit, 302, 403, 405, 405),
    ("candidate-untry", candidate, 302, 403, 405, 405),
    ("try-ons", visit, 302, 403, 200, 200),
    ("try-on-log", candidate, 302, 403, 405, 405),
    ("decision", visit, 302, 403, 200, 200),
    ("services", visit, 302, 403, 200, 200),
    ("service-plan", service_kind, 302, 403, 200, 200),
    ("service-remove", service, 302, 403, 405, 405),
    ("service-log", service_kind, 302, 403, 200, 200),
    ("service-done", service, 302, 403, 200, 200),
    ("service-correct", done_service, 302, 403, 200, 200),
    ("owned-new", client, 302, 403, 200, 200),
    ("sale-new", client, 302, 200, 200, 200),
    ("sale", sale, 302, 200, 200, 200),
    ("sale-pay", sale, 302, 405, 405, 405),
    ("sale-deposit", sale_and_deposit, 302, 405, 405, 405),
    ("sale-hand-over", sale, 302, 405, 405, 405),
    ("sale-take-out", sold_line, 302, 405, 405, 405),
    ("sale-give-back", sale, 302, 405, 405, 405),
    ("sale-cancel", sale, 302, 405, 405, 405),
    ("receipt", receipt, 302, 200, 200, 200),
    ("sales", nothing, 302, 200, 200, 200),
    ("deposits", nothing, 302, 200, 200, 200),
    ("deposit-back", deposit, 302, 405, 405, 405),
    ("deposit-new", client, 302, 200, 200, 200),
    ("statement", client, 302, 200, 200, 200),
    ("statement-pdf", client, 302, 405, 405, 405),
    ("price-list", nothing, 302, 200, 200, 200),
    ("priced-service-new", nothing, 302, 403, 403, 200),
    ("priced-service", priced_service, 302, 403, 403, 200),
    ("tax-rates", nothing, 302, 200, 200, 200),
    ("tax-rate-new", nothing, 302, 403, 403, 200),
    ("tax-rate", tax_rate, 302, 403, 403, 200),
    ("return-new", sold_line, 302, 200, 200, 200),
    ("returns", nothing, 302, 200, 200, 200),
    ("review", nothing, 302, 403, 403, 200),
    ("review-rows", nothing, 302, 403, 403, 302),
    ("review-csv", lambda _: ["returns"], 302, 403, 403, 200),
    ("review-order", nothing, 302, 403, 403, 405),
    ("return-reasons", nothing, 302, 403, 403, 200),
    ("return-reason-new", nothing, 302, 403, 403, 200),
    ("return-reason", return_reason, 302, 403, 403, 200),
    ("owned-piece", owned, 302, 200, 200, 200),
    ("owned-wear", owned, 302, 403, 200, 200),
    ("owned-check", owned, 302, 403, 200, 200),
    ("owned-end", owned, 302, 403, 200, 200),
    ("owned-turns", owned, 302, 403, 405, 405),
    ("owned-repair", owned, 302, 200, 200, 200),
    ("repair-back", away, 302, 200, 200, 200),
    ("loans", nothing, 302, 200, 200, 200),
    ("loan-new", client, 302, 200, 200, 200),
    ("loan-back", loan, 302, 405, 405, 405),
    ("strand-test", owned, 302, 403, 200, 200),
    ("visit-finish", visit, 302, 403, 405, 405),
    ("rules", nothing, 302, 403, 200, 200),
    ("consult-summary", decided, 302, 403, 200, 200),
    ("consult-summary-pdf", decided, 302, 403, 200, 200),
    ("hair-over-time", client, 302, 403, 200, 200),
    ("hair-compare", client, 302, 403, 200, 200),
    ("repaintings", nothing, 302, 403, 200, 200),
    ("repainting-new", nothing, 302, 403, 200, 200),
    ("repainting", repainting, 302, 403, 200, 200),
    ("repainting-drop", repainting, 302, 403, 405, 405),
    ("photos", photographed, 302, 403, 200, 200),
    ("photo-set-new", photographed, 302, 403, 405, 405),
    ("photos-compare", photographed, 302, 403, 200, 200),
    ("photo-set", photo_set, 302, 403, 200, 200),
    ("photo-take", photo_set, 302, 403, 405, 405),
    ("photos-turn", photo_set, 302, 403, 200, 200),
    ("photo", photo, 302, 403, 200, 200),
    ("photo-file", photo_file, 302, 403, 200, 200),
    ("photo-refile", photo, 302, 403, 405, 405),
    ("photo-show-outside", photo, 302, 403, 405, 405),
    ("photo-keep-inside", photo, 302, 403, 405, 405),
    ("photo-remove", photo, 302, 403, 405, 405),
]
READERS = (None, *STAFF)
OPEN_TO_ALL = {"home", "sign-in", "sign-out", "my-settings", "my-password", "help"}
OPEN_TO_ALL |= {"calendar-feed", "intake", "stop-messages", "washed"}


def addresses(patterns):
    for pattern in patterns:
        if isinstance(pattern, URLResolver):
            yield from addresses(pattern.url_patterns)
        else:
            yield pattern


EVERY = list(addresses(get_resolver().url_patterns))


def test_the_table_names_every_address_once_and_none_that_is_gone():
    named, there = sorted(row[0] for row in TABLE), sorted(str(pattern.name) for pattern in EVERY)
    assert [name for name in there if name not in named] == [], "addresses without a line in the table"
    assert [name for name in named if name not in there] == [], "lines whose address is gone"
    assert len(set(named)) == len(named)
    assert len(set(there)) == len(there)


@pytest.mark.parametrize("pattern", EVERY, ids=lambda pattern: str(pattern.name))
def test_every_view_says_whom_it_is_for(pattern):
    assert (pattern.name in OPEN_TO_ALL) != hasattr(pattern.callback, "needs")


@pytest.mark.parametrize(("name", "where", "nobody", "desk", "stylist", "owner"), TABLE, ids=[row[0] for row in TABLE])
def test_an_address_answers_each_reader_as_the_table_says(name, where, nobody, desk, stylist, owner, client):
    address = reverse(name, args=where(World()))
    answers = {}
    for role in READERS:
        client.logout()
        if role:
            client.force_login(STAFF[role](), backend="django.contrib.auth.backends.ModelBackend")
        response = client.get(address)
        answers[role] = response.status_code
        if response.streaming:
            response.getvalue()  # read to its end, which closes the file
        if role is None and response.status_code == 302:
            assert urlparse(response.url).path == reverse("sign-in")
            assert client.post(address).status_code == 302, "posting needs signing in too"
        if response.status_code == 403:
            assert client.post(address).status_code == 403, "what may not be opened may not be posted to"
    assert answers == dict(zip(READERS, (nobody, desk, stylist, owner), strict=True))
