"""Looks at a file of people, and registers them: every one who is not here yet, or nobody."""

from __future__ import annotations

from datetime import date

from django.db import transaction

from clients.registering import register_many
from clients.taking_in.comparing import compared
from clients.taking_in.csv_people import read_csv
from clients.taking_in.people import PeopleRead, Report
from clients.taking_in.vcard_people import BEGIN, read_vcards
from salon.models import User

NO_HEALTH = (
    "Notes are never taken in: they may speak of her health, which is written down only with her consent. "
    "Nobody who is taken in has agreed to anything yet."
)


@transaction.atomic
def take_in(*, content: bytes, dry_run: bool, by: User, today: date) -> Report:
    """Say of every line what becomes of it; register the new ones when nothing is to be mended and it is no dry run."""
    read = read_people(content, today=today)
    new, said = compared(read.people)
    lines = sorted([*read.to_mend, *said], key=lambda line: line.line)
    report = Report(lines, [*read.remarks, NO_HEALTH], stopped_early=read.is_hopeless)
    if not dry_run and not report.to_mend and new:
        register_many(people=[person.fields for person in new], by=by)
        report.stored = True
    return report


def read_people(content: bytes, *, today: date) -> PeopleRead:
    """As vCards when the file begins like one, else as CSV."""
    begins_like_a_card = content[:200].removeprefix(b"\xef\xbb\xbf").lstrip().upper().startswith(BEGIN.encode())
    return read_vcards(content, today=today) if begins_like_a_card else read_csv(content, today=today)
