"""The demo salon: that it is whole, invented, dated as it happened, and told apart from a real one."""

import re
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.db import transaction
from django.test import override_settings
from django.urls import reverse
from django.utils import timezone

from clients.models import (
    Assessment,
    Client,
    ColourReading,
    Intake,
    IntakeLink,
    Photo,
    PhotoSet,
    Repainting,
    Sensitivity,
    SkinTest,
)
from clients.models.photo import NAMED_ANGLES
from fittings.comparing_colours import measured_grey, own_colours
from fittings.consult.photo_reading import marks_kept, read_hair
from fittings.models import (
    Appointment,
    AppointmentChange,
    AwaitedPiece,
    Candidate,
    CareDate,
    Closure,
    ConditionCheck,
    Fitting,
    HouseRule,
    Loan,
    OpeningHours,
    Override,
    OwnedPiece,
    Place,
    Purpose,
    Reminder,
    Repair,
    Service,
    ServiceKind,
    StrandTest,
    TimeOff,
    TryOn,
    UnitToTry,
    WaitingEntry,
    Wash,
    WearEntry,
)
from fittings.readiness import missing_of
from fittings.setting_up.in_the_way import in_closure, in_time_off, outside_opening_hours, outside_working_hours
from fittings.waiting import who_could_take
from pieces.models import Base, Piece, PiecePicture, Shade, Unit
from pieces.ring.both_ways import both_ways
from salon.colour.marks import marks_from_json
from salon.demo.clients import CLIENTS
from salon.demo.loading import load_demo_salon, printable_consult
from salon.demo.people import PEOPLE
from salon.models import Salon, User

LONDON = ZoneInfo("Europe/London")
SUNDAY_OF_A_CLOCK_CHANGE = datetime(2026, 3, 29, 11, 40, tzinfo=UTC)


@pytest.fixture(scope="class")
def demo(django_db_setup, django_db_blocker, tmp_path_factory):
    """The demo salon, loaded once for all that only looks at it, and taken back after; the folder of its photos."""
    folder = tmp_path_factory.mktemp("demo-photos")
    with django_db_blocker.unblock(), transaction.atomic():
        with override_settings(MEDIA_ROOT=folder):
            load_demo_salon(at=SUNDAY_OF_A_CLOCK_CHANGE)
        yield folder
        transaction.set_rollback(True)


def in_the_way_of_anything():
    """Visits to come, those of the day of loading apart, that lie where the salon is closed or somebody is away."""
    at = SUNDAY_OF_A_CLOCK_CHANGE + timedelta(days=1)
    with timezone.override(LONDON):
        found = [in_closure(closure, at, LONDON) for closure in Closure.objects.all()]
        found += [in_time_off(off, at) for off in TimeOff.objects.all()]
        found.append(outside_opening_hours(OpeningHours.objects.all(), at))
        for stylist in User.objects.filter(working_hours__isnull=False).distinct():
            found.append(outside_working_hours(stylist, stylist.working_hours.all(), at))
        return [visit for visits in found for visit in visits]


def of(client_key):
    wanted = next(client for client in CLIENTS if client.key == client_key)
    return Client.objects.get(given_name=wanted.given_name)


# What is in it


@pytest.mark.slow  # loading it takes twenty-five seconds, and that in each process that gets one of these
@pytest.mark.usefixtures("demo", "db")
class TestTheDemoSalon:
    @pytest.fixture(autouse=True)
    def photos_lie_where_they_were_put(self, photos_lie_apart, demo, settings):
        settings.MEDIA_ROOT = demo

    def test_has_drawers_to_choose_from(self):
        assert Base.objects.count() >= 12
        assert Piece.objects.count() >= 60
        assert Shade.objects.measured().count() >= 40
        assert Unit.objects.count() >= 150

    def test_has_a_drawing_of_every_piece_that_says_so(self, client):
        assert not Piece.objects.filter(pictures=None).exists()
        shown = PiecePicture.objects.values_list("shows", flat=True)
        assert len(shown) == Piece.objects.count() + Base.objects.count()
        assert all(words.startswith("Drawing of ") for words in shown)
        client.force_login(User.objects.get(username="stylist"))
        assert client.get(reverse("pieces")).content.count(b'alt="Drawing of ') > 10

    def test_has_a_private_room_chairs_and_a_basin(self):
        assert Place.objects.filter(sort="room").count() == 1
        assert Place.objects.count() == 4

    def test_offers_a_visit_for_every_purpose_and_a_place_for_each(self):
        kinds = ServiceKind.objects.offered()
        assert {kind.purpose for kind in kinds} == set(Purpose.values) - {Purpose.OTHER}
        assert all(Place.objects.of_sorts(kind.place_sorts).exists() for kind in kinds)

    def test_is_open_on_six_days_and_closed_now_and_then_in_the_months_to_come(self):
        assert list(OpeningHours.objects.values_list("weekday", flat=True)) == [1, 2, 3, 4, 5, 6]
        assert Closure.objects.filter(first_day__gt=SUNDAY_OF_A_CLOCK_CHANGE.date()).count() == 2
        assert set(TimeOff.objects.values_list("stylist__username", flat=True)) == {"stylist", "stylist2"}

    def test_books_within_its_hours_but_for_the_day_laid_around_the_loading(self):
        passed = AppointmentChange.objects.exclude(passed=[])
        assert {change.starts_at.date() for change in passed} == {SUNDAY_OF_A_CLOCK_CHANGE.date()}
        assert not in_the_way_of_anything()

    def test_has_somebody_in_every_role(self):
        roles = {role for user in User.objects.all() for role in user.groups.values_list("name", flat=True)}
        assert roles == {"Front desk", "Stylist", "Owner"}

    def test_lets_its_people_in_by_the_passwords_it_prints(self, client):
        person = PEOPLE[0]
        form = {"username": person.username, "password": person.password}
        assert client.post(reverse("sign-in"), form).status_code == 302

    def test_has_pieces_that_were_worn_for_months_with_something_on_record_of_every_kind(self):
        assert OwnedPiece.objects.current().count() >= 5
        assert OwnedPiece.objects.filter(ended="worn out").exists()
        kinds = set(Service.objects.done().values_list("kind", flat=True))
        assert kinds >= {"wash", "colour", "tape set"}
        for entries in (Wash, WearEntry, ConditionCheck, StrandTest):
            assert entries.objects.standing().exists()
        assert Loan.objects.filter(back_on__isnull=False).exists()
        assert Repair.objects.filter(back_on__isnull=False).exists()
        assert set(CareDate.objects.values_list("kind", flat=True)) == set(CareDate.Kind.values)

    def test_has_heads_painted_twice_by_as_many_as_an_interval_asks_for(self):
        assert Repainting.objects.finished().count() >= HouseRule.objects.current()["repaint_least"]

    def test_has_clients_of_whom_each_is_another_story(self):
        assert Client.objects.count() == len(CLIENTS) >= 14
        maps = Assessment.objects.exclude(state="superseded").values_list("density_hex", flat=True)
        assert len(set(maps)) == len(maps) >= 12

    def test_has_a_client_under_age_for_whom_her_guardian_signed(self):
        tilde = of("tilde")
        assert tilde.age_on(SUNDAY_OF_A_CLOCK_CHANGE.date()) < 16
        assert tilde.consents.get().guardian_name == tilde.guardian_name != ""

    def test_has_referral_signs_reactions_and_a_test_still_to_be_read(self):
        assert Assessment.objects.get(client=of("ines")).referral_signs
        assert set(Sensitivity.objects.values_list("substance", flat=True)) >= {"nickel", "acrylate adhesive"}
        assert SkinTest.objects.filter(reacted=True).exists()
        assert SkinTest.objects.filter(read_at__isnull=True).exists()

    def test_has_clients_who_still_owe_a_signature(self):
        assert Client.objects.filter(consents__isnull=True).count() == 2

    def test_has_a_newer_assessment_in_place_of_an_older_one(self):
        newest = Assessment.objects.signed_off().get(client=of("rosalind"))
        assert newest.supersedes.state == Assessment.State.SUPERSEDED

    def test_has_one_visit_with_a_draft_to_go_on_with_and_one_with_pieces_to_try(self):
        draft, choosing = sorted(Fitting.objects.open(), key=lambda fitting: not fitting.assessment.is_draft)
        assert draft.assessment.map_painted
        assert not draft.assessment.own_hair_length_mm
        assert choosing.candidates.count() > choosing.try_ons.count() > 0

    def test_has_a_plan_past_a_stop_with_the_owners_reasons(self):
        assert {override.service.fitting.client for override in Override.objects.all()} == {of("yvette")}
        assert all(override.owner.username == "owner" and override.reason for override in Override.objects.all())

    def test_can_print_the_newest_finished_consult(self):
        consult = printable_consult()
        outcomes = list(consult.try_ons.values_list("outcome", flat=True))
        assert consult.client == of("marguerite")
        assert TryOn.Outcome.CHOSEN in outcomes
        assert TryOn.Outcome.SECOND in outcomes
        assert consult.services.count() >= 3
        assert all(candidate.price_minor for candidate in consult.candidates.all())
        assert consult.why_chosen
        assert consult.next_visit_on

    def test_offers_its_chosen_consult_pieces_that_fit(self):
        verdicts = printable_consult().candidates.values_list("verdict", flat=True)
        assert set(verdicts) == {Candidate.Verdict.FITS}

    def test_sets_aside_what_was_chosen_and_not_collected_yet(self):
        chosen = printable_consult().try_ons.get(outcome=TryOn.Outcome.CHOSEN)
        assert chosen.unit.state == Unit.State.RESERVED

    def test_has_somebody_just_been_somebody_in_the_chair_and_somebody_still_to_come_today(self):
        midnight = SUNDAY_OF_A_CLOCK_CHANGE.replace(hour=0, minute=0)
        today = Appointment.objects.between(midnight, midnight + timedelta(days=1))
        assert {appointment.state for appointment in today} == {"done", "in the chair", "arrived", "booked"}

    # The desk

    def test_has_a_time_given_back_that_three_on_the_waiting_list_could_take(self):
        given_back = Appointment.objects.get(state="cancelled", starts_at__gt=SUNDAY_OF_A_CLOCK_CHANGE)
        fits = who_could_take(appointment=given_back, at=SUNDAY_OF_A_CLOCK_CHANGE)
        assert [fit.entry.client for fit in fits] == [of("yvette"), of("henrike"), of("dorothea")]
        assert WaitingEntry.objects.waiting().count() > len(fits)

    def test_shows_each_thing_that_can_be_missing_before_a_visit(self):
        coming = Appointment.objects.filter(starts_at__gt=SUNDAY_OF_A_CLOCK_CHANGE).select_related("client", "kind")
        missing = missing_of(coming, at=SUNDAY_OF_A_CLOCK_CHANGE)
        codes = {one.code for found in missing.values() for one in found}
        assert codes >= {"consent", "tape-test", "test-too-fresh", "piece", "deposit", "intake"}

    def test_waits_for_pieces_of_which_one_has_come_for_her_who_is_booked_for_it(self):
        assert AwaitedPiece.objects.still_awaited().count() == 2
        noted = AwaitedPiece.objects.filter(order_line=None)  # the rest was ordered, and fetched
        assert noted.get(in_at__isnull=False) == of("rosalind").appointments.get(state="booked").awaits

    def test_lays_out_what_comes_next_and_leaves_one_piece_to_look_out(self):
        to_try = UnitToTry.objects.filter(appointment__client__in=[of("marguerite"), of("philippa")])
        assert sorted(one.laid_out_at is None for one in to_try) == [False, False, True]

    def test_has_one_intake_that_was_sent_from_home_and_one_still_to_be(self):
        assert Intake.objects.get().client == of("winifred")
        assert of("winifred").consents.get(kind="record").signature
        assert IntakeLink.objects.usable(SUNDAY_OF_A_CLOCK_CHANGE).get().client == of("saskia")

    def test_told_those_who_agreed_when_it_was_due_and_left_the_rest_for_later(self):
        sent = Reminder.objects.filter(state="sent")
        assert {one.kind for one in sent} >= {"confirmation", "two days", "same day", "cancelled"}
        assert not Reminder.objects.due(SUNDAY_OF_A_CLOCK_CHANGE).exists()
        assert Reminder.objects.filter(state="due", kind="reading").exists()

    # Photos and colours

    def test_has_photos_of_those_alone_who_agreed_to_them(self):
        photographed = Client.objects.filter(photo_sets__isnull=False).distinct()
        assert {client.given_name for client in photographed} == {
            "Rosalind",
            "Yvette",
            "Marguerite",
            "Dorothea",
            "Leonie",
            "Coralie",
        }
        for photo_set in PhotoSet.objects.all():
            agreed = photo_set.client.consents.get(kind="photos")
            assert agreed.given_at < photo_set.begun_at
            assert agreed.withdrawn_at is None or photo_set.begun_at < agreed.withdrawn_at

    def test_has_photos_nobody_may_open_since_she_took_her_consent_back(self, client):
        dorothea = of("dorothea")
        assert dorothea.photo_sets.get().photos.count() == 2
        client.force_login(User.objects.get(username="stylist"))
        assert client.get(reverse("photos", args=[dorothea.reference])).status_code == 403

    @pytest.mark.parametrize("client_key", ["rosalind", "yvette"])
    def test_has_photos_from_all_sides_of_visits_months_apart(self, client_key):
        first, last = of(client_key).photo_sets.filter(moment="own hair").order_by("begun_at")
        assert last.begun_at - first.begun_at > timedelta(days=300)
        for photo_set in (first, last):
            assert set(NAMED_ANGLES) <= set(photo_set.photos.values_list("angle", flat=True))

    def test_has_a_turn_and_one_photo_that_may_be_shown_outside(self):
        rosalind = Photo.objects.filter(photo_set__client=of("rosalind"))
        assert list(rosalind.filter(angle="turn").values_list("frame", flat=True)) == [*range(1, 13)]
        shown = Photo.objects.exclude(publicity_consent=None).get()
        assert shown in rosalind
        assert shown.may_be_shown_outside
        assert shown.photo_set.moment == "piece on"

    def test_dates_photos_within_the_visit_they_belong_to(self):
        for photo in Photo.objects.select_related("photo_set__of_visit__fitting"):
            visit = photo.photo_set.of_visit.fitting
            assert visit.began_at < photo.taken_at < (visit.finished_at or SUNDAY_OF_A_CLOCK_CHANGE)

    def test_has_two_clients_read_by_the_chart_from_photos_of_theirs(self):
        read = ColourReading.objects.filter(method="chart").select_related("assessment__client", "photo__photo_set")
        assert {reading.assessment.client for reading in read} == {of("marguerite"), of("leonie")}
        for reading in read:
            assert reading.photo.photo_set.client == reading.assessment.client
            assert reading.scale == "chart-1"
            assert 0 < reading.doubt < 2

    def test_reads_those_photos_again_to_the_very_same_colours(self):
        for photo in Photo.objects.filter(readings__isnull=False).distinct():
            kept = {reading.zone: reading.lab for reading in photo.readings.all()}
            marks = marks_from_json(marks_kept(photo.readings.all(), photo), regions=kept)
            again = read_hair(photo, marks, Salon.objects.default())
            assert {zone: taken.lab for zone, taken in again.taken.items()} == kept

    def test_has_a_photo_of_hair_that_waits_to_be_marked(self, client):
        photo = Photo.objects.get(angle="colour", readings__isnull=True)
        visit = photo.photo_set.of_visit.fitting
        assert visit.assessment.is_draft
        client.force_login(User.objects.get(username="stylist"))
        assert client.get(reverse("reading-marks", args=[visit.reference, photo.reference])).status_code == 200

    def test_has_a_share_of_grey_that_was_measured(self):
        grey = measured_grey(Assessment.objects.get(client=of("leonie")).readings.all())
        assert grey.share.share == pytest.approx(0.4, abs=0.1)

    def test_has_part_of_the_ring_read_both_ways_so_that_the_rest_can_be_carried_over(self):
        way = both_ways(Shade.objects.prefetch_related("readings")).pop()
        assert (way.first_scale, way.second_scale) == ("instrument", "chart-1")
        assert 6 <= len(way.shades) < Shade.objects.measured().count()
        assert way.there.residual < way.apart

    def test_compares_hair_read_by_the_chart_with_shades_read_so_and_with_shades_carried_over(self):
        for candidate in printable_consult().candidates.all():
            assert set(candidate.colour["scales"].values()) == {"chart-1"}
        own = own_colours(Assessment.objects.get(client=of("leonie")).readings.all())
        assert {reading.scale for reading in own.readings.values()} == {"chart-1"}
        assert ("instrument", "chart-1") in own.crossings

    # Dates

    def test_dates_what_was_done_in_a_visit_by_that_visit(self):
        for fitting in Fitting.objects.finished():
            for try_on in fitting.try_ons.all():
                assert fitting.began_at < try_on.logged_at < fitting.finished_at
            for service in fitting.services.all():
                assert fitting.began_at < service.planned_at < fitting.finished_at

    def test_registers_everybody_before_she_is_booked_or_seen(self):
        for client in Client.objects.all():
            begun = [*client.appointments.values_list("booked_at", flat=True)]
            begun += client.fittings.values_list("began_at", flat=True)
            begun += client.skin_tests.values_list("applied_at", flat=True)
            assert client.created_at <= min(begun)

    def test_lets_nothing_begin_or_end_in_the_future(self):
        now = SUNDAY_OF_A_CLOCK_CHANGE
        assert not Fitting.objects.filter(began_at__gt=now).exists()
        assert not Fitting.objects.filter(finished_at__gt=now).exists()
        assert not TryOn.objects.filter(logged_at__gt=now).exists()
        assert not SkinTest.objects.filter(read_at__gt=now).exists()

    # Invented

    def test_uses_phone_numbers_and_addresses_that_belong_to_nobody(self):
        for client in Client.objects.all():
            # Ofcom's numbers for drama: 07700 900000 to 900999 and 01632 960000 to 960999 (MEMORY)
            assert re.fullmatch(r"07700 900 \d{3}|01632 960 \d{3}", client.phone)
            assert not client.email or client.email.endswith(".example")  # RFC 2606, reserved

    # Pages

    def test_opens_every_clients_page_and_visit_for_the_stylist(self, client):
        client.force_login(User.objects.get(username="stylist"))
        addresses = [reverse(name) for name in ("today", "clients", "pieces", "fittings")]
        addresses += [reverse("client", args=[one.reference]) for one in Client.objects.all()]
        addresses += [reverse("fitting", args=[one.reference]) for one in Fitting.objects.all()]
        addresses += [reverse("ring-photos"), reverse("ring-both-ways")]
        for photo_set in PhotoSet.objects.exclude(client=of("dorothea")):
            addresses += [photo_set.get_absolute_url(), reverse("photos-turn", args=[photo_set.reference])]
            addresses += [reverse(name, args=[photo_set.client.reference]) for name in ("photos", "photos-compare")]
        for address in addresses:
            assert client.get(address, follow=True).status_code == 200, address
