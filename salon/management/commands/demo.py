"""Shows the demo salon: makes its database, fills it once, says who signs in, and serves it to this machine alone.

`manage.py` sets SALON_DEMO for this command, so that the settings choose the demo's own database.
"""

from __future__ import annotations

import logging
import shutil
import signal
from pathlib import Path
from threading import Thread
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.core.servers.basehttp import ThreadedWSGIServer, WSGIRequestHandler
from django.db import OperationalError, connections
from django.utils.timezone import now

from clients.models import Client
from fittings.models import Appointment
from salon.demo.at_the_terminal import add_strangers, load
from salon.demo.loading import printable_consult
from salon.demo.people import PEOPLE, sign_in_table
from salon.models import User
from salon.wsgi import application

STOPPED = "\nStopped."
HOST = "127.0.0.1"  # the passwords are public: nobody else is let near it


class Command(BaseCommand):
    help = "Show the demo salon at 127.0.0.1: make it at the first start, go on with it at the next."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--port", type=int, default=8000, help="where to serve it (8000)")
        parser.add_argument("--no-serve", action="store_true", help="make it and say who signs in, and stop there")
        parser.add_argument("--fresh", action="store_true", help="throw the demo's database away and begin anew")
        add_strangers(parser)

    def handle(self, *args: Any, **options: Any) -> None:
        if settings.PRODUCTION or not settings.DEMO:
            raise CommandError("The demo is started by “python3 manage.py demo”, without SALON_ENV=production.")
        try:
            self._show(
                options["port"],
                serves=not options["no_serve"],
                anew=options["fresh"],
                years=options["years"],
                seed=options["seed"],
            )
        except OperationalError as error:
            hint = " Begin anew with --fresh." if has_own_database() else ""
            raise CommandError(f"The demo's database can't be used: {str(error).strip()}.{hint}") from error
        except KeyboardInterrupt:
            self.stdout.write(STOPPED)

    def _show(self, port: int, *, serves: bool, anew: bool, years: int, seed: int) -> None:
        server = bound_to(port) if serves else None  # before anything takes time: a taken port is said at once
        if anew:
            throw_away()
        call_command("migrate", verbosity=0)
        self._fill_when_empty(years=years, seed=seed)
        self._tell()
        if server is not None:
            self.stdout.write(f"Open http://{HOST}:{port}/ and sign in. Ctrl-C stops it; {kept_where()}.")
            self.stdout.flush()
            server.set_app(application)
            logging.getLogger("django.server").setLevel(logging.WARNING)  # not a line for every picture
            with server:
                _stop_by_ctrl_c(server)
                server.serve_forever()
            self.stdout.write(STOPPED)

    def _fill_when_empty(self, *, years: int, seed: int) -> None:
        if not Client.objects.exists():
            takes = "about a minute and a half for each year, and another" if years else "about a minute"
            self.stdout.write(f"Making the demo salon; this takes {takes}.")
            self.stdout.flush()
            load(self.stdout, years=years, seed=seed)
        elif not is_the_demos():
            raise CommandError(
                "This database holds clients that are not the demo's: the demo doesn't touch it. "
                "Leave DATABASE_URL out, or point it at an empty database."
            )

    def _tell(self) -> None:
        self.stdout.write("The demo salon: everybody in it is invented, and so is all they make and wear.\n\n")
        self.stdout.write(sign_in_table() + "\n\n")
        consult = printable_consult()
        if consult is not None:
            self.stdout.write(f"finished consult: {consult.reference}")
        if not Appointment.objects.filter(starts_at__date=now().date()).exists():
            self.stdout.write("Its days lie around the one on which it was made; --fresh lays them around today.")


def bound_to(port: int) -> ThreadedWSGIServer:
    """A server that holds the port already; CommandError with a sentence when it can't."""
    if not 1 <= port <= 65535:
        raise CommandError(f"{port} is not a port; write a number from 1 to 65535, such as --port 8001.")
    try:
        return ThreadedWSGIServer((HOST, port), WSGIRequestHandler)
    except PermissionError as error:
        raise CommandError(f"Port {port} needs more rights than you have; try --port 8000 or higher.") from error
    except OSError as error:
        raise CommandError(
            f"Port {port} is taken, perhaps by a demo that is still running. Stop that, or choose another port: "
            f"--port {port + 1 if port < 65535 else 8000}."
        ) from error


def _stop_by_ctrl_c(server: ThreadedWSGIServer) -> None:
    """Ask the server to stop; an interrupt that is raised can be lost where Python raises nothing, as in finalisers."""
    signal.signal(signal.SIGINT, lambda *_: Thread(target=server.shutdown).start())


def throw_away() -> None:
    """Delete the demo's own database file and photos; what DATABASE_URL names is its owner's to empty."""
    if not has_own_database():
        raise CommandError("--fresh is for the demo's own database; empty the one that DATABASE_URL names yourself.")
    connections.close_all()
    for file in (settings.DEMO_DATABASE, *(Path(f"{settings.DEMO_DATABASE}{end}") for end in ("-wal", "-shm"))):
        file.unlink(missing_ok=True)
    shutil.rmtree(settings.MEDIA_ROOT, ignore_errors=True)


def has_own_database() -> bool:
    """Whether this is the demo's own database file; a test's is not, whatever the settings said at the start."""
    return str(settings.DATABASES["default"]["NAME"]) == str(settings.DEMO_DATABASE)


def kept_where() -> str:
    if not has_own_database():
        return "what you type is kept in the database that DATABASE_URL names"
    return f"what you type is kept in {settings.DEMO_DATABASE.relative_to(settings.BASE_DIR)}"


def is_the_demos() -> bool:
    """Whether the demo's people work here."""
    names = [person.username for person in PEOPLE]
    return User.objects.filter(username__in=names).count() == len(names)
