"""A small salon whose rows are all known: what the review says of it is held against plain counting."""

from datetime import datetime, time, timedelta

from django.utils.timezone import localdate, make_aware

from fittings.models import Candidate, Fitting, TryOn
from pieces.models import AskedFor
from pieces.returning import take_back
from pieces.selling import LineAsked, Measured, hand_over
from salon.models import Salon
from tests.factories import OwnerFactory, StylistFactory
from tests.fittings.factories import CandidateFactory
from tests.fittings.visits import signed_off_visit
from tests.pieces.factories import (
    BaseFactory,
    MakerFactory,
    PieceFactory,
    ReturnReasonFactory,
    SaleFactory,
    UnitFactory,
    VariantFactory,
)


def days_ago(days, hour=12):
    return make_aware(datetime.combine(localdate() - timedelta(days=days), time(hour)))


class Shop:
    """Two makers, three variants, two stylists; `sell` writes a sale down by its deeds."""

    def __init__(self):
        self.owner, self.stylists = OwnerFactory(), StylistFactory.create_batch(2)
        self.reasons = [ReturnReasonFactory(name=name) for name in ("Shows at the front, twice", "Feels heavy, twice")]
        bases = [BaseFactory(), BaseFactory(maker=MakerFactory(name="Pellward & Daughter"))]
        pieces = [PieceFactory(base=bases[0]), PieceFactory(base=bases[1], fibre="standard")]
        self.variants = [
            VariantFactory(piece=pieces[0], length_mm=350),
            VariantFactory(piece=pieces[0], length_mm=420, price_minor=99900, cost_minor=None),
            VariantFactory(piece=pieces[1], length_mm=300, price_minor=39900, cost_minor=15000),
        ]
        self.sold = []

    def unit(self, variant, came_days_ago, **facts):
        return UnitFactory(
            variant=self.variants[variant], received_on=localdate() - timedelta(days=came_days_ago), **facts
        )

    def sell(self, variant, days, *, back_after=None, reason=0, stylist=0, visit=False, margin=None, came=None):
        """Handed over so many days ago; taken back so many days later, unless never."""
        came = days + 40 if came is None else came
        reference = self.visit(variant, days + 7, self.stylists[stylist]).reference if visit else ""
        unit = self.unit(variant, came)
        asked = LineAsked(unit=unit, measured=Measured(visit_reference=reference, margin_mm=margin))
        sale = SaleFactory(lines=[asked], stylist=self.stylists[stylist], at=days_ago(days), by=self.owner)
        line = hand_over(line=sale.lines.get(), by=self.owner, at=days_ago(days))
        if back_after is not None:
            take_back(
                line=line,
                reason=self.reasons[reason],
                fate="cleaning",
                refund_minor=0,
                salon=Salon.objects.default(),
                by=self.owner,
                at=days_ago(days - back_after),
                owner=self.owner,
                because="The owner said so" if back_after > Salon.objects.default().return_days else "",
            )
        self.sold.append(
            {
                "variant": variant,
                "days": days,
                "back": back_after,
                "reason": reason,
                "stylist": stylist,
                "margin": margin,
                "lay": came - days,
                "visit": reference,
            }
        )
        return line

    def visit(self, variant, days, stylist, *, try_on=True):
        """A consult so many days ago, in which a piece was put forward and put on."""
        fitting = signed_off_visit(stylist=stylist)
        Fitting.objects.filter(pk=fitting.pk).update(
            began_at=days_ago(days), finished_at=days_ago(days, 14), finished_by=stylist
        )
        candidate = CandidateFactory(fitting=fitting, variant=self.variants[variant])
        Candidate.objects.filter(pk=candidate.pk).update(chosen_at=days_ago(days))
        if try_on:
            TryOn.objects.create(
                fitting=fitting, candidate=candidate, covers="well", sits="well", matches="well", logged_by=stylist
            )
        return fitting


def small_shop():
    """Eight sales with every sort of end, two consults that led to nothing, and units that lie about."""
    shop = Shop()
    shop.sell(0, 300, visit=True, margin=14.0)
    shop.sell(0, 200, back_after=10, visit=True, margin=6.0)
    shop.sell(0, 120, back_after=60, reason=1, stylist=1, visit=True, margin=8.0)
    shop.sell(1, 100, stylist=1, margin=12.0)
    shop.sell(2, 60, back_after=5, reason=1, visit=True, margin=9.0)
    shop.sell(2, 40, visit=True)
    shop.sell(2, 20, back_after=3, stylist=1)
    shop.sell(1, 10, visit=True, margin=20.0)
    shop.sell(0, 900)  # before the days that are asked about
    shop.visit(1, 50, shop.stylists[0])
    shop.visit(2, 45, shop.stylists[1], try_on=False)
    shop.unit(0, 400)
    shop.unit(2, 250)
    shop.unit(2, 30)
    shop.unit(1, 30, purpose="try-on")
    return shop


def ask_in_vain(shop, variant, visits):
    """So many consults asked for a variant that did not lie there."""
    for number in range(visits):
        AskedFor.objects.create(
            variant=shop.variants[variant],
            visit_reference=f"F-ASKED{number:03d}",
            asked_at=days_ago(20),
            asked_by=shop.stylists[0],
        )
