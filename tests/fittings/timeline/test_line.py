"""A client's line: everything that happened with her, newest first, cut into pages."""

from datetime import UTC, date, datetime, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils.timezone import now
from hypothesis import given, settings
from hypothesis import strategies as st

from clients.consenting import withdraw_consent
from clients.models import Assessment, Consent
from clients.photos import remove_photo
from clients.registering import change_client
from clients.skin_testing import read_skin_test, strike_out_skin_test
from fittings.models import Fitting, TryOn
from fittings.timeline.line import PAGE_LENGTH, Mark
from fittings.timeline.lines_of import line_of_client
from pieces.models import Base, Maker, Piece, Shade, Unit, Variant
from tests.clients.factories import PhotoFactory, PhotoSetFactory
from tests.factories import ClientFactory, ConsentFactory, DeskFactory, OwnerFactory, SkinTestFactory, StylistFactory
from tests.fittings.factories import AppointmentFactory, CandidateFactory

pytestmark = pytest.mark.django_db
NOW = now()


def ago(**span):
    return NOW - timedelta(**span)


def lines(client, user, **how):
    return [(row.word, row.title) for row in line_of_client(client, may=user.has_perm, **how).rows]


def facts_of(client, user, word, **how):
    return dict(next(row for row in line_of_client(client, may=user.has_perm, **how).rows if row.word == word).facts)


@pytest.fixture
def stylist():
    return StylistFactory(last_name="Valcourt")


@pytest.fixture
def her():
    return ClientFactory(given_name="Ada", family_name="Wren", by=DeskFactory(last_name="Ostrander"))


def assessed(her, stylist, at):
    return Assessment.objects.create(
        client=her,
        stylist=stylist,
        started_at=at,
        state="signed off",
        signed_at=at + timedelta(hours=1),
        signed_by=stylist,
        circumference_mm=552,
        losing_since="four years",
    )


def chosen(her, stylist, at):
    maker = Maker.objects.create(name="Harrow & Finch")
    base = Base.objects.create(
        maker=maker, name="Oval 1", outline="oval", length_mm=150, width_mm=130, construction="mono"
    )
    piece = Piece.objects.create(base=base, name="Rowan", fibre="human", texture="wavy")
    shade = Shade.objects.create(maker=maker, code="bark", name="Dark bark")
    variant = Variant.objects.create(piece=piece, shade=shade, length_mm=300, price_minor=90000, currency="GBP")
    visit = Fitting.objects.create(
        client=her, stylist=stylist, began_at=at, assessment=Assessment.objects.filter(client=her).first()
    )
    candidate = CandidateFactory(fitting=visit, variant=variant)
    unit = Unit.objects.create(variant=variant, received_on=date(2026, 1, 5))
    return TryOn.objects.create(
        fitting=visit,
        candidate=candidate,
        unit=unit,
        covers="well",
        sits="nearly",
        matches="well",
        set_back_mm=15,
        her_words="That is me.",
        outcome="chosen",
        logged_by=stylist,
    )


def a_whole_story(her, stylist):
    """One of everything, at moments that put it in a known order; the rest (changes, the try-on) happens now."""
    consent = ConsentFactory(client=her, at=ago(days=90))
    ConsentFactory(client=her, kind="photos", at=ago(days=89))
    withdraw_consent(consent=Consent.objects.get(kind="photos"), by=stylist, at=ago(days=50))
    AppointmentFactory(client=her, stylist=stylist, starts_at=ago(days=80), state="done")
    assessed(her, stylist, ago(days=79))
    test = SkinTestFactory(client=her, by=stylist, at=ago(days=70))
    read_skin_test(test=test, reacted=False, by=stylist, at=ago(days=67))
    chosen(her, stylist, ago(days=60))
    AppointmentFactory(client=her, stylist=stylist, starts_at=NOW + timedelta(days=9))
    return consent


def test_everything_stands_on_one_line_newest_first(her, stylist):
    a_whole_story(her, stylist)
    change_client(client=her, by=stylist, phone="07700 900124")
    assert lines(her, stylist) == [
        ("Appointment", f"Consult with {stylist}: booked"),
        ("Details changed", f"phone, by {stylist}"),
        ("Chosen", "Rowan in bark Dark bark"),
        ("Registered", f"by {her.created_by}"),
        ("Consent withdrawn", "Photos kept in my record"),
        ("Visit", f"With {stylist}: still open"),
        ("Skin test read", "Soft tape no. 3: no reaction"),
        ("Skin test applied", "Soft tape no. 3"),
        ("Assessment", f"By {stylist}: signed off"),
        ("Appointment", f"Consult with {stylist}: done"),
        ("Consent signed", "Photos kept in my record"),
        ("Consent signed", "Keeping a record of my hair, scalp and health"),
    ]


def test_the_desk_sees_the_same_line_without_health_and_visits(her, stylist):
    a_whole_story(her, stylist)
    words = {word for word, _ in lines(her, DeskFactory())}
    assert words == {"Appointment", "Registered", "Consent signed", "Consent withdrawn"}


def test_the_desk_does_not_see_that_there_are_photos(stylist):
    her = ClientFactory(photo_consent=True)
    PhotoFactory(photo_set=PhotoSetFactory(client=her))
    assert "Photos" not in {word for word, _ in lines(her, DeskFactory())}


def test_nothing_of_another_client_stands_on_her_line(her, stylist):
    a_whole_story(ClientFactory(), stylist)
    assert lines(her, stylist) == [("Registered", f"by {her.created_by}")]


def test_a_row_opens_to_what_was_said_and_done(her, stylist):
    consent = a_whole_story(her, stylist)
    assert facts_of(her, stylist, "Chosen") == {
        "Length": "30.0 cm",
        "Unit": Unit.objects.get().number,
        "Covers": "well",
        "Sits": "nearly",
        "Matches": "well",
        "Set-back as worn": "1.5 cm",
        "What she said": "That is me.",
    }
    assert facts_of(her, stylist, "Assessment")["Tapes"] == "round the hairline 55.2 cm"
    signed = [row for row in line_of_client(her, may=stylist.has_perm).rows if row.word == "Consent signed"]
    assert dict(signed[-1].facts)["In these words"] == consent.text


def test_lengths_are_told_in_inches_to_those_who_measure_so(her, stylist):
    a_whole_story(her, stylist)
    assert facts_of(her, stylist, "Chosen", imperial=True)["Length"] == "11¾ in"


def test_a_change_says_what_it_was_and_what_it_is(her, stylist):
    change_client(client=her, by=stylist, phone="", born_on=date(1979, 4, 3))
    assert facts_of(her, stylist, "Details changed") == {
        "Phone": f"{her.phone} → nothing",
        "Date of birth": "nothing → 3 Apr 1979",
    }


def test_each_change_is_held_against_the_one_before_also_across_pages(her, stylist):
    for number in range(PAGE_LENGTH + 2):
        change_client(client=her, by=stylist, phone=f"07700 90{number:04d}")
    first = line_of_client(her, may=stylist.has_perm)
    second = line_of_client(her, may=stylist.has_perm, before=Mark.read(first.older))
    assert dict(first.rows[-1].facts)["Phone"] == "07700 900001 → 07700 900002"
    assert dict(second.rows[0].facts)["Phone"] == "07700 900000 → 07700 900001"
    assert second.rows[-1].word == "Registered"


def test_a_change_of_the_private_note_is_for_the_salon_alone(her, stylist):
    change_client(client=her, by=stylist, private_note="Her sister drives her.")
    change_client(client=her, by=stylist, phone="07700 900124")
    assert [row.salon_only for row in line_of_client(her, may=stylist.has_perm).rows] == [False, True, False]


def test_the_pages_together_are_the_line(her, stylist):
    for number in range(3 * PAGE_LENGTH):
        AppointmentFactory(client=her, stylist=stylist, starts_at=ago(hours=7 * number), state="cancelled")
    found, before = [], None
    for _ in range(9):
        page = line_of_client(her, may=stylist.has_perm, before=before)
        found += page.rows
        if not page.older:
            break
        before = Mark.read(page.older)
    assert len(found) == 3 * PAGE_LENGTH + 1
    assert [row.at for row in found] == sorted((row.at for row in found), reverse=True)
    assert len({row.address for row in found}) == len(found)


def test_rows_of_one_moment_are_neither_lost_nor_shown_twice_between_pages(her, stylist, monkeypatch):
    monkeypatch.setattr("fittings.timeline.line.PAGE_LENGTH", 3)
    moment = ago(days=3)
    for kind in ("record", "photos", "publicity", "reminders"):
        consent = ConsentFactory(client=her, kind=kind, at=moment)
        withdraw_consent(consent=consent, by=stylist, at=moment)
    AppointmentFactory.create_batch(3, client=her, stylist=stylist, starts_at=moment, state="cancelled")
    found, before = [], None
    while page := line_of_client(her, may=stylist.has_perm, before=before):
        found += [(row.word, row.title, row.address) for row in page.rows]
        if not page.older:
            break
        before = Mark.read(page.older)
    assert len(found) == len(set(found)) == 3 + 4 + 4 + 1


def test_something_added_meanwhile_moves_nothing(her, stylist):
    for number in range(PAGE_LENGTH + 3):
        AppointmentFactory(client=her, stylist=stylist, starts_at=ago(days=number), state="cancelled")
    first = line_of_client(her, may=stylist.has_perm)
    AppointmentFactory(client=her, stylist=stylist, starts_at=NOW + timedelta(days=1), state="cancelled")
    second = line_of_client(her, may=stylist.has_perm, before=Mark.read(first.older))
    assert not {row.address for row in first.rows if row.address} & {row.address for row in second.rows if row.address}


def test_the_number_of_queries_does_not_grow_with_the_line(her):
    owner = OwnerFactory()
    owner.has_perm("clients.view_client")  # her permissions are asked once a request

    def queries():
        with CaptureQueriesContext(connection) as asked:
            line_of_client(her, may=owner.has_perm)
        return len(asked)

    empty = queries()
    a_whole_story(her, StylistFactory())
    for number in range(12):
        AppointmentFactory(client=her, starts_at=ago(days=100 + number), state="done")
        change_client(client=her, by=DeskFactory(), phone=f"07700 90{number:04d}")
    assert queries() == empty == 22  # one for each kind of row


def test_the_photos_of_all_sets_come_with_one_more_query(stylist):
    her = ClientFactory(photo_consent=True)
    PhotoFactory(photo_set=PhotoSetFactory(client=her))

    def queries():
        with CaptureQueriesContext(connection) as asked:
            line_of_client(her, may=stylist.has_perm)
        return len(asked)

    queries()  # her permissions are asked once a request
    few = queries()
    for moment in ("own hair", "piece on"):
        for angle in ("front", "left", "turn", "turn"):
            PhotoFactory(photo_set=PhotoSetFactory(client=her, moment=moment), angle=angle)
    assert queries() == few == 23


def photo_row(client, user):
    return next(row for row in line_of_client(client, may=user.has_perm).rows if row.word == "Photos")


def test_a_set_of_photos_is_one_row_that_opens_to_the_newest_of_each_angle(stylist):
    her = ClientFactory(photo_consent=True)
    photo_set = PhotoSetFactory(client=her, by=stylist)
    older, newer, left = (PhotoFactory(photo_set=photo_set, angle=angle) for angle in ("front", "front", "left"))
    for _ in range(3):
        PhotoFactory(photo_set=photo_set, angle="turn")
    row = photo_row(her, stylist)
    assert row.title == "Own hair: front (2), left, turn (3)"
    assert row.photos == (newer, left)
    assert row.address == photo_set.get_absolute_url()
    for photo in (older, newer, left):
        remove_photo(photo=photo, because="blurred", by=stylist, at=NOW)
    assert photo_row(her, stylist).photos == ()


def test_a_set_in_which_nothing_was_taken_is_no_row(stylist):
    her = PhotoSetFactory().client
    assert "Photos" not in {word for word, _ in lines(her, stylist)}


def test_after_her_consent_the_row_says_that_there_are_photos_and_nothing_of_them(stylist):
    her = ClientFactory(photo_consent=True)
    PhotoFactory(photo_set=PhotoSetFactory(client=her))
    withdraw_consent(consent=Consent.objects.get(kind="photos"), by=stylist, at=now())
    row = photo_row(her, stylist)
    assert row.title == "Own hair: locked, as she does not agree to photos"
    assert (row.photos, row.facts, row.address) == ((), (), "")


@settings(max_examples=30)
@given(
    st.integers(0, 10**17 - 1).map(lambda n: datetime(1970, 1, 1, tzinfo=UTC) + timedelta(microseconds=n)),
    st.integers(0, 20),
    st.integers(0, 10**18 - 1),
)
def test_a_mark_is_read_as_it_was_written(at, source, pk):
    assert Mark.read(str(Mark(at, source, pk))) == Mark(at, source, pk)


@pytest.mark.parametrize("text", ["", "x", "1-2", "-1-2-3", "1-2-3-4", "9" * 18 + "-1-1", "1-1-" + "9" * 30, "١-1-1"])
def test_what_is_no_mark_is_refused(text):
    with pytest.raises(ValueError, match="is no place on a line"):
        Mark.read(text)


def test_a_struck_out_skin_test_stays_on_the_line_and_says_why():
    stylist = StylistFactory()
    test = SkinTestFactory(by=stylist, at=ago(days=3))
    read_skin_test(test=test, reacted=True, by=stylist, at=ago(days=2))
    strike_out_skin_test(test=test, because="Pressed by mistake", by=stylist, at=ago(days=1))
    rows = {row.word: row for row in line_of_client(test.client, may=stylist.has_perm).rows}
    for word, counts in (
        ("Skin test applied", False),
        ("Skin test read", True),
    ):  # a reaction still warns
        assert rows[word].mended.endswith(f"by {stylist}: Pressed by mistake")
        assert rows[word].no_longer_counts is not counts
