"""Adds a room, chair or basin: `add_place "Quiet room" --private`."""

from __future__ import annotations

from typing import Any

from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError, CommandParser

from fittings.furnishing import add_place


class Command(BaseCommand):
    help = "Add a room, chair or basin that one client uses at a time."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("name", help='how the desk calls it, such as "Chair 1"')
        parser.add_argument("--private", action="store_true", help="a room with a door to shut")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            place = add_place(name=options["name"], is_private=options["private"])
        except ValidationError as refusal:
            raise CommandError(" ".join(refusal.messages)) from refusal
        self.stdout.write(f"{place} can be booked.")
