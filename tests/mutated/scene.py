"""One salon in the middle of a day: of all that a page can be about there is one, and one that is somebody else's.

Made by the deeds the pages call. `Scene` names what a valid post or an address needs.
"""

from dataclasses import dataclass, field
from datetime import date, timedelta

from django.test import Client as Browser
from django.utils.timezone import localdate, now

from clients.intaking import Answers, make_intake_link, send_intake
from clients.merging import merge_clients
from clients.models import Assessment, Client, Intake, IntakeLink, Merge, Photo, Product, Repainting, SkinTest
from clients.photos import show_outside
from clients.repainting import begin_repainting, keep_painting
from fittings.awaiting import await_piece
from fittings.booking import cancel_appointment
from fittings.calendars.feeds import make_feed, read_feed
from fittings.caring import make_wash_link, work_out_care
from fittings.checking import check_condition
from fittings.house_numbers import start_numbers
from fittings.keeping_house_rules import keep_house_rules
from fittings.laying_out import add_unit_to_try
from fittings.lending import lend
from fittings.models import (
    Appointment,
    AwaitedPiece,
    CalendarFeed,
    Candidate,
    CareDate,
    Closure,
    ConditionCheck,
    Fitting,
    Loan,
    OwnedPiece,
    Place,
    Reminder,
    Service,
    ServiceKind,
    TimeOff,
    TryOn,
    UnitToTry,
    WaitingEntry,
    WearEntry,
)
from fittings.owning import tell_wear
from fittings.photos.filing import begin_photo_set
from fittings.planning import plan_service
from fittings.repairing import send_to_repair
from fittings.serving import log_service
from fittings.trying import choose_to_try, decide, log_try_on
from fittings.visiting import begin_visit, finish_visit
from pieces.counting import begin_stocktake
from pieces.models import (
    MakerOrder,
    Payment,
    Piece,
    PiecePicture,
    PricedService,
    ReturnReason,
    RingPhoto,
    Sale,
    SaleLine,
    Stocktake,
    TaxRate,
    Unit,
    Variant,
)
from pieces.paying import take_deposit, take_payment
from pieces.selling import LineAsked, hand_over
from pieces.stock import keep_apart, reserve_unit, send_to_be_cleaned
from salon.models import Salon, User
from tests.clients.factories import PhotoFactory
from tests.factories import (
    ClientFactory,
    ConsentFactory,
    DeskFactory,
    OwnerFactory,
    ProductFactory,
    SkinTestFactory,
    StylistFactory,
)
from tests.fittings.factories import (
    AppointmentFactory,
    ClosureFactory,
    OwnedPieceFactory,
    PlaceFactory,
    ServiceKindFactory,
    TimeOffFactory,
    WaitingEntryFactory,
)
from tests.fittings.messages.factories import UnsettledFactory
from tests.fittings.test_candidates import clipped_base
from tests.fittings.visits import signed_off_visit
from tests.pieces.factories import (
    MakerOrderFactory,
    OrderLineFactory,
    PaymentFactory,
    PieceFactory,
    PiecePictureFactory,
    PricedServiceFactory,
    ReturnReasonFactory,
    RingPhotoFactory,
    SaleFactory,
    TaxRateFactory,
    UnitFactory,
    VariantFactory,
)
from tests.pieces.ring.ring_pictures import one_shade

OWNERS_PASSWORD = "walnut-lantern-91"
STOP = "hairline"
WELL = {"covers": "well", "sits": "well", "matches": "nearly"}


@dataclass
class Visit:
    """One visit whose assessment is signed off, with two pieces chosen to try and one of them tried."""

    fitting: Fitting
    candidate: Candidate
    untried: Candidate
    try_on: TryOn
    service: Service


@dataclass
class Scene:
    staff: dict[str, User]
    new: Client
    """Registered, her consent signed, nothing examined yet."""
    appointment: Appointment
    """Hers, tomorrow."""
    to_try: UnitToTry
    """To be laid out for her."""
    waiting: Appointment
    """Somebody's who has come: begun an hour ago."""
    drafted: Fitting
    """A visit whose assessment is still being written; it starts from an earlier one."""
    visit: Visit
    elsewhere: Visit
    """Another client's."""
    decided: Fitting
    """Decided, and not finished yet."""
    stopped: TryOn
    """A piece that a rule stops, tried."""
    finished: Fitting
    owned: OwnedPiece
    """Of the client of `visit`."""
    wear: WearEntry
    """Told of that piece."""
    check: ConditionCheck
    """Of that piece."""
    her_other: OwnedPiece
    """Of the same client."""
    away: OwnedPiece
    """Of the client of `drafted`, sent to be repaired."""
    loan: Loan
    care_date: CareDate
    """Of that piece."""
    done: Service
    """A cut-in of the owned piece, logged in the visit."""
    to_paint: Repainting
    """Begun by the stylist, not painted yet."""
    painted_once: Repainting
    """Hers, with the first painting stored."""
    cared_for: OwnedPiece
    """Somebody else's, without an address for washes."""
    wash_secret: str
    """Opens the address with which she tells of a wash of it."""
    intake_link: IntakeLink
    """Of the new client, for at home; `intake_secret` opens it."""
    intake_secret: str
    intake: Intake
    """Sent by the client whose assessment is still being written."""
    second_record: Client
    """Of the new client, to be merged with hers."""
    merge: Merge
    """Of two others."""
    skin_test: SkinTest
    product: Product
    kind: ServiceKind
    place: Place
    chair: Place
    awaited: AwaitedPiece
    """On its way for the new client."""
    closure: Closure
    time_off: TimeOff
    piece: Piece
    variant: Variant
    unit: Unit
    reserved: Unit
    cleaning: Unit
    apart: Unit
    """Kept apart."""
    stocktake: Stocktake
    """Open, with nothing counted yet."""
    piece_picture: PiecePicture
    """Of that piece."""
    ring_photo: RingPhoto
    colour_photo: Photo
    """Of the client whose assessment is still being written, with the card in it."""
    photo: Photo
    """Of the same client, in a turn."""
    shown_photo: Photo
    """Another of hers, which may be shown outside."""
    others_photo: Photo
    draft_order: MakerOrder
    """To the maker of the piece, with one line."""
    sent_order: MakerOrder
    """Likewise, on its way."""
    feed: CalendarFeed
    """Read just now: that is noted once an hour."""
    feed_secret: str
    """Opens that feed."""
    wish: WaitingEntry
    given_back: Appointment
    """Cancelled, of tomorrow: the wish would take its time."""
    sold: SaleLine
    """A piece of the new client's, paid and handed over today."""
    sold_long_ago: SaleLine
    """Another of hers, longer ago than the salon takes a piece back."""
    taken_instead: Sale
    """Hers, with its money still to come."""
    return_reason: ReturnReason
    sale: Sale
    """Hers too, paid in part, its piece still in the salon."""
    unpaid_sale: Sale
    """Another of hers, of which nothing was paid."""
    of_two: SaleLine
    """The first of two lines of hers, of which she has none yet."""
    deposit: Payment
    """Held for her."""
    priced_service: PricedService
    tax_rate: TaxRate
    message: Reminder
    """Nobody knows whether it went out."""
    browsers: dict[str, Browser] = field(default_factory=dict)

    @property
    def draft(self) -> Assessment:
        return self.drafted.assessment

    @property
    def others(self) -> list[str]:
        """References, numbers and keys of what belongs to somebody or something else."""
        visit = self.elsewhere
        records = [visit.candidate, visit.try_on, visit.service, visit.candidate.variant, *self.staff.values()]
        return [
            visit.fitting.reference,
            visit.fitting.assessment.reference,
            visit.fitting.client.reference,
            self.finished.reference,
            self.waiting.reference,
            self.reserved.number,
            self.others_photo.reference,
            self.others_photo.photo_set.reference,
            *(str(record.pk) for record in records),
        ]


def make_scene() -> Scene:
    Salon.objects.default()
    stylist, desk = StylistFactory(), DeskFactory()
    owner = OwnerFactory(username="odile")
    owner.set_password(OWNERS_PASSWORD)
    owner.save()
    kind, place = ServiceKindFactory(), PlaceFactory(name="Quiet room", sort="room")
    chair = PlaceFactory()
    here = {"stylist": stylist, "kind": kind, "place": place}
    new = ClientFactory(
        record_consent=True,
        born_on=date(1971, 4, 9),
        private_note="Rings before she comes",
        email="ada@ashdown.example",
    )
    unit = UnitFactory(variant=VariantFactory(piece=PieceFactory(base=clipped_base(), name="Heron Weir")))
    reserved = UnitFactory(variant=unit.variant)
    reserve_unit(unit=reserved, by=owner)
    booked = AppointmentFactory(client=new, starts_at=now() + timedelta(days=1), deposit_minor=2000, **here)
    drafted = _drafted(stylist)
    intake_link, intake_secret = make_intake_link(client=new, where="home", by=desk, at=now())
    feed, feed_secret = make_feed(stylist=stylist, by=stylist, at=now())
    read_feed(secret=feed_secret, at=now())
    visit = _visit(stylist, unit.variant)
    owned = OwnedPieceFactory(client=visit.fitting.client, unit__variant=unit.variant, begun_by=stylist)
    keep_house_rules(values={"set_back_full_mm": 30}, shown=start_numbers(), by=owner)
    scene = Scene(
        staff={"Stylist": stylist, "Front desk": desk, "Owner": owner},
        new=new,
        appointment=booked,
        to_try=add_unit_to_try(appointment=booked, unit=reserved, by=desk, at=now()),
        waiting=AppointmentFactory(starts_at=now() - timedelta(hours=1), **here),
        drafted=drafted,
        visit=visit,
        owned=owned,
        wear=tell_wear(owned=owned, told_on=localdate(), by=stylist, at=now(), days_per_week=5),
        check=check_condition(owned=owned, grades={"fibre": 0}, by=stylist, at=now()),
        her_other=OwnedPieceFactory(client=owned.client, begun_by=stylist),
        away=_away(drafted.client, desk),
        loan=_lent(desk),
        care_date=work_out_care(owned=owned, on=localdate())[0],
        done=_done(visit.fitting, owned),
        to_paint=begin_repainting(by=stylist, at=now(), pattern="temples"),
        painted_once=_painted_once(stylist),
        cared_for=OwnedPieceFactory(begun_by=stylist),
        wash_secret=make_wash_link(owned=owned, by=stylist, at=now())[1],
        elsewhere=_visit(stylist, VariantFactory(piece=PieceFactory(base=clipped_base(), name="Quarry Lane"))),
        decided=_decided(stylist, unit.variant),
        stopped=_stopped(stylist, unit.variant),
        finished=_finished(stylist, unit.variant),
        intake_link=intake_link,
        intake_secret=intake_secret,
        intake=_intake(drafted.client, desk),
        second_record=ClientFactory(family_name="Ashdowne", phone="07700 900789"),
        merge=merge_clients(keep=ClientFactory(), gone=ClientFactory(phone="07700 900555"), by=desk, at=now()),
        skin_test=SkinTestFactory(client=new, by=stylist),
        product=ProductFactory(name="Lace tape", by=owner),
        chair=chair,
        awaited=await_piece(client=new, what="Heron, walnut", by=desk, at=now()),
        kind=kind,
        place=place,
        closure=ClosureFactory(),
        time_off=TimeOffFactory(stylist=stylist),
        piece=unit.variant.piece,
        variant=unit.variant,
        unit=unit,
        reserved=reserved,
        cleaning=send_to_be_cleaned(unit=UnitFactory(), by=stylist),
        apart=keep_apart(unit=UnitFactory(), because="Seal broken", by=stylist),
        stocktake=begin_stocktake(by=owner, at=now()),
        draft_order=_ordered(unit.variant, owner),
        sent_order=_ordered(unit.variant, owner, sent=True),
        piece_picture=PiecePictureFactory(piece=unit.variant.piece),
        ring_photo=RingPhotoFactory(jpeg=one_shade().jpeg, by=stylist),
        colour_photo=_colour_photo(drafted),
        photo=_photo(drafted, angle="turn"),
        shown_photo=_shown_photo(drafted),
        others_photo=PhotoFactory(),
        sold=_sold(new, stylist, days_ago=0),
        sold_long_ago=_sold(new, stylist, days_ago=40),
        taken_instead=SaleFactory(client=new, by=desk),
        return_reason=ReturnReasonFactory(name="Slides forward"),
        sale=PaymentFactory(sale__client=new, amount_minor=2000).sale,
        unpaid_sale=SaleFactory(client=new),
        of_two=SaleFactory(client=new, lines=[LineAsked(unit=UnitFactory()) for _ in range(2)]).lines.first(),
        deposit=take_deposit(client=new, amount_minor=2000, what_for="On order", method="card", **_till(desk)),
        priced_service=PricedServiceFactory(name="Cut-in"),
        tax_rate=TaxRateFactory(name="Standard", is_usual=True),
        message=UnsettledFactory(),
        wish=WaitingEntryFactory(kind=kind),
        given_back=_given_back(desk, here),
        feed=feed,
        feed_secret=feed_secret,
    )
    for role, somebody in scene.staff.items():
        scene.browsers[role] = Browser(raise_request_exception=False)
        scene.browsers[role].force_login(somebody)
    scene.browsers["nobody"] = Browser(raise_request_exception=False)
    return scene


def _tried(fitting, variant):
    chosen = choose_to_try(
        fitting=fitting, variant=variant, salon=Salon.objects.default(), by=fitting.stylist, at=now(), on=localdate()
    )
    return chosen, log_try_on(fitting=fitting, candidate=chosen, by=fitting.stylist, **WELL)


def _visit(stylist, variant):
    fitting = signed_off_visit(stylist=stylist, wishes={"wants_heat": "yes", "budget_minor": 150000})
    untried = choose_to_try(
        fitting=fitting,
        variant=VariantFactory(piece=PieceFactory(base=clipped_base(), fibre="standard")),
        salon=Salon.objects.default(),
        by=stylist,
        at=now(),
        on=localdate(),
    )
    candidate, look = _tried(fitting, variant)
    service = plan_service(
        fitting=fitting,
        kind="wash",
        facts={},
        candidate=candidate,
        salon=Salon.objects.default(),
        by=stylist,
        at=now(),
        on=localdate(),
    )
    return Visit(fitting, candidate, untried, look, service)


def _away(client, desk):
    owned, at = OwnedPieceFactory(client=client), {"by": desk, "at": now()}
    send_to_repair(owned=owned, what="A tear", done_by="The lace mender", sent_on=localdate(), **at)
    return owned


def _lent(desk):
    days = {"lent_on": localdate() - timedelta(days=9), "due_back_on": localdate() - timedelta(days=2)}
    return lend(client=ClientFactory(), unit=UnitFactory(), by=desk, at=now(), **days)


def _ordered(variant, owner, **how):
    order = MakerOrderFactory(maker=variant.piece.base.maker, drafted_by=owner, **how)
    OrderLineFactory(order=order, variant=variant)
    return order


def _till(by):
    return {"salon": Salon.objects.default(), "by": by, "at": now()}


def _sold(client, stylist, days_ago):
    then = now() - timedelta(days=days_ago)
    line = SaleFactory(client=client, by=stylist, at=then).lines.get()
    till = {"salon": Salon.objects.default(), "by": stylist, "at": then}
    take_payment(sale=line.sale, amount_minor=line.total_minor, method="card", **till)
    return hand_over(line=line, by=stylist, at=then)


def _done(fitting, owned):
    at = {"by": fitting.stylist, "at": now(), "on": localdate()}
    return log_service(
        fitting=fitting, kind="cut-in", facts={}, details={}, owned_piece=owned, salon=Salon.objects.default(), **at
    )


def _painted_once(stylist):
    begun = begin_repainting(by=stylist, at=now(), pattern="top-2")
    return keep_painting(repainting=begun, density_hex="32" * 4096, by=stylist, at=now())


def _drafted(stylist):
    earlier = signed_off_visit(stylist=stylist, story={"reactions": ["nickel"]})
    decide(fitting=earlier, chosen=None, none_chosen_because="She wants to think about it", by=stylist)
    finish_visit(
        fitting=earlier, by=stylist, at=now(), next_visit_on=None, none_chosen_because="She wants to think about it"
    )
    return begin_visit(client=earlier.client, stylist=stylist, at=now())


def _intake(client, desk):
    link, _ = make_intake_link(client=client, where="home", by=desk, at=now())
    told = Answers(story="It began after the winter", chemotherapy="none", substances=("latex",), wishes="To swim")
    return send_intake(link=link, answers=told, agrees={}, at=now())


def _given_back(desk, here):
    booked = AppointmentFactory(starts_at=now() + timedelta(days=1, hours=3), **here)
    return cancel_appointment(appointment=booked, by=desk, because="She rang", at=now())


def _colour_photo(drafted):
    ConsentFactory(client=drafted.client, kind="photos")
    return _photo(drafted, angle="colour", picture=one_shade().jpeg)


def _stopped(stylist, variant):
    candidate, look = _tried(signed_off_visit(stylist=stylist), variant)
    stop = {"rule_id": STOP, "severity": "stop", "says": "Only a lace front makes a new hairline.", "asks": []}
    Candidate.objects.filter(pk=candidate.pk).update(findings=[stop | {"questions": []}])
    return look


def _decided(stylist, variant):
    fitting = signed_off_visit(stylist=stylist)
    return decide(fitting=fitting, chosen=_tried(fitting, variant)[1], why_chosen="Sits like her own", by=stylist)


def _finished(stylist, variant):
    fitting = _decided(stylist, variant)
    return finish_visit(fitting=fitting, by=stylist, at=now(), next_visit_on=None, why_chosen="Sits like her own")


def _photo(drafted, **how):
    photo_set = begin_photo_set(client=drafted.client, moment="own hair", by=drafted.stylist, at=now())
    return PhotoFactory(photo_set=photo_set, by=drafted.stylist, **how)


def _shown_photo(drafted):
    ConsentFactory(client=drafted.client, kind="publicity")
    return show_outside(photo=_photo(drafted), by=drafted.stylist, at=now())
