"""Two records of one person become one and are parted again, with everything that belongs to them."""

from datetime import date, timedelta

import pytest
from django.core.exceptions import ValidationError
from django.db import OperationalError
from hypothesis import given, settings
from hypothesis import strategies as st

from clients import merging
from clients.belonging import belongings
from clients.consenting import withdraw_consent
from clients.merging import merge_clients, undo_merge
from clients.models import AccessEntry, Assessment, Client, Consent, Photo, PhotoSet
from clients.models.consent import ConsentKind
from clients.photos import show_outside
from clients.registering import change_client
from fittings.models import Fitting, Reminder, VisitPhotoSet
from fittings.owning import stop_taking_turns, take_turns
from salon.common.days import day_said
from tests.clients.factories import PhotoFactory, PhotoSetFactory
from tests.clients.records_to_merge import AT, MESSAGE, a_record, an_appointment, every_row
from tests.factories import ClientFactory, ConsentFactory, DeskFactory, StylistFactory

pytestmark = pytest.mark.django_db
LATER = AT + timedelta(days=1)


def merged(keep, gone, **how):
    return merge_clients(keep=keep, gone=gone, by=DeskFactory(), at=AT, **how)


def parted(merge):
    return undo_merge(merge=merge, by=DeskFactory(), at=LATER)


def refusal_of(deed, *args):
    with pytest.raises(ValidationError) as refusal:
        deed(*args)
    return " ".join(refusal.value.messages)


# What somebody else is writing (both at once: tests/fittings/races/test_merge_races.py)


class RowHeldError(Exception):
    sqlstate = "55P03"


def test_a_row_that_is_held_for_long_is_waited_for_by_letting_go_and_then_said(monkeypatch):
    keep, gone, tried = a_record(), a_record(looks=1), []

    def held(*args):
        tried.append(args)
        raise OperationalError from RowHeldError()

    monkeypatch.setattr(merging, "_move", held)
    monkeypatch.setattr(merging, "PAUSE", 0)
    monkeypatch.setattr(merging, "TRIES", 3)
    assert "Somebody is writing in one of these records; nothing was changed." in refusal_of(merged, keep, gone)
    assert len(tried) == 3
    assert Client.objects.get(pk=gone.pk).merged_into is None


# What moves


def test_everything_of_hers_is_in_the_kept_record_and_named(django_assert_max_num_queries):
    keep = a_record(hours=[1], looks=1)
    gone = a_record(
        consents=["record", "photos"], hours=[3], tests=1, photos=2, wishes=1, pieces=1, looks=2, visit="open"
    )
    with django_assert_max_num_queries(150):
        merge = merged(keep, gone)
    for belonging in belongings():
        assert not belonging.of(gone).exists(), belonging
    assert {label: len(keys) for label, keys in merge.moved.items()} == {
        "clients.accessentry.client": 2,
        "clients.assessment.client": 1,
        "clients.consent.client": 2,
        "clients.photoset.client": 1,
        "clients.skintest.client": 1,
        "fittings.appointment.client": 1,
        "fittings.awaitedpiece.client": 1,
        "fittings.fitting.client": 1,
        "fittings.reminder.client": 2,
        "fittings.waitingentry.client": 1,
    }
    assert AccessEntry.objects.filter(client=keep).count() == 3
    gone.refresh_from_db()
    assert gone.merged_into == keep
    assert gone not in Client.objects.active()


def test_what_the_kept_record_has_already_stays_behind_and_is_named():
    keep = a_record(consents=["record"], reacts_to=["nickel"])
    gone = a_record(consents=["record", "photos"], reacts_to=["nickel", "latex"])
    merge = merged(keep, gone)
    assert set(keep.sensitivities.values_list("substance", flat=True)) == {"nickel", "latex"}
    assert Consent.objects.live().filter(client=keep).count() == 2
    assert merge.stayed == {
        "clients.consent.client": [gone.consents.get().pk],
        "clients.sensitivity.client": [gone.sensitivities.get().pk],
    }


def test_taking_a_consent_back_takes_back_the_one_that_stayed_behind_too():
    keep, gone = a_record(consents=["publicity"]), a_record(consents=["publicity", "photos"], photos=1)
    photo = show_outside(photo=Photo.objects.get(), by=StylistFactory(), at=AT)
    assert photo.may_be_shown_outside
    merged(keep, gone)
    withdraw_consent(consent=keep.consents.get(kind="publicity"), by=DeskFactory(), at=LATER)
    assert not Photo.objects.get().may_be_shown_outside
    assert not Consent.objects.live().filter(kind="publicity").exists()


def test_a_consent_that_she_took_back_later_in_the_other_record_does_not_come_to_life():
    keep = a_record(consents=["photos"], given_name="Ada")
    withdraw_consent(consent=keep.consents.get(), by=DeskFactory(), at=AT)
    gone = a_record(consents=["photos"], given_name="Ada")
    for one, other in ((keep, gone), (gone, keep)):
        said = refusal_of(merged, one, other)
        assert f"taken back on {day_said(AT)} in {keep.reference}" in said
        assert "Her last word holds" in said
    withdraw_consent(consent=gone.consents.get(), by=DeskFactory(), at=AT)
    merged(keep, gone)
    assert not Consent.objects.allows_photos(keep)


def test_a_newer_yes_of_the_other_record_holds():
    keep, gone = a_record(consents=["photos"]), a_record()
    withdraw_consent(consent=keep.consents.get(), by=DeskFactory(), at=AT)
    ConsentFactory(client=gone, kind="photos", at=LATER)
    merged(keep, gone)
    assert Consent.objects.allows_photos(keep)


# What forbids it


def test_appointments_at_one_time_are_named_and_nothing_is_changed():
    keep, gone = a_record(hours=[1, 5]), a_record(hours=[1, 3])
    before = every_row()
    one, other = keep.appointments.first(), gone.appointments.first()
    assert refusal_of(merged, keep, gone) == (
        f"Appointment {other} and appointment {one}: The client has another appointment at that time. "
        "Settle one of the two first."
    )
    after = every_row()
    assert {table for table in before if after[table] != before[table]} <= {"salon.User", "salon.User_groups"}


def test_touching_is_not_sharing_and_a_cancelled_one_holds_no_time():
    keep, gone = a_record(hours=[1, 5]), a_record(hours=[2, 5])
    gone.appointments.filter(starts_at=keep.appointments.last().starts_at).update(state="cancelled")
    merged(keep, gone)
    assert keep.appointments.count() == 4


def test_two_open_visits_and_two_drafts_are_named():
    said = refusal_of(merged, a_record(visit="open"), a_record(visit="open"))
    first, second = Fitting.objects.order_by("pk")
    assert f"Fitting {second} and fitting {first}: A visit of this client is already open" in said
    assert said.count("Settle one of the two first.") == 2  # the drafts that are being written in them as well


def test_records_that_are_one_erased_or_gone_already_are_refused():
    ada, zoe, mo = ClientFactory(), ClientFactory(), ClientFactory()
    assert "These are one record" in refusal_of(merged, ada, ada)
    merged(ada, zoe)
    assert refusal_of(merged, mo, zoe) == f"{zoe.reference} has gone into another record already."
    assert refusal_of(merged, zoe, mo) == f"{zoe.reference} has gone into another record already."
    Client.objects.filter(pk=mo.pk).update(erased_at=AT)
    assert refusal_of(merged, ada, mo) == f"{mo.reference} has been erased; it can't be merged."


def test_a_table_that_only_the_database_keeps_apart_is_refused_with_a_sentence(monkeypatch):
    keep, gone = a_record(hours=[1]), a_record(hours=[1])
    monkeypatch.setattr("clients.merge_plan.clashes", lambda *_: iter(()))
    assert refusal_of(merged, keep, gone) == (
        "The appointments of both can't stand in one record; nothing was changed."
    )
    assert keep.appointments.count() == gone.appointments.count() == 1


# Whose words hold


def test_her_own_words_hold_and_empty_ones_are_filled_in():
    keep = ClientFactory(given_name="Ada", family_name="Wren", phone="", private_note="Tea")
    gone = ClientFactory(
        given_name="Adda", family_name="Wren", phone="07700 900123", born_on=date(1971, 4, 9), private_note="Stairs"
    )
    merge = merged(keep, gone)
    keep.refresh_from_db()
    assert (keep.given_name, keep.phone, keep.born_on) == ("Ada", "07700 900123", date(1971, 4, 9))
    assert keep.private_note == "Tea\n\nStairs"
    assert merge.filled_in == {
        "phone": ["", "07700 900123"],
        "born_on": [None, "1971-04-09"],
        "private_note": ["Tea", "Tea\n\nStairs"],
    }
    assert keep.history.first().history_user == merge.by


def test_the_other_records_words_hold_where_they_are_chosen():
    keep = ClientFactory(given_name="Ada", family_name="Wren", private_note="Tea")
    gone = ClientFactory(given_name="Adda", family_name="Quill", private_note="Stairs")
    merged(keep, gone, take={"family_name": "gone", "private_note": "gone"})
    keep.refresh_from_db()
    assert (keep.given_name, keep.family_name, keep.private_note) == ("Ada", "Quill", "Stairs")


def test_the_kept_record_is_found_by_the_others_names_number_and_reference():
    keep = ClientFactory(given_name="Ada", family_name="Wren")
    gone = ClientFactory(given_name="Zoë", family_name="Quarry", phone="01632 960007", email="zoe@weir.example")
    merged(keep, gone, take={"phone": "kept"})
    change_client(client=keep, by=DeskFactory(), preferred_name="Mo")  # what changes her keys keeps the others
    for typed in ("quarry", "uarr", "960007", "zoe@weir", gone.reference, "mo"):
        assert Client.objects.found_by(typed)[:2] == [keep], typed


# Parting


def test_undoing_gives_back_what_moved_and_what_was_filled_in():
    keep, gone = a_record(hours=[1], phone=""), a_record(hours=[3], phone="07700 900123", consents=["record"], photos=1)
    before = every_row()
    undone = parted(merged(keep, gone))
    after = every_row()
    assert {table for table in before if after[table] != before[table]} == {"salon.User", "salon.User_groups"}
    assert undone.notes == []
    assert undone.merge.undone_at == LATER
    assert Client.objects.found_by(gone.reference)[:2] == [gone]


def test_what_was_written_since_stays_unless_it_hangs_on_what_goes_back():
    keep, gone = a_record(), a_record(hours=[3])
    booked = gone.appointments.get()
    merge = merged(keep, gone)
    since = an_appointment(keep, 5)
    told = Reminder.objects.create(client=keep, appointment=booked, kind="confirmation", **MESSAGE)
    told_since = Reminder.objects.create(client=keep, appointment=since, kind="two days", **MESSAGE)
    visit = Fitting.objects.create(client=keep, stylist=booked.stylist, appointment=booked, began_at=LATER)
    notes = parted(merge).notes
    for row, owner in ((booked, gone), (told, gone), (visit, gone), (since, keep), (told_since, keep)):
        row.refresh_from_db()
        assert row.client == owner, row
    assert sorted(notes) == [
        "Written since, and gone back with what it hangs on: 1 fitting.",
        "Written since, and gone back with what it hangs on: 1 message.",
    ]


def test_photos_taken_since_in_a_visit_that_goes_back_go_with_it():
    keep, gone = a_record(consents=["photos"]), a_record(visit="open")
    visit = gone.fittings.get()
    merge = merged(keep, gone)
    taken = PhotoSetFactory(client=keep, by=visit.stylist)
    VisitPhotoSet.objects.create(fitting=visit, photo_set=taken)
    apart = PhotoSetFactory(client=keep, by=visit.stylist)
    parted(merge)
    assert PhotoSet.objects.get(pk=taken.pk).client == gone
    assert PhotoSet.objects.get(pk=apart.pk).client == keep


def test_what_was_joined_since_can_not_be_torn_apart():
    keep, gone = a_record(hours=[1]), a_record(visit="draft")
    merge = merged(keep, gone)
    booked = keep.appointments.get()
    Fitting.objects.create(
        client=keep,
        stylist=booked.stylist,
        appointment=booked,
        assessment=Assessment.objects.get(),
        began_at=LATER,
    )
    said = refusal_of(parted, merge)
    assert said == (
        f"Appointment {booked} has since been joined with what came from the other record; "
        "the two can't be parted any more."
    )
    assert Assessment.objects.get().client == keep


def test_pieces_and_loans_go_along_and_those_in_turns_since_can_not_be_torn_apart():
    keep, gone = a_record(owned=1), a_record(owned=1, loans=1)
    merge = merged(keep, gone)
    assert (keep.owned_pieces.count(), keep.loans.count()) == (2, 1)
    one, other = keep.owned_pieces.all()
    take_turns(one=one, other=other, by=StylistFactory())
    assert "has since been joined" in refusal_of(parted, merge)
    stop_taking_turns(owned=one, by=StylistFactory())
    parted(merge)
    assert [record.owned_pieces.count() for record in (keep, gone)] == [1, 1]
    assert gone.loans.get().instead_of == gone.owned_pieces.get()


def test_a_yes_to_a_photo_of_the_other_record_does_not_go_along():
    keep, gone = a_record(consents=["photos", "publicity"]), a_record(consents=["photos"], photos=1)
    merge = merged(keep, gone)
    show_outside(photo=Photo.objects.get(), by=StylistFactory(), at=LATER)
    undone = parted(merge)
    photo = Photo.objects.get()
    assert photo.photo_set.client == gone
    assert photo.publicity_consent is None
    assert undone.notes == ["Photos no longer shown outside, for she agreed to them in the other record: 1."]


def test_a_detail_changed_since_stays_and_is_named():
    keep, gone = ClientFactory(phone="", email=""), ClientFactory(phone="07700 900123", email="ada@weir.example")
    merge = merged(keep, gone)
    change_client(client=keep, by=DeskFactory(), phone="07700 900777")
    assert parted(merge).notes == ["The phone was changed since and stays as it is."]
    keep.refresh_from_db()
    assert (keep.phone, keep.email) == ("07700 900777", "")


def test_merges_are_undone_in_reverse_order_only():
    first, second, third = (a_record(hours=[hour]) for hour in (1, 3, 5))
    one = merged(second, first)
    other = merged(third, second)
    assert third.appointments.count() == 3
    assert Client.objects.standing_for(first.reference) == third
    assert Client.objects.found_by(first.reference)[:2] == [third]
    said = refusal_of(parted, one)
    assert said == (f"{second.reference} went into {third.reference} after that: undo merge {other.reference} first.")
    parted(other)
    assert second.appointments.count() == 2
    assert Client.objects.standing_for(first.reference) == second
    parted(one)
    assert first.appointments.count() == 1
    assert refusal_of(parted, one) == "This merge has been undone already."


def test_two_that_went_into_one_are_parted_the_latest_first():
    keep, first, second = a_record(), a_record(), a_record()
    one, other = merged(keep, first), merged(keep, second)
    assert "undo merge" in refusal_of(parted, one)
    parted(other)
    parted(one)
    assert Client.objects.active().count() == 3


def test_a_photo_shown_under_a_consent_that_stays_is_shown_still():
    keep, gone = a_record(consents=["publicity"]), a_record(consents=["publicity", "photos"], photos=1)
    show_outside(photo=Photo.objects.get(), by=StylistFactory(), at=AT)
    merge = merged(keep, gone)
    assert Photo.objects.get().may_be_shown_outside
    assert parted(merge).notes == []
    assert Photo.objects.get().may_be_shown_outside
    PhotoFactory(photo_set=Photo.objects.get().photo_set, angle="left")


# Any records at all

KINDS, SUBSTANCES = ConsentKind.values, ["nickel", "latex", "rosin"]
few = st.integers(0, 2)
record = st.fixed_dictionaries(
    {
        "consents": st.sets(st.sampled_from(KINDS)),
        "reacts_to": st.sets(st.sampled_from(SUBSTANCES)),
        "hours": st.lists(st.integers(0, 9), unique=True, max_size=3),
        "tests": few,
        "photos": few,
        "wishes": few,
        "pieces": few,
        "owned": few,
        "loans": few,
        "looks": few,
        "visit": st.sampled_from(["", "", "draft", "open"]),
        "phone": st.sampled_from(["", "07700 900123", "01632 960007"]),
        "private_note": st.sampled_from(["", "Tea, no milk."]),
    }
)


@pytest.mark.slow
@settings(max_examples=15)
@given(record, record)
def test_any_two_records_are_merged_whole_or_not_at_all_and_parted_as_they_were(one, other):
    keep, gone = a_record(**one), a_record(**other)
    clerk = DeskFactory()
    before = every_row()
    clash = bool(set(one["hours"]) & set(other["hours"])) or bool(one["visit"] and other["visit"])
    if clash:
        with pytest.raises(ValidationError):
            merge_clients(keep=keep, gone=gone, by=clerk, at=AT)
        assert every_row() == before
        return
    merge = merge_clients(keep=keep, gone=gone, by=clerk, at=AT)
    for belonging in belongings():
        left = set(belonging.of(gone).values_list("pk", flat=True))
        assert left == set(merge.stayed.get(belonging.label, ()))
    assert set(Consent.objects.live().filter(client=keep).values_list("kind", flat=True)) == (
        one["consents"] | other["consents"]
    )
    assert set(keep.sensitivities.values_list("substance", flat=True)) == one["reacts_to"] | other["reacts_to"]
    assert keep.appointments.count() == len(one["hours"]) + len(other["hours"])
    assert undo_merge(merge=merge, by=clerk, at=LATER).notes == []
    assert every_row() == before
