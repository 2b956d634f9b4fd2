"""Loads the demo salon into the database of the settings, when that is empty. `manage.py demo` does it by itself."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError, CommandParser

from salon.demo.at_the_terminal import add_strangers, load
from salon.demo.people import sign_in_table


class Command(BaseCommand):
    help = "Fill an empty, migrated database with the invented demo salon."

    def add_arguments(self, parser: CommandParser) -> None:
        add_strangers(parser)

    def handle(self, *args: Any, years: int, seed: int, **options: Any) -> None:
        if settings.PRODUCTION:
            raise CommandError("The demo people's passwords are known to everybody: not into production.")
        load(self.stdout, years=years, seed=seed)
        self.stdout.write("The demo salon is loaded. Its people:\n" + sign_in_table())
