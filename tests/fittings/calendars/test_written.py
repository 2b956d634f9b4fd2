"""What is written for calendars, against RFC 5545 (section numbers; the text READ, but where MEMORY is said)."""

import re
import uuid
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from icalendar import Calendar

from fittings.calendars.writing import Address, CalendarEntry, write_calendar

LONDON = ZoneInfo("Europe/London")
WRITTEN = datetime(2026, 3, 1, 12, 0, tzinfo=UTC)
ANY_TEXT = st.text(st.characters(exclude_categories=["Cs", "Cc"]), min_size=1, max_size=120).map(str.strip).filter(bool)


def entry(**other):
    begins = other.pop("starts_at", datetime(2026, 3, 3, 10, 30, tzinfo=UTC))
    return CalendarEntry(
        **{
            "uid": uuid.UUID("5e0c3a52-4c55-4d0e-9f7f-5d0b9a116f1f"),
            "sequence": 0,
            "starts_at": begins,
            "ends_at": begins + timedelta(minutes=90),
            "booked_at": WRITTEN - timedelta(days=8),
            "changed_at": WRITTEN - timedelta(days=1),
            "is_cancelled": False,
            "summary": "Appointment at Brackwater's",
            "location": "14 Ferrier's Row, Tarrowmere",
        }
        | other
    )


def written(*entries, zone=LONDON, method="PUBLISH"):
    return write_calendar(list(entries), name="Brackwater's", zone=zone, method=method, written_at=WRITTEN)


def lines(content):
    """Unfolded content lines (3.1)."""
    return content.decode().replace("\r\n ", "").replace("\r\n\t", "").split("\r\n")


def values(content, word):
    return [line.split(":", 1)[1] for line in lines(content) if re.match(rf"{word}[:;]", line)]


@given(summary=ANY_TEXT, location=ANY_TEXT)
@settings(max_examples=60)
def test_lines_end_in_crlf_and_hold_75_octets_at_most(summary, location):
    content = written(entry(summary=summary, location=location))
    assert content.endswith(b"\r\n")
    assert b"\n" not in content.replace(b"\r\n", b"")
    for line in content.split(b"\r\n"):  # 3.1 counts octets, not characters
        assert len(line) <= 75
        line.decode()  # and no character is cut in two (MEMORY)


@given(summary=ANY_TEXT)
@settings(max_examples=60)
def test_text_comes_back_as_it_was(summary):
    event = Calendar.from_ical(written(entry(summary=summary))).events[0]
    assert str(event["summary"]) == summary


def test_backslash_semicolon_comma_and_newline_are_escaped_and_a_colon_is_not():
    (summary,) = values(written(entry(summary="a\\b;c,d\ne:f")), "SUMMARY")
    assert summary == r"a\\b\;c\,d\ne:f"  # 3.3.11


def test_the_calendar_says_who_made_it_and_by_which_version():
    content = written(entry())
    assert values(content, "VERSION") == ["2.0"]
    assert len(values(content, "PRODID")) == 1
    assert values(content, "METHOD") == ["PUBLISH"]
    assert values(content, "CALSCALE") == ["GREGORIAN"]  # 3.6: at most once


def test_an_event_has_one_of_what_it_needs_and_no_duration():
    content = written(entry())
    for word in ("UID", "DTSTAMP", "DTSTART", "DTEND", "SEQUENCE", "STATUS", "SUMMARY"):
        assert sum(line.startswith((f"{word}:", f"{word};")) for line in event_lines(content)) == 1, word
    assert values(content, "DURATION") == []  # 3.6.1: not beside DTEND


def event_lines(content):
    found = lines(content)
    return found[found.index("BEGIN:VEVENT") : found.index("END:VEVENT")]


def test_what_must_be_utc_is_and_carries_no_zone():
    content = written(entry())
    for word in ("DTSTAMP", "CREATED", "LAST-MODIFIED"):
        (line,) = [line for line in lines(content) if line.startswith(word)]
        assert re.fullmatch(rf"{word}:\d{{8}}T\d{{6}}Z", line)  # 3.8.7.2 and 3.3.5


@pytest.mark.parametrize("zone", ["Europe/London", "America/New_York", "Australia/Lord_Howe", "Asia/Tokyo"])
def test_every_zone_that_is_named_is_described(zone):
    calendar = Calendar.from_ical(written(entry(), zone=ZoneInfo(zone)))
    assert calendar.get_missing_tzids() == set()
    assert [str(described["tzid"]) for described in calendar.timezones] == [zone]


def test_a_cancelled_one_says_so_and_keeps_its_uid():
    stood, cancelled = written(entry()), written(entry(is_cancelled=True, sequence=1))
    assert values(stood, "STATUS") == ["CONFIRMED"]
    assert values(cancelled, "STATUS") == ["CANCELLED"]
    assert values(stood, "UID") == values(cancelled, "UID")
    assert (values(stood, "SEQUENCE"), values(cancelled, "SEQUENCE")) == (["0"], ["1"])


def test_addresses_are_mail_addresses_with_a_name():
    content = written(entry(attendee=Address("Ada Ashdown", "ada@ashdown.example")), method="REQUEST")
    assert 'ATTENDEE;CN="Ada Ashdown":mailto:ada@ashdown.example' in lines(content)


def test_an_empty_feed_is_still_a_calendar():
    assert b"BEGIN:VEVENT" not in written()
    assert Calendar.from_ical(written()).events == []


def moments_read(content):
    """The same file through two parsers that know nothing of each other."""
    from ical.calendar_stream import IcsCalendarStream

    one = Calendar.from_ical(content).events[0]
    other = IcsCalendarStream.calendar_from_ics(content.decode()).events[0]
    return (one.start, one.end), (other.dtstart, other.dtend)


@pytest.mark.parametrize(
    ("zone", "utc"),
    [
        ("Europe/London", "2026-03-03 10:30"),
        ("Europe/London", "2026-03-29 00:45"),  # over the hour that is left out
        ("Europe/London", "2026-10-25 00:15"),  # 01:15 the first time
        ("Europe/London", "2026-10-25 01:15"),  # and the second
        ("America/New_York", "2026-11-01 05:30"),
        ("America/New_York", "2026-11-01 06:30"),
        ("Australia/Lord_Howe", "2026-04-04 14:45"),  # 01:45 twice, half an hour apart
        ("Australia/Lord_Howe", "2026-04-04 15:15"),
        ("Australia/Lord_Howe", "2026-10-03 15:20"),
    ],
)
def test_two_parsers_read_the_moments_that_were_meant(zone, utc):
    begins = datetime.fromisoformat(utc).replace(tzinfo=UTC)
    for starts_at, ends_at in moments_read(written(entry(starts_at=begins), zone=ZoneInfo(zone))):
        assert starts_at.astimezone(UTC) == begins
        assert ends_at.astimezone(UTC) == begins + timedelta(minutes=90)


def test_two_parsers_agree_on_everything_else():
    from ical.calendar_stream import IcsCalendarStream

    content = written(entry(summary="Zoë, “at” ten; or so", sequence=3, is_cancelled=True))
    one = Calendar.from_ical(content).events[0]
    other = IcsCalendarStream.calendar_from_ics(content.decode()).events[0]
    assert str(one["uid"]) == other.uid
    assert str(one["summary"]) == other.summary == "Zoë, “at” ten; or so"
    assert int(one["sequence"]) == other.sequence == 3
    assert str(one["status"]) == other.status == "CANCELLED"
    assert str(one["location"]) == other.location
