"""Fixed, readable rows about visits."""

from datetime import timedelta

import factory
from django.utils.timezone import localdate, now
from factory.django import DjangoModelFactory

from fittings.keeping_pieces import kept_piece
from fittings.models import Appointment, Candidate, Closure, OwnedPiece, Place, ServiceKind, TimeOff, WaitingEntry
from fittings.waiting import put_on_list
from tests.factories import ClientFactory, DeskFactory, StylistFactory
from tests.pieces.factories import UnitFactory, VariantFactory


class PlaceFactory(DjangoModelFactory):
    class Meta:
        model = Place

    name = factory.Sequence(lambda n: f"Chair {n + 1}")


class ServiceKindFactory(DjangoModelFactory):
    class Meta:
        model = ServiceKind
        django_get_or_create = ("name",)

    name = "Consult"
    minutes = 90
    clean_up_minutes = 15
    price_minor = 6500
    purpose = "consult"


class AppointmentFactory(DjangoModelFactory):
    class Meta:
        model = Appointment

    client = factory.SubFactory(ClientFactory)
    kind = factory.SubFactory(ServiceKindFactory)
    stylist = factory.SubFactory(StylistFactory)
    place = factory.SubFactory(PlaceFactory)
    starts_at = factory.LazyFunction(lambda: now() + timedelta(days=1))
    ends_at = factory.LazyAttribute(lambda row: row.starts_at + timedelta(minutes=row.kind.minutes))
    place_free_at = factory.LazyAttribute(lambda row: row.ends_at + timedelta(minutes=row.kind.clean_up_minutes))
    booked_by = factory.SelfAttribute("stylist")


class ClosureFactory(DjangoModelFactory):
    """One day, in forty days' time."""

    class Meta:
        model = Closure

    first_day = factory.LazyFunction(lambda: localdate() + timedelta(days=40))
    last_day = factory.SelfAttribute("first_day")
    because = "Works on the pipes"


class TimeOffFactory(DjangoModelFactory):
    """Three hours, in sixty days' time."""

    class Meta:
        model = TimeOff

    stylist = factory.SubFactory(StylistFactory)
    starts_at = factory.LazyFunction(lambda: now() + timedelta(days=60))
    ends_at = factory.LazyAttribute(lambda row: row.starts_at + timedelta(hours=3))


class CandidateFactory(DjangoModelFactory):
    """A piece chosen to try in a visit, without the placement having been asked."""

    class Meta:
        model = Candidate

    assessment = factory.SelfAttribute("fitting.assessment")
    variant = factory.SubFactory(VariantFactory)
    piece_as_chosen = factory.LazyAttribute(lambda row: kept_piece(row.variant))
    verdict = "fits"
    set_back_mm = 13
    side_shift_mm = 0
    turned = False
    cover = 1
    uncovered_cm2 = 0
    clips_holding = 4
    clips_total = 4
    price_minor = factory.SelfAttribute("variant.price_minor")
    currency = factory.SelfAttribute("variant.currency")
    chosen_by = factory.SelfAttribute("fitting.stylist")


class WaitingEntryFactory(DjangoModelFactory):
    """A wish on the waiting list, put there by its deed: any time from today on."""

    class Meta:
        model = WaitingEntry

    client = factory.SubFactory(ClientFactory)
    kind = factory.SubFactory(ServiceKindFactory)
    earliest_on = factory.LazyFunction(localdate)
    by = factory.SubFactory(DeskFactory)
    at = factory.LazyFunction(now)

    @classmethod
    def _create(cls, model_class, *args, **kwargs):
        return put_on_list(**kwargs)


class OwnedPieceFactory(DjangoModelFactory):
    """A piece she has had since ninety days ago, made without its deed: no care dates, no entries."""

    class Meta:
        model = OwnedPiece

    client = factory.SubFactory(ClientFactory, record_consent=True)
    unit = factory.SubFactory(UnitFactory, state="with client")
    since = factory.LazyFunction(lambda: localdate() - timedelta(days=90))
    begun_by = factory.SubFactory(StylistFactory)
    begun_at = factory.LazyFunction(lambda: now() - timedelta(days=90))
