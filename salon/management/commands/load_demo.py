"""Loads the demo salon into the database of the settings, when that is empty. `manage.py demo` does it by itself."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils.timezone import now

from salon.demo.loading import load_demo_salon
from salon.demo.people import sign_in_table

MOST_YEARS = 5


class Command(BaseCommand):
    help = "Fill an empty, migrated database with the invented demo salon."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "--years",
            type=int,
            choices=range(MOST_YEARS + 1),
            default=0,
            help="Let strangers have come, bought and brought back for so many years: something for the owner's review.",
        )
        parser.add_argument("--seed", type=int, default=1, help="The same number draws the same strangers.")

    def handle(self, *args: Any, years: int, seed: int, **options: Any) -> None:
        if settings.PRODUCTION:
            raise CommandError("The demo people's passwords are known to everybody: not into production.")
        try:
            load_demo_salon(at=now(), years=years, seed=seed)
        except ValidationError as refusal:
            raise CommandError(" ".join(refusal.messages)) from refusal
        self.stdout.write("The demo salon is loaded. Its people:\n" + sign_in_table())
