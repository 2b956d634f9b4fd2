"""Lets somebody sign in: `make_user odile --role Owner` asks for her password; piped in, it is the first line."""

from __future__ import annotations

import sys
from getpass import getpass
from typing import Any

from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError, CommandParser

from salon.making_users import make_user


class Command(BaseCommand):
    help = "Let somebody sign in, with one role. The first owner of a new salon is made so."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("name", help="the name she signs in with")
        parser.add_argument("--role", required=True, help='"Front desk", Stylist or Owner')
        parser.add_argument("--first-name", default="", help="as others see her on the pages")
        parser.add_argument("--last-name", default="")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            user = make_user(
                username=options["name"],
                role=options["role"],
                password=asked_password(),
                first_name=options["first_name"],
                last_name=options["last_name"],
            )
        except ValidationError as refusal:
            raise CommandError(" ".join(refusal.messages)) from refusal
        self.stdout.write(f"{user} can sign in as {user.get_username()}, in the role {options['role']}.")


def asked_password() -> str:
    """Typed twice without being shown, or one line of a pipe: never an argument, which others could read."""
    if not sys.stdin.isatty():
        return sys.stdin.readline().rstrip("\n")
    password = getpass("Her password: ")
    if getpass("Once more: ") != password:
        raise CommandError("The two are not the same; nobody was made. Start again.")
    return password
