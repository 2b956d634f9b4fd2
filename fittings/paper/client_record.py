"""Everything the salon keeps about a client, on one paper of any length: what she is given who asks for her data.

Consents, assessments, services and skin tests stand in full, each from the module that knows its words; all else that
happened is told as on her line, and then who looked at her record. Photos are listed, not shown. Two things are left
out, and the paper says so: the salon's private note on her, which is never printed, and secrets that open an address,
of which only a digest is kept. A fixed number of queries, however long.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime
from typing import Any, Final

from clients.consenting import full_name
from clients.models import Client
from fittings.models import Reminder, Service
from fittings.paper.assessments_told import assessments_section
from fittings.paper.measured import Fact
from fittings.paper.money_told import ordered_section, payments_section, sales_section
from fittings.paper.pieces_on_record import pieces_section, proposals_section
from fittings.paper.salon_words import SalonWords
from fittings.paper.service_record import services_section
from fittings.paper.sheet import Entry, Section, Sheet, facts, sheet
from fittings.paper.signed_and_told import consents_section, intakes_section
from fittings.paper.skin_test_record import reactions_section, skin_tests_of, skin_tests_section
from fittings.timeline.lines_of import OF_CLIENT
from fittings.timeline.rows import Row
from salon.models import Salon

IN_FULL: Final = frozenset({"assessments", "consents", "services", "skin tests"})
"""What of her line stands in a section of its own."""
NOT_PRINTED: Final = "Private note"


def client_record(client: Client, *, salon: Salon, on: date, at: datetime) -> Sheet:
    """The paper as it is printed at that moment."""
    words = SalonWords.of(salon)
    told = skin_tests_of(client, at=at)
    return sheet(
        "Full record",
        client,
        salon=salon,
        on=on,
        heading=f"Everything kept about {full_name(client)}",
        sections=(
            _who_she_is(client, words),
            consents_section(client, words),
            *reactions_section(client.sensitivities.all(), told, words),
            assessments_section(client, words),
            intakes_section(client, words, at=at),
            skin_tests_section(told, words, heading="Skin tests"),
            pieces_section(client, words),
            proposals_section(client, words),
            services_section("Services", Service.objects.filter(fitting__client=client), words, on_what=True),
            *_of_her_line(client, words),
            _awaited(client, words),
            ordered_section(client, words),
            sales_section(client, words),
            payments_section(client, words),
            _wishes(client, words),
            _messages(client, words),
            _looks(client, words),
        ),
        is_dense=True,
    )


def _who_she_is(client: Client, words: SalonWords) -> Section:
    merged = ", ".join(one.reference for one in Client.objects.that_went_into(client))
    note = "one is kept; it is not printed, and you may ask what it says" if client.private_note.strip() else "none"
    return Section(
        "Who you are",
        says=("The words below are those of the salon's record, which speaks of you as “she”.",),
        facts=facts(
            ("Name", f"{client.given_name} {client.family_name}"),
            ("Likes to be called", client.preferred_name),
            ("Telephone", client.phone),
            ("E-mail", client.email),
            ("Born on", words.day(client.born_on) if client.born_on else ""),
            ("Guardian", client.guardian_name),
            ("Reference", client.reference),
            ("Registered", f"{words.moment(client.created_at)}, by {client.created_by}"),
            ("Records of yours that were put together with this one", merged),
            ("Private note of the salon", note),
        ),
    )


def _of_her_line(client: Client, words: SalonWords) -> Iterator[Section]:
    """All other kinds of her line, a section each, newest first."""
    rows: dict[str, list[Row]] = {}
    for source in OF_CLIENT:
        if source.about in IN_FULL:
            continue
        records = source.records(client).order_by(f"-{source.dated_by}", f"-{source.key}")
        of_it = rows.setdefault(source.about, [])
        of_it += [source.row(record, words.length_unit == "in") for record in records]
    for about, of_it in rows.items():
        of_it.sort(key=lambda row: row.at, reverse=True)
        heading = HEADINGS.get(about, about.capitalize())
        yield Section(heading, entries=tuple(_entry(row, words) for row in of_it), empty="Nothing is on record.")


HEADINGS: Final = {
    "pieces": "Pieces: chosen, given and ended",
    "care": "How pieces were worn, washed and found",
    "details": "Changes of your details",
}


def _entry(row: Row, words: SalonWords) -> Entry:
    told = tuple(Fact(label, says) for label, says in row.facts if label != NOT_PRINTED)
    return Entry(
        f"{words.moment(row.at)}, {row.word}: {row.title}",
        facts=told,
        mended=row.mended,
        stands=not row.no_longer_counts,
    )


def _awaited(client: Client, words: SalonWords) -> Section:
    rows: Any = client.awaited_pieces.select_related("noted_by")
    points = tuple(
        f"{one.what}: noted on {words.moment(one.noted_at)} by {one.noted_by}"
        f"{f', expected on {words.day(one.expected_on)}' if one.expected_on else ''}"
        f"{f', in on {words.moment(one.in_at)}' if one.in_at else ''}"
        f"{f', given up on {words.moment(one.given_up_at)}' if one.given_up_at else ''}"
        for one in rows
    )
    return Section("Pieces on their way", points=points, empty="None was awaited.")


def _wishes(client: Client, words: SalonWords) -> Section:
    points = tuple(
        f"{one.kind}, wished for on {words.moment(one.made_at)}: {one.get_state_display().lower()}"
        f"{f'; {one.note}' if one.note else ''}"
        for one in client.waiting_entries.select_related("kind")
    )
    return Section("Wishes on the waiting list", points=points, empty="None.")


def _messages(client: Client, words: SalonWords) -> Section:
    """What was to be sent and what became of it; the words of a message are never kept."""
    rows = Reminder.objects.filter(client=client).order_by("-due_at", "-pk")
    points = tuple(
        f"{words.moment(one.due_at)}, {one.get_kind_display().lower()} by {one.channel or 'no channel'}: "
        f"{one.get_state_display().lower()}{f', {words.moment(one.sent_at)}' if one.sent_at else ''}"
        f"{f' ({one.trouble})' if one.trouble else ''}"
        for one in rows
    )
    return Section("Messages", points=points, empty="None was sent or planned.")


def _looks(client: Client, words: SalonWords) -> Section:
    rows = client.access_entries.select_related("user")
    points = tuple(f"{words.moment(one.at)}, {one.user}: {one.page}" for one in rows)
    return Section("Who looked at the record", points=points, empty="Nobody has.")
