"""What both commands that make the demo salon ask for and say: strangers, and how far the story has come."""

from __future__ import annotations

from datetime import datetime

from django.core.exceptions import ValidationError
from django.core.management.base import CommandError, CommandParser, OutputWrapper
from django.utils.timezone import now

from salon.demo.loading import load_demo_salon

MOST_YEARS = 5


def add_strangers(parser: CommandParser) -> None:
    parser.add_argument(
        "--years",
        type=int,
        choices=range(MOST_YEARS + 1),
        default=0,
        help="so many years of strangers who came, bought and brought back, for the owner's review (0)",
    )
    parser.add_argument("--seed", type=int, default=1, help="the same number draws the same strangers (1)")


def load(stdout: OutputWrapper, *, years: int, seed: int) -> None:
    """Load it as of now, and say of every month that it has come to; Ctrl-C leaves the database empty.

    Raises CommandError where clients are there already.
    """

    def month_begins(at: datetime) -> None:
        stdout.write(f"  {at:%B %Y}")
        stdout.flush()

    try:
        load_demo_salon(at=now(), years=years, seed=seed, month_begins=month_begins if years else None)
    except ValidationError as refusal:
        raise CommandError(" ".join(refusal.messages)) from refusal
