"""Lets somebody in no more, when she leaves: `end_access noor`. What she did keeps her name."""

from __future__ import annotations

from typing import Any

from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError, CommandParser

from salon.making_users import end_access
from salon.models import User


class Command(BaseCommand):
    help = "Let somebody sign in no more; her name stays on what she did."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("name", help="the name she signs in with")

    def handle(self, *args: Any, **options: Any) -> None:
        user = User.objects.filter(username=options["name"]).first()
        if user is None:
            raise CommandError(f"Nobody signs in as “{options['name']}”.")
        try:
            end_access(user=user)
        except ValidationError as refusal:
            raise CommandError(" ".join(refusal.messages)) from refusal
        self.stdout.write(f"{user} can sign in no more. An owner can give her access back.")
