"""A visit of a client who owns a piece of a known fibre, and the services of it, logged by their deed."""

from django.utils.timezone import localdate, now

from fittings.serving import do_planned, log_service
from salon.models import Salon
from tests.fittings.factories import OwnedPieceFactory
from tests.fittings.test_candidates import clipped_base
from tests.fittings.visits import signed_off_visit
from tests.pieces.factories import PieceFactory, UnitFactory, VariantFactory

CLIPS = [{"u_mm": 12, "v_mm": 0, "length_mm": 30}, {"u_mm": 100, "v_mm": 45, "length_mm": 30}]


def owned_by(fitting, *, fibre="human", clips=CLIPS, **made):
    variant = VariantFactory(piece=PieceFactory(base=clipped_base(), fibre=fibre, **made))
    unit = UnitFactory(variant=variant, state="with client")
    return OwnedPieceFactory(client=fitting.client, unit=unit, clips=[dict(clip) for clip in clips])


def visit_and_piece(**made):
    fitting = signed_off_visit()
    return fitting, owned_by(fitting, **made)


def said(fitting, facts=None, details=None, **more):
    return {
        "facts": facts or {},
        "details": details or {},
        "salon": Salon.objects.default(),
        "by": fitting.stylist,
        "at": now(),
        "on": localdate(),
    } | more


def log(fitting, kind, facts=None, details=None, **more):
    apart = {name: more.pop(name) for name in ("corrects", "because", "once") if name in more}
    return log_service(fitting=fitting, kind=kind, **apart, **said(fitting, facts, details, **more))


def do(service, facts=None, details=None, **more):
    return do_planned(service=service, **said(service.fitting, facts, details, **more))
