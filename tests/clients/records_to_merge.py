"""Two records of one person, as full as a test asks, and every row of the project before and after."""

from datetime import date, timedelta

from django.apps import apps
from django.utils.timezone import now
from simple_history.models import HistoricalChanges

from clients.models import AccessEntry, Assessment, Merge, SearchKey, Sensitivity, SkinTest
from fittings.models import AwaitedPiece, Fitting, Loan, Reminder, WaitingEntry, WearEntry
from fittings.owning import take_turns
from tests.clients.factories import PhotoFactory, PhotoSetFactory
from tests.factories import ClientFactory, ConsentFactory, StylistFactory
from tests.fittings.factories import AppointmentFactory, OwnedPieceFactory, ServiceKindFactory
from tests.pieces.factories import UnitFactory

AT = now()
MESSAGE = {"channel": "email", "about": "as booked", "due_at": AT, "next_try_at": AT, "made_at": AT}


def every_row():
    """{table: its rows}, but merges, the history that only grows, and the numbers of the keys of quick find."""
    return {
        model._meta.label: sorted(_row(model, row) for row in model._base_manager.values())
        for app in ("clients", "fittings", "pieces", "salon")
        for model in apps.get_app_config(app).get_models(include_auto_created=True)
        if not issubclass(model, HistoricalChanges) and model is not Merge
    }


def _row(model, row):
    return str(
        {name: bytes(value) if name == "key" else value for name, value in row.items() if not _made_anew(model, name)}
    )


def _made_anew(model, name):
    return model is SearchKey and name == "id"


def a_record(
    *,
    consents=(),
    reacts_to=(),
    hours=(),
    tests=0,
    photos=0,
    wishes=0,
    pieces=0,
    owned=0,
    loans=0,
    looks=0,
    visit="",
    **details,
):
    """A client with so many rows of each kind, of a stylist and at a place of her own.

    hours: of the day after tomorrow, at which she has an appointment of an hour; visit: "", "draft" or "open".
    pieces: on their way for her; owned: hers, two of them in turns; loans: one instead of hers if she has any.
    """
    her, stylist = ClientFactory(**details), StylistFactory()
    for kind in sorted(consents):
        ConsentFactory(client=her, kind=kind, by=stylist, at=AT - timedelta(days=9))
    for substance in sorted(reacts_to):
        Sensitivity.objects.create(client=her, substance=substance, told_on=date(2024, 3, 1), recorded_by=stylist)
    for _ in range(tests):
        test = SkinTest.objects.create(client=her, kind="adhesive", product="Tape", applied_at=AT, applied_by=stylist)
        Reminder.objects.create(client=her, skin_test=test, kind="reading", **MESSAGE)
    awaited = [
        AwaitedPiece.objects.create(client=her, what="A topper", noted_by=stylist, noted_at=AT) for _ in range(pieces)
    ]
    booked = [an_appointment(her, hour, stylist=stylist, awaits=awaited[0] if awaited else None) for hour in hours]
    for appointment in booked:
        Reminder.objects.create(client=her, appointment=appointment, kind="two days", **MESSAGE)
    for _ in range(wishes):
        WaitingEntry.objects.create(
            client=her,
            kind=ServiceKindFactory(),
            earliest_on=date(2030, 1, 1),
            instead_of=booked[0] if booked else None,
            made_by=stylist,
            made_at=AT,
        )
    if visit:
        draft = Assessment.objects.create(client=her, stylist=stylist)
        if visit == "open":
            Fitting.objects.create(client=her, stylist=stylist, began_at=AT, assessment=draft)
    _owned_and_lent(her, stylist, owned, loans)
    for _ in range(looks):
        AccessEntry.objects.create(client=her, user=stylist, page="consents")
    if photos and "photos" in consents:
        photo_set = PhotoSetFactory(client=her, by=stylist)
        for _ in range(photos):
            PhotoFactory(photo_set=photo_set, by=stylist)
    return her


def _owned_and_lent(her, stylist, owned, loans):
    hers = [OwnedPieceFactory(client=her, begun_by=stylist) for _ in range(owned)]
    for one in hers:
        WearEntry.objects.create(owned_piece=one, told_on=one.since, recorded_by=stylist, recorded_at=AT)
    if owned == 2:
        take_turns(one=hers[0], other=hers[1], by=stylist)
    for _ in range(loans):
        Loan.objects.create(
            client=her,
            unit=UnitFactory(state="with client"),
            instead_of=hers[0] if hers else None,
            lent_on=date(2026, 1, 2),
            due_back_on=date(2026, 1, 9),
            lent_by=stylist,
            lent_at=AT,
        )


def an_appointment(her, hour, **fields):
    starts_at = AT + timedelta(days=2, hours=hour)
    ends_at = starts_at + timedelta(hours=1)
    return AppointmentFactory(client=her, starts_at=starts_at, ends_at=ends_at, place_free_at=ends_at, **fields)
