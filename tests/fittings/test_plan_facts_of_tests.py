"""What the rules are told of skin tests: of any product, or of the one that a service names."""

from datetime import timedelta

import pytest
from django.utils.timezone import now

from clients.skin_testing import read_skin_test
from fittings.house_numbers import start_numbers
from fittings.models import Service
from fittings.plan_facts import has_clear_test, health_facts
from tests.factories import ClientFactory, SkinTestFactory, StylistFactory
from tests.fittings.visits import signed_off_visit

pytestmark = pytest.mark.django_db


def read_clear(client, at, **fields):
    test = SkinTestFactory(client=client, at=at - timedelta(hours=48), **fields)
    return read_skin_test(test=test, reacted=False, by=test.applied_by, at=at)


def facts(client, at, product=None):
    if product is None:
        found = health_facts(client, at=at, numbers=start_numbers())
        return found.adhesive_test_read, found.allergy_test_read
    asked = {"at": at, "numbers": start_numbers(), "product": product}
    return has_clear_test(client, "adhesive", **asked), has_clear_test(client, "colour", **asked)


def test_a_test_of_another_product_counts_only_where_no_product_is_named():
    her, at = ClientFactory(record_consent=True), now()
    read_clear(her, at, product="Soft tape no. 3")
    assert facts(her, at) == (True, False)
    assert facts(her, at, "soft tape NO. 3") == (True, False)
    assert facts(her, at, "Firm tape") == (False, False)


def test_a_product_is_asked_about_in_one_query(django_assert_num_queries):
    her, at = ClientFactory(record_consent=True), now()
    with django_assert_num_queries(4):  # consents, two kinds of test, reactions
        facts(her, at)
    with django_assert_num_queries(2):  # two kinds of test
        facts(her, at, "Firm tape")


@pytest.mark.parametrize(("days", "counts"), [(0, True), (6.99, True), (7, False)])
def test_an_allergy_alert_test_counts_for_its_window(days, counts):
    her, at = ClientFactory(record_consent=True), now()
    read_clear(her, at, kind="colour", product="Cream colour")
    assert facts(her, at + timedelta(days=days))[1] is counts


def test_an_allergy_alert_test_counts_for_one_colouring_and_a_tape_test_for_many():
    # “before each use”: label wording of oxidative dyes, Regulation (EC) 1223/2009 Annex III (READ)
    at = now()
    fitting = signed_off_visit()
    her, stylist = fitting.client, StylistFactory()
    read_clear(her, at - timedelta(days=4), kind="colour", product="Cream colour")
    read_clear(her, at - timedelta(days=4))
    coloured = Service.objects.create(
        fitting=fitting,
        kind="colour",
        facts={"colour_touches_skin": True},
        planned_by=stylist,
        done_by=stylist,
        done_at=at,
    )
    assert facts(her, at + timedelta(minutes=1)) == (True, True), "colour and tone of one day are one colouring"
    Service.objects.filter(pk=coloured.pk).update(done_at=at - timedelta(days=2))
    assert facts(her, at) == (True, False)
    read_clear(her, at, kind="colour", product="Cream colour")
    assert facts(her, at) == (True, True), "and a new test clears the next"


@pytest.mark.parametrize("told", [{"colour_touches_skin": False}, {}])
def test_a_piece_coloured_off_her_head_uses_no_test_up(told):
    at = now()
    fitting, stylist = signed_off_visit(), StylistFactory()
    read_clear(fitting.client, at - timedelta(days=4), kind="colour", product="Cream colour")
    Service.objects.create(
        fitting=fitting,
        kind="colour",
        facts=told,
        planned_by=stylist,
        done_by=stylist,
        done_at=at - timedelta(days=2),
    )
    assert has_clear_test(fitting.client, "colour", at=at, numbers=start_numbers())
