"""How long do the heavy pages take beside an empty one, and do their queries stay few when the salon grows?

Prints times as multiples of an empty page of the same run (one's own settings); asserts the queries alone. The first
candidates of a client are timed apart: that once, her head is laid out and searched; what is kept of it serves the rest
of the hour.
"""

from datetime import timedelta
from time import perf_counter

import pytest
from django.urls import reverse
from django.utils.timezone import now

from clients.indexing import index_clients
from clients.models import Client
from fittings.models import Appointment
from fittings.placement.searching import seat_search
from pieces.models import Base, BaseClip, BaseTapeArea, Piece, Shade, Unit, Variant
from tests.factories import StylistFactory
from tests.fittings.factories import PlaceFactory, ServiceKindFactory
from tests.fittings.visits import signed_off_visit
from tests.pieces.factories import MakerFactory

pytestmark = [pytest.mark.slow, pytest.mark.django_db]

OUTLINES = [kind for kind in Base.Outline.values if kind not in {"full_cap", "front_strip"}]
FIBRES = [{"fibre": "human"}, {"fibre": "standard"}, {"fibre": "heat_friendly", "rated_c": 160}]
LOOKS = 7  # the fastest of so many is taken


@pytest.fixture
def stylist(client):
    client.force_login(StylistFactory())
    return client


def a_catalogue(pieces):
    """So many pieces, five to a base, each in three shades, every other variant with a unit in the drawer."""
    maker = MakerFactory()
    shades = Shade.objects.bulk_create(_shade(maker, number) for number in range(40)) if pieces == 60 else []
    shades = shades or list(Shade.objects.all())
    start = Piece.objects.count()
    bases = Base.objects.bulk_create(_base(maker, number) for number in range(start // 5, pieces // 5))
    BaseClip.objects.bulk_create(clip for base in bases for clip in _clips(base))
    BaseTapeArea.objects.bulk_create(BaseTapeArea(base=base, from_mm=0, to_mm=15) for base in bases)
    added = Piece.objects.bulk_create(
        Piece(base=bases[number % len(bases)], name=f"Weir {start + number}", texture="straight", **FIBRES[number % 3])
        for number in range(pieces - start)
    )
    variants = Variant.objects.bulk_create(
        Variant(
            piece=piece,
            shade=shades[(7 * number + 13 * third) % len(shades)],
            length_mm=250 + 50 * (number % 5),
            price_minor=49900 + 100 * number,
            currency="GBP",
        )
        for number, piece in enumerate(added)
        for third in range(3)
    )
    Unit.objects.bulk_create(Unit(variant=variant, received_on="2025-03-14") for variant in variants[::2])


def _shade(maker, number):
    lightness = 14 + 1.6 * number
    zones = {"root": (lightness, 5, 9), "mid": (lightness + 1, 5.2, 9.6), "ends": (lightness + 2.4, 5.4, 10.2)}
    lab = {f"{zone}_{axis}": value for zone, values in zones.items() for axis, value in zip("lab", values, strict=True)}
    return Shade(maker=maker, code=f"walnut-{number}", name=f"Brown {number}", method="instrument", **lab)


def _base(maker, number):
    return Base(
        maker=maker,
        name=f"Wicket {number}",
        outline=OUTLINES[number % len(OUTLINES)],
        length_mm=90 + number % 30 * 4,
        width_mm=70 + number % 25 * 4,
        construction="mono",
        front_edge=["plain", "polyurethane", "lace"][number % 3],
        two_way=number % 4 == 0,
    )


def _clips(base):
    length, half = base.length_mm, base.width_mm // 2
    places = [(8, 0), (length - 10, 0), (length // 2, half - 12), (length // 2, 12 - half)]
    size = {"base_length_mm": base.length_mm, "base_width_mm": base.width_mm}
    return [BaseClip(base=base, u_mm=u_mm, v_mm=v_mm, **size) for u_mm, v_mm in places]


def other_clients(count, by):
    """Registered, in bulk, until there are so many."""
    start = Client.objects.count()
    people = [
        Client(given_name="Ada", family_name=f"Ashdown {number}", phone=f"07700 9{number:05d}", created_by=by)
        for number in range(start, count)
    ]
    for person in people:
        person.fold()
    people = Client.objects.bulk_create(people)
    index_clients(people)


def past_appointments(client, count, by):
    """A long life as a client: a visit every other week."""
    kind, place = ServiceKindFactory(), PlaceFactory()
    starts = [now() - timedelta(weeks=2 * (week + 1)) for week in range(client.appointments.count(), count)]
    Appointment.objects.bulk_create(
        Appointment(
            client=client,
            kind=kind,
            stylist=by,
            place=place,
            booked_by=by,
            starts_at=start,
            ends_at=start + timedelta(minutes=90),
            place_free_at=start + timedelta(minutes=105),
            state=Appointment.State.DONE,
        )
        for start in starts
    )


def seconds(browser, address):
    """The fastest of a few looks at a page."""
    taken = []
    for _ in range(LOOKS):
        began = perf_counter()
        assert browser.get(address).status_code == 200
        taken.append(perf_counter() - began)
    return min(taken)


def tell(capsys, name, page, empty):
    with capsys.disabled():
        print(f"\n{name}: {page * 1000:.0f} ms, {page / empty:.1f} times an empty page ({empty * 1000:.1f} ms)")


def test_candidates_take_as_many_queries_for_600_pieces_as_for_60(stylist, queries_for, capsys):
    address = reverse("candidates", args=[signed_off_visit().reference])
    a_catalogue(60)
    few = queries_for(address)
    a_catalogue(600)
    assert Piece.objects.count() == 600
    empty = seconds(stylist, reverse("my-settings"))
    seat_search.cache_clear()
    began = perf_counter()
    stylist.get(address)
    tell(capsys, "600 candidates, the first time on this head", perf_counter() - began, empty)
    tell(capsys, "600 candidates", seconds(stylist, address), empty)
    assert queries_for(address) == few


def test_a_clients_page_takes_as_many_queries_among_5000_as_among_200(stylist, queries_for, capsys):
    fitting = signed_off_visit()
    address = reverse("client", args=[fitting.client.reference])
    other_clients(200, fitting.stylist)
    past_appointments(fitting.client, 25, fitting.stylist)
    few = queries_for(address)
    other_clients(5000, fitting.stylist)
    past_appointments(fitting.client, 400, fitting.stylist)
    empty = seconds(stylist, reverse("my-settings"))
    tell(capsys, "A client's page, 5,000 clients and 400 visits", seconds(stylist, address), empty)
    tell(capsys, "Finding her", seconds(stylist, reverse("clients") + "?q=ashd"), empty)
    assert queries_for(address) == few
