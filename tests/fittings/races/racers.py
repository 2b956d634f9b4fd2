"""Real processes that do a deed at the same moment, each with its own connection to the tests' database.

They are forked from a clean process that has imported this module and nothing else, so that fifty of them are there
within seconds; they stay for all rounds, and meet at a barrier before each.
"""

import multiprocessing
from importlib import import_module
from typing import NamedTuple

import django
from django.apps import apps

if not apps.ready:  # in the process that the racers are forked from, this module is what comes first
    django.setup()

from django.core.exceptions import ValidationError  # models can't be imported before the set-up
from django.db import connection  # as above

from clients import merging  # as above  # noqa: F401  # forked with them
from clients.models import Client  # as above
from fittings import booking, caring, checking, correcting, owning  # as above  # noqa: F401  # forked with them
from fittings.models import Appointment, ConditionCheck, OwnedPiece, Place, ServiceKind  # as above
from pieces import counting, keeping_catalogue, paying, returning, selling, stock  # as above  # noqa: F401  # forked with them
from pieces.models import Maker, OrderLine, Payment, Piece, ReturnReason, Sale, SaleLine, Stocktake, Unit  # as above
from salon.models import Salon, User  # as above

PATIENCE = 120  # seconds: a racer that has not answered by then hangs
KEPT = {
    "client": Client,
    "keep": Client,
    "gone": Client,
    "kind": ServiceKind,
    "stylist": User,
    "place": Place,
    "by": User,
    "appointment": Appointment,
    "unit": Unit,
    "owned": OwnedPiece,
    "one": OwnedPiece,
    "other": OwnedPiece,
    "corrects": ConditionCheck,
    "entry": ConditionCheck,
    "salon": Salon,
    "sale": Sale,
    "exchanged_for": Sale,
    "line": SaleLine,
    "payment": Payment,
    "deposit": Payment,
    "reason": ReturnReason,
    "order_line": OrderLine,
    "maker": Maker,
    "piece": Piece,
    "of": Piece,
    "stocktake": Stocktake,
}


class Outcome(NamedTuple):
    what: str  # done, refused or broke
    says: str = ""
    codes: tuple = ()
    nearest: int = 0
    gave: object = None  # what the deed gave back, where that is a plain word


class Racers:
    """So many processes; `race` sends each its own deed and gathers what became of it."""

    def __init__(self, count):
        context = multiprocessing.get_context("forkserver")
        context.set_forkserver_preload([__name__])
        barrier = context.Barrier(count)
        self.ends, self.processes = [], []
        for _ in range(count):
            ours, theirs = context.Pipe()
            process = context.Process(
                target=_racer, args=(connection.settings_dict["NAME"], barrier, theirs), daemon=True
            )
            process.start()
            theirs.close()
            self.ends.append(ours)
            self.processes.append(process)
        for end in self.ends:
            assert _received(end) == "ready"

    def race(self, deeds):
        """`deeds`: one for each racer, as its name (with its module, where that is not `booking`, and the folder's
        too where that is not `fittings`) and its arguments, records as their keys."""
        for end, deed in zip(self.ends, deeds, strict=True):
            end.send(deed)
        return [_received(end) for end in self.ends]

    def go_home(self):
        for end in self.ends:
            end.send(None)
        for process in self.processes:
            process.join(PATIENCE)
            assert process.exitcode == 0, f"a racer ended with {process.exitcode}"


def _received(end):
    assert end.poll(PATIENCE), f"a racer has not answered for {PATIENCE} s"
    return end.recv()


def _racer(database, barrier, end):
    connection.settings_dict["NAME"] = database
    end.send("ready")
    for name, arguments in iter(end.recv, None):
        module, _, own_name = name.rpartition(".")
        deed = getattr(import_module(module if "." in module else f"fittings.{module or 'booking'}"), own_name)
        wanted = {
            key: KEPT[key].objects.get(pk=value) if key in KEPT and value is not None else value
            for key, value in arguments.items()
        }
        barrier.wait(PATIENCE)
        end.send(_outcome(deed, wanted))
    connection.close()


def _outcome(deed, wanted):
    try:
        gave = deed(**wanted)
    except booking.BookingRefused as refusal:
        codes = tuple(obstacle.code for obstacle in refusal.obstacles)
        return Outcome("refused", " ".join(refusal.messages), codes, len(refusal.nearest))
    except ValidationError as refusal:
        return Outcome("refused", " ".join(refusal.messages))
    except Exception as trouble:  # whatever it is, the test has to hear of it
        return Outcome("broke", repr(trouble))
    return Outcome("done", gave=gave if isinstance(gave, bool) else None)
