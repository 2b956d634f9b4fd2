"""Adds a room, chair or basin: `add_place "Quiet room" --sort room`."""

from __future__ import annotations

from typing import Any

from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError, CommandParser

from fittings.furnishing import add_place
from fittings.models import Place


class Command(BaseCommand):
    help = "Add a room, chair or basin that one client uses at a time."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("name", help='how the desk calls it, such as "Chair 1"')
        parser.add_argument(
            "--sort",
            choices=Place.Sort.values,
            default=Place.Sort.CHAIR.value,
            help="a private room, a chair or a basin",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            place = add_place(name=options["name"], sort=options["sort"])
        except ValidationError as refusal:
            raise CommandError(" ".join(refusal.messages)) from refusal
        self.stdout.write(f"{place} can be booked.")
