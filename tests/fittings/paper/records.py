"""A client of years: a piece that was chosen and is hers, what was done to it, its care, tests and all the rest."""

from datetime import timedelta

from django.utils.timezone import localdate, now

from clients.intaking import make_intake_link
from clients.looking import note_look
from clients.models import Intake, Sensitivity
from clients.skin_testing import apply_skin_test, read_skin_test, strike_out_skin_test
from fittings.awaiting import await_piece
from fittings.caring import tell_wash, work_out_care
from fittings.checking import check_condition
from fittings.correcting import strike_out
from fittings.models import Loan, OwnedPiece, Repair, Service, StrandTest
from fittings.owning import tell_wear
from fittings.photos.filing import begin_photo_set
from tests.clients.factories import PhotoFactory
from tests.factories import ConsentFactory, OwnerFactory, ProductFactory, StylistFactory
from tests.fittings.factories import AppointmentFactory, OwnedPieceFactory, WaitingEntryFactory
from tests.fittings.messages.factories import UnsettledFactory
from tests.fittings.paper.papers import a_variant, clipped_base, decided_visit, finished
from tests.pieces.factories import OrderLineFactory, PaymentFactory, SaleFactory, UnitFactory

CLIPS = [{"u_mm": 12, "v_mm": 0, "length_mm": 30}, {"u_mm": 100, "v_mm": 45, "length_mm": 30}]


def her_piece(**piece):
    """A piece that was chosen in a visit, with its first wear told and its dates worked out."""
    variant = a_variant(**({"name": "Heron Weir", "base": clipped_base(name="Wicket", front_edge="lace")} | piece))
    fitting = finished(decided_visit(variant=variant))
    owned = OwnedPieceFactory(
        client=fitting.client,
        unit=UnitFactory(variant=variant, state="with client"),
        candidate=fitting.candidates.get(),
        clips=CLIPS,
        tape=[{"where": "front edge", "product": "Weir tape", "since": f"{localdate() - timedelta(days=20)}"}],
        begun_by=fitting.stylist,
    )
    tell_wear(
        owned=owned,
        told_on=localdate() - timedelta(days=60),
        days_per_week=5,
        hours_per_day=9,
        worn_to_bed="no",
        by=fitting.stylist,
        at=now(),
    )
    work_out_care(owned=owned, on=localdate())
    return again(owned)


def again(owned):
    return OwnedPiece.objects.with_what_they_are().select_related("client", "candidate__fitting").get(pk=owned.pk)


def done(owned, kind, *, days_ago, details=None, facts=None, **more):
    """A service on record as its form keeps it; the rules are tested elsewhere."""
    fitting = owned.candidate.fitting
    more = {"owned_piece": owned} | more
    return Service.objects.create(
        fitting=fitting,
        kind=kind,
        facts=facts or {},
        details=details or {},
        planned_by=fitting.stylist,
        done_by=fitting.stylist,
        done_at=now() - timedelta(days=days_ago),
        **more,
    )


def a_colour(owned, **more):
    return done(
        owned,
        "colour",
        facts={"planned_colour": "deposit", "colour_on": "piece, off her head", "colour_touches_skin": False},
        details={
            "lines": [{"product": "Peat 4", "parts": 1, "lot": "P-1"}, {"product": "Ash 6", "parts": 1, "lot": "A-9"}],
            "developer_percent": 3.0,
            "developer_parts": 4,
            "minutes": 20,
        },
        **more,
    )


def much_was_done(owned):
    """A colour that was corrected, a wash that was struck out, a stop that was let pass, a strand test, own hair."""
    fitting, stylist = owned.candidate.fitting, owned.candidate.fitting.stylist
    first = a_colour(owned, days_ago=40, note="a shade warmer")
    a_colour(owned, days_ago=39, corrects=first, corrected_because="It was 20 minutes, not 30")
    wrong = done(owned, "heat", days_ago=30, facts={"planned_heat": "iron", "tool_c": 150})
    strike_out(entry=wrong, because="Another client's", by=stylist, at=now())
    hot = done(owned, "heat", days_ago=20, facts={"planned_heat": "tong", "tool_c": 210})
    hot.overrides.create(
        fitting=fitting,
        rule_id="heat-hair-high",
        finding="The tool is above 200 °C.",
        reason="Its maker allows 210 °C.",
        owner=OwnerFactory(first_name="Wilma", last_name="Oakes"),
    )
    done(owned, "cut-in", days_ago=10, owned_piece=None, candidate=None, note="her own fringe")
    StrandTest.objects.create(
        unit=owned.unit,
        product="Peat 4",
        lot="P-1",
        minutes=20,
        held=True,
        seen="Even, no bleeding.",
        tested_at=now() - timedelta(days=41),
        tested_by=stylist,
    )


def with_skin_tests(client, stylist):
    """One for its product's days, one by the house rule, one to be read, a reaction that was struck out."""
    at = now()
    ProductFactory(name="Weir tape", test_valid_days=90)
    ProductFactory(name="Quarry bond", sort="adhesive", read_after_hours=72)
    on_file = {"client": client, "by": stylist}
    for product, kind in (("Weir tape", ""), ("Soft tape no. 3", "adhesive")):
        test = apply_skin_test(product=product, kind=kind, lot="L-1", at=at - timedelta(days=5), **on_file)
        read_skin_test(test=test, reacted=False, by=stylist, at=at - timedelta(days=3))
    read_skin_test(test=test, reacted=False, by=StylistFactory(), at=at - timedelta(days=2))
    apply_skin_test(product="Quarry bond", applied_at=at - timedelta(hours=5), at=at, **on_file)
    wrong = apply_skin_test(product="Old glue", kind="adhesive", at=at - timedelta(days=9), **on_file)
    read_skin_test(test=wrong, reacted=True, by=stylist, at=at - timedelta(days=8))
    strike_out_skin_test(test=wrong, because="Pressed by mistake", by=stylist, at=at)
    Sensitivity.objects.create(
        client=client, substance="nickel", reaction="It itched", told_on=localdate(), recorded_by=stylist
    )


def everything_of_her():
    """Something in every table that holds something of a client; the piece."""
    owned = her_piece()
    client, fitting = owned.client, owned.candidate.fitting
    stylist = fitting.stylist
    much_was_done(owned)
    with_skin_tests(client, stylist)
    here = {"by": stylist, "at": now()}
    ConsentFactory(client=client, kind="photos", **here)
    PhotoFactory(photo_set=begin_photo_set(client=client, moment="own hair", **here), angle="front", **here)
    link, _ = make_intake_link(client=client, where="home", **here)
    Intake.objects.create(client=client, link=link, sent_at=now(), story="Since the winter")
    await_piece(client=client, what="Heron, walnut", **here)
    tell_wash(owned=owned, washed_on=localdate() - timedelta(days=3), deep_care=True, **here)
    check_condition(owned=owned, grades={"fibre": 2, "clips": 0}, note="A little frizz at the nape", **here)
    lately = localdate() - timedelta(days=12)
    Repair.objects.create(
        owned_piece=owned, what="Lace", done_by="Weir Lane", sent_on=lately, sent_by=stylist, sent_at=now()
    )
    Loan.objects.create(
        client=client,
        unit=UnitFactory(),
        instead_of=owned,
        lent_on=lately,
        due_back_on=lately + timedelta(days=30),
        lent_by=stylist,
        lent_at=now(),
    )
    appointment = AppointmentFactory(client=client, stylist=stylist)
    UnsettledFactory(appointment=appointment)
    WaitingEntryFactory(client=client)
    OrderLineFactory(for_client=client, count=1)
    PaymentFactory(sale=SaleFactory(client=client))
    note_look(client=client, user=stylist, page="visit")
    return again(owned)
