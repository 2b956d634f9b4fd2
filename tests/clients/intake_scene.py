"""Clients with a link to their intake, and what they send, for the tests of the deed, its pages and the browser."""

from datetime import date, timedelta

from django.utils.timezone import now

from clients.intaking import Answers, make_intake_link
from tests.factories import ClientFactory, DeskFactory

DRAWN = [[[0.1, 0.2], [0.3, 0.1], [0.5, 0.3]], [[0.6, 0.2], [0.8, 0.22]]]
TOLD = Answers(
    story="It began after the winter.",
    losing_since="last winter",
    chemotherapy="none",
    under_treatment="no",
    reacts="yes",
    substances=("latex", "nickel"),
    reaction="Gloves made my hands itch.",
    medicines="A tender place behind the ear.",
    wishes="To swim again.",
)


def adult(**fields):
    return ClientFactory(given_name="Ada", family_name="Wren", born_on=date(1971, 4, 9), **fields)


def child(**fields):
    return ClientFactory(given_name="Ida", family_name="Wren", born_on=now().date() - timedelta(days=4000), **fields)


def link_of(her, where="home", at=None, by=None):
    """(link, secret)"""
    return make_intake_link(client=her, where=where, by=by or DeskFactory(), at=at or now())
