"""The pages of opening hours, working hours, closures and time off; and the visits that each shows in its way."""

from datetime import UTC, date, datetime, time, timedelta
from html import unescape
from zoneinfo import ZoneInfo

import pytest
from django.urls import reverse
from django.utils import timezone

from fittings.models import Closure, OpeningHours, TimeOff, WorkingHours
from fittings.setting_up import hours_views
from fittings.setting_up.in_the_way import in_closure, outside_opening_hours, outside_working_hours
from tests.factories import StylistFactory
from tests.fittings.factories import (
    AppointmentFactory,
    ClosureFactory,
    PlaceFactory,
    ServiceKindFactory,
    TimeOffFactory,
)

pytestmark = pytest.mark.django_db

LONDON = ZoneInfo("Europe/London")
NOW = datetime(2026, 3, 2, 12, tzinfo=UTC)  # a Monday
HOUR = timedelta(hours=1)


@pytest.fixture(autouse=True)
def clock(monkeypatch):
    """These pages are looked at on one Monday in March."""
    monkeypatch.setattr(hours_views, "now", lambda: NOW)
    monkeypatch.setattr(hours_views, "localdate", lambda: NOW.date())


@pytest.fixture
def imke():
    return StylistFactory(first_name="Imke", last_name="Valcourt")


def visit(day, begins, *, minutes=60, month=3, **how):
    starts_at = datetime.combine(date(2026, month, day), begins, tzinfo=LONDON)
    kind = ServiceKindFactory(name=f"{minutes} minutes", minutes=minutes, clean_up_minutes=0)
    return AppointmentFactory(starts_at=starts_at, kind=kind, **how)


def text_of(response):
    return " ".join(unescape(response.content.decode()).split())


def week(begins="opens", ends="closes", **days):
    """The posted form of a week: `monday="09:00-17:00"`."""
    typed = {}
    for day, hours in days.items():
        typed[f"{day}_on"] = "on"
        typed[f"{day}_{begins}"], typed[f"{day}_{ends}"] = hours.split("-")
    return typed


# Opening hours


def test_the_week_is_kept_and_said_back(owner):
    answers = week(monday="09:00-17:30", tuesday="09:00-17:30", saturday="09:00-13:00")
    page = text_of(owner.post(reverse("opening-hours"), answers, follow=True))
    assert "Kept: Monday, Tuesday, Saturday." in page
    assert "Written down by Odile Brackwater" in page
    assert list(OpeningHours.objects.values_list("weekday", "closes")) == [
        (1, time(17, 30)),
        (2, time(17, 30)),
        (6, time(13)),
    ]
    assert "Monday to Tuesday 09:00–17:30" in text_of(owner.get(reverse("setting-up")))


def test_copying_monday_needs_no_script_and_keeps_nothing(owner):
    answers = week(monday="09:00-17:30", saturday="10:00-13:00") | {"copy": "monday"}
    response = owner.post(reverse("opening-hours"), answers)
    form = response.context["form"]
    assert [form[f"{day}_closes"].value() for day in ("tuesday", "friday", "saturday")] == ["17:30", "17:30", "13:00"]
    assert form["friday_on"].value()
    assert not form["sunday_on"].value()
    assert "Nothing is kept until you save." in text_of(response)
    assert not OpeningHours.objects.exists()


@pytest.mark.parametrize(
    ("answers", "field", "sentence"),
    [
        (week(monday="17:00-09:00"), "monday_closes", "The salon closes after it opens, on the same day."),
        (week(monday="09:00-"), "monday_closes", "Write a time, or take the tick from Monday."),
        (week(monday="09:00-teatime"), "monday_closes", "Write a time of day, such as 09:30."),
        ({}, "__all__", "Tick one day at least."),
    ],
)
def test_a_day_that_cannot_be_is_refused_beside_itself(owner, answers, field, sentence):
    response = owner.post(reverse("opening-hours"), answers)
    assert response.context["form"].errors == {field: [sentence]}
    assert sentence in text_of(response)
    assert not OpeningHours.objects.exists()


def test_a_day_without_a_tick_is_closed_whatever_times_it_shows(owner):
    answers = week(monday="09:00-17:00") | {"tuesday_opens": "09:00", "tuesday_closes": "17:00"}
    owner.post(reverse("opening-hours"), answers)
    assert OpeningHours.objects.get().weekday == 1


def test_a_salon_can_do_without_hours_again(owner):
    owner.post(reverse("opening-hours"), week(monday="09:00-17:00"))
    page = text_of(owner.post(reverse("opening-hours"), {"none": "yes"}, follow=True))
    assert "any hour of any day can be booked" in page
    assert not OpeningHours.objects.exists()


def test_visits_outside_the_new_hours_are_listed_and_not_moved(owner):
    inside, late, sunday = visit(9, time(10)), visit(9, time(16, 30)), visit(8, time(10))
    page = text_of(owner.post(reverse("opening-hours"), week(monday="09:00-17:00"), follow=True))
    assert "Booked outside these hours: 2" in page
    assert late.reference in page
    assert sunday.reference in page
    assert inside.reference not in page


# Working hours


def test_her_week_with_a_break_is_kept(owner, imke):
    answers = week("begins", "ends", monday="09:00-17:00")
    answers |= {"monday_break_begins": "13:00", "monday_break_ends": "13:30"}
    owner.post(reverse("person-hours", args=[imke.pk]), answers)
    assert WorkingHours.objects.get(stylist=imke).break_ends == time(13, 30)
    assert "Monday 09:00–17:00, break 13:00–13:30" in text_of(owner.get(reverse("people")))


def test_a_break_outside_her_hours_is_refused_beside_it(owner, imke):
    answers = week("begins", "ends", monday="09:00-17:00") | {
        "monday_break_begins": "18:00",
        "monday_break_ends": "19:00",
    }
    errors = owner.post(reverse("person-hours", args=[imke.pk]), answers).context["form"].errors
    assert errors == {
        "monday_break_ends": ["A break begins and ends within the working hours; leave both empty for none."]
    }


# Closures


def test_a_closure_with_nothing_booked_goes_back_to_the_list(owner):
    answers = {"because": "New Year", "first_day": "2026-12-31", "last_day": "2027-01-02", "opens": "", "closes": ""}
    page = text_of(owner.post(reverse("closure-new"), answers, follow=True))
    assert "“New Year” is written down. Nothing is booked in it." in page
    assert "Thu 31 Dec 2026 to Sat 2 Jan 2027, closed" in page


def test_a_closure_over_booked_visits_shows_them_with_the_way_to_move_each(owner):
    booked, cancelled = visit(9, time(10)), visit(9, time(14), state="cancelled")
    answers = {"because": "Works", "first_day": "2026-03-09", "last_day": "", "opens": "", "closes": ""}
    response = owner.post(reverse("closure-new"), answers, follow=True)
    page = text_of(response)
    assert "1 visit is booked in it: look at each below, nothing was moved." in page
    assert reverse("appointment-move", args=[booked.reference]) in page
    assert cancelled.reference not in page
    booked.refresh_from_db()
    assert booked.state == "booked"
    assert Closure.objects.get().last_day == date(2026, 3, 9)


def test_a_closure_is_taken_away(owner):
    closure = ClosureFactory()
    page = text_of(owner.post(reverse("closure-remove", args=[closure.pk]), follow=True))
    assert "“Works on the pipes” is taken away: the salon opens as usual." in page
    assert "Something was last taken away by Odile Brackwater" in page
    assert not Closure.objects.exists()


def test_the_desk_reads_closures_and_changes_none(desk):
    ClosureFactory(first_day=date(2026, 4, 1))
    page = text_of(desk.get(reverse("closures")))
    assert "Works on the pipes" in page
    assert reverse("closure-new") not in page


# Time off


def test_whole_days_off_are_those_of_the_salons_wall_clock(desk, imke):
    answers = {"stylist": imke.pk, "first_day": "2026-03-28", "last_day": "2026-03-29", "because": ""}
    page = text_of(desk.post(reverse("time-off-new"), answers, follow=True))
    assert "Imke Valcourt is away then. Nothing is booked in it." in page
    off = TimeOff.objects.get()
    # the clock goes forward on the 29th: British Summer Time, 1 hour ahead of UTC from 01:00 UTC
    assert (off.starts_at, off.ends_at) == (datetime(2026, 3, 28, tzinfo=UTC), datetime(2026, 3, 29, 23, tzinfo=UTC))
    assert "Sat 28 Mar 2026 to Sun 29 Mar 2026, all day" in page
    form = desk.get(reverse("time-off-change", args=[off.pk])).context["form"]
    asked = [form[name].value() for name in ("first_day", "from_time", "last_day", "until_time")]
    assert asked == [date(2026, 3, 28), None, date(2026, 3, 29), None]


def test_hours_off_over_a_booked_visit_show_it(desk, imke):
    booked, other = visit(9, time(10), stylist=imke), visit(9, time(10))
    answers = {"stylist": imke.pk, "first_day": "2026-03-09", "from_time": "10:30", "until_time": "12:00"}
    page = text_of(desk.post(reverse("time-off-new"), answers, follow=True))
    assert "Booked while she is away: 1" in page
    assert booked.reference in page
    assert other.reference not in page


@pytest.mark.parametrize(
    ("changed", "field", "sentence"),
    [
        ({"from_time": "12:00", "until_time": "10:00"}, "until_time", "Time off ends after it begins."),
        ({"last_day": "2026-03-08"}, "until_time", "Time off ends after it begins."),
        ({"first_day": "9999-12-31"}, "first_day", "That is too far from now; write the year again."),
        ({"first_day": "2036-03-09"}, "first_day", "2036 is too far from now; write the year again."),
        ({"first_day": "2026-03-29", "from_time": "01:30"}, "from_time", "There is no 01:30 on Sunday 29 March 2026"),
        ({"first_day": "2026-02-01"}, "last_day", "02 February 2026, 00:00 is over; choose a time to come."),
    ],
)  # fmt: skip  # one refusal a line
def test_what_cannot_be_time_off_is_refused_beside_its_field(desk, imke, changed, field, sentence):
    answers = {"stylist": imke.pk, "first_day": "2026-03-09"} | changed
    errors = desk.post(reverse("time-off-new"), answers).context["form"].errors
    assert list(errors) == [field]
    assert errors[field][0].startswith(sentence)
    assert not TimeOff.objects.exists()


def test_the_desk_takes_time_off_away(desk, imke):
    off = TimeOffFactory(stylist=imke)
    assert "Imke Valcourt works as usual then." in text_of(
        desk.post(reverse("time-off-remove", args=[off.pk]), follow=True)
    )
    assert not TimeOff.objects.exists()


# Visits in the way


def test_a_short_day_leaves_visits_within_its_hours_alone():
    closure = ClosureFactory(first_day=date(2026, 3, 9), last_day=date(2026, 3, 10), opens=time(10), closes=time(13))
    visit(9, time(10)), visit(10, time(12)), visit(11, time(8))
    early, late = visit(9, time(9, 30)), visit(10, time(12, 30))
    overnight = visit(10, time(22), minutes=600)
    with timezone.override(LONDON):
        assert list(in_closure(closure, NOW, LONDON)) == [early, late, overnight]


def test_hours_are_those_of_the_wall_clock_on_either_side_of_a_clock_change():
    day = OpeningHours.objects.create(weekday=1, opens=time(9), closes=time(17))
    before, after = visit(23, time(9)), visit(30, time(9))  # 09:00 and 08:00 UTC
    with timezone.override(LONDON):
        assert not outside_opening_hours([day], NOW).exists()
        day.opens = time(9, 15)
        assert list(outside_opening_hours([day], NOW)) == [before, after]


def test_a_visit_over_her_break_is_outside_her_hours(imke):
    hours = WorkingHours(
        stylist=imke, weekday=1, begins=time(9), ends=time(17), break_begins=time(13), break_ends=time(13, 30)
    )
    visit(9, time(12), stylist=imke), visit(9, time(13, 30), stylist=imke)
    over = visit(16, time(12, 45), stylist=imke)
    with timezone.override(LONDON):
        assert list(outside_working_hours(imke, [hours], NOW)) == [over]


def test_many_visits_are_shown_a_page_at_a_time_in_the_same_queries(owner, queries_for):
    closure = ClosureFactory(first_day=date(2026, 3, 9), last_day=date(2026, 4, 9))
    address = reverse("closure", args=[closure.pk])
    kind, place = ServiceKindFactory(), PlaceFactory()
    for number in range(2):
        visit(10 + number, time(10), place=place)
    few = queries_for(address, owner)
    stylist = StylistFactory()
    for number in range(23):
        AppointmentFactory(
            kind=kind, stylist=stylist, place=place, starts_at=datetime(2026, 3, 12, tzinfo=UTC) + number * 24 * HOUR
        )
    assert queries_for(address, owner) == few
    assert len(owner.get(address).context["page"]) == 20
    assert len(owner.get(address + "?page=2").context["page"]) == 5
