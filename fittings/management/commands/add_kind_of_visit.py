"""Adds a kind of visit: `add_kind_of_visit Consult --minutes 90 --clean-up 15 --price 65.00 --purpose consult`."""

from __future__ import annotations

from typing import Any

from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError, CommandParser

from fittings.furnishing import add_kind_of_visit
from fittings.models import Purpose
from salon.common.money import parse_minor
from salon.models import Salon


class Command(BaseCommand):
    help = "Add a kind of visit that the desk can book."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("name", help='such as "Consult" or "Wash and care"')
        parser.add_argument("--minutes", type=int, required=True, help="how long it takes")
        parser.add_argument("--clean-up", type=int, default=0, help="minutes before the place is free again (0)")
        parser.add_argument("--price", default="0", help="in the salon's currency, such as 65.00 (0)")
        parser.add_argument(
            "--purpose", choices=Purpose.values, default=Purpose.OTHER.value, help="a consult begins with an assessment"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        if options["minutes"] < 0 or options["clean_up"] < 0:
            raise CommandError("Minutes are 0 or more.")
        try:
            kind = add_kind_of_visit(
                name=options["name"],
                minutes=options["minutes"],
                clean_up_minutes=options["clean_up"],
                price_minor=parse_minor(options["price"], Salon.objects.default().currency),
                purpose=options["purpose"],
            )
        except ValidationError as refusal:
            raise CommandError(" ".join(refusal.messages)) from refusal
        except ValueError as refusal:
            raise CommandError(str(refusal)) from refusal
        self.stdout.write(f"{kind} can be booked.")
