"""A client examined several times, and heads painted twice, for the tests of hair over time."""

from datetime import timedelta

from django.utils.timezone import now

from clients.assessing import begin_assessment, save_map, save_tapes, sign_off
from clients.models import Repainting
from clients.scalp.head import Head
from clients.scalp.loss_map import LossMap
from fittings.models import HouseRule
from tests.factories import ClientFactory, StylistFactory
from tests.fittings.visits import thin_crown

TAPES = {"circumference_mm": 559, "front_to_nape_mm": 356, "ear_to_ear_mm": 343}
HEAD = Head.from_tapes(**TAPES)
FULL = LossMap.full()


def round_loss(radius_mm, *, middle_mm=170.0, remaining=15.0):
    """As it is read back from where it is kept, in whole percent."""
    painted = thin_crown(HEAD, middle_mm=middle_mm, radius_mm=radius_mm, remaining=remaining)
    return LossMap.from_hex(painted.to_hex())


def examined(*maps, client=None, stylist=None, tapes=TAPES, days_apart=100):
    """A client with one signed assessment for each map, oldest first, the last one signed today."""
    stylist = stylist or StylistFactory()
    client = client or ClientFactory(record_consent=True)
    for number, loss_map in enumerate(maps):
        at = now() - timedelta(days=days_apart * (len(maps) - 1 - number), minutes=1)
        draft = begin_assessment(client=client, stylist=stylist, at=at)
        draft = save_tapes(assessment=draft, revision=draft.revision, by=stylist, **tapes)
        draft = save_map(assessment=draft, revision=draft.revision, by=stylist, density_hex=loss_map.to_hex())
        sign_off(assessment=draft, by=stylist, at=at)
    return client


def painted_twice(count=5, *, share=1.0, area=4.0, by=None):
    """So many finished pairs whose paintings lie this far apart."""
    by, at = by or StylistFactory(), now()
    thin, thinner = round_loss(30).to_hex(), round_loss(32).to_hex()
    for number in range(count):
        sign = 1 if number % 2 else -1
        Repainting.objects.create(
            pattern="top-2",
            painted_by=by,
            begun_at=at,
            first_hex=thin,
            second_hex=thinner,
            finished_at=at,
            salt_difference=sign * share,
            area_difference_cm2=sign * area,
        )


def numbers():
    return HouseRule.objects.current()
