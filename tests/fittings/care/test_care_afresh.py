"""Dates follow a changed house rule or a figure newly learnt, a few at a time, and go on where they were stopped."""

from datetime import timedelta

import pytest
from django.utils.timezone import now

from fittings.care_afresh import waiting_for_it, work_out_afresh
from fittings.models import CareDate, HouseRule, LifeLearnt
from fittings.reminding import send_due
from tests.fittings.factories import OwnedPieceFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def pieces():
    return OwnedPieceFactory.create_batch(3)


def test_those_never_worked_out_come_first_and_then_none_waits(pieces):
    assert work_out_afresh(at=now()) == 3
    assert CareDate.objects.filter(kind="wash").count() == 3
    assert work_out_afresh(at=now()) == 0


def test_a_changed_house_rule_reaches_every_piece(pieces):
    work_out_afresh(at=now())
    HouseRule.objects.create(key="care_check_up_weeks", value=10)
    assert waiting_for_it().count() == 3
    assert work_out_afresh(at=now()) == 3
    assert not waiting_for_it().exists()


def test_a_rule_that_no_care_rests_on_reaches_none(pieces):
    work_out_afresh(at=now())
    HouseRule.objects.create(key="margin_mm", value=20)
    assert not waiting_for_it().exists()


def test_so_does_a_figure_newly_learnt(pieces):
    work_out_afresh(at=now())
    LifeLearnt.objects.create(fibre="human", pieces=20, ended=14, median_days=240, learnt_at=now())
    assert work_out_afresh(at=now()) == 3


def test_stopped_and_cut_short_it_goes_on_where_it_was(pieces):
    answers = iter([False, True])
    assert work_out_afresh(at=now(), stop=lambda: next(answers)) == 1
    assert work_out_afresh(at=now(), at_most=1) == 1
    assert work_out_afresh(at=now()) == 1


def test_the_sender_of_messages_runs_it(pieces):
    assert send_due(at=now()).worked_out == 3


def test_pieces_that_ended_or_whose_client_is_gone_do_not_wait(pieces):
    ended, erased, _ = pieces
    ended.until, ended.ended, ended.ended_by, ended.ended_at = now().date(), "lost", ended.begun_by, now()
    ended.save()
    erased.client.erased_at = now() - timedelta(days=1)
    erased.client.save()
    assert work_out_afresh(at=now()) == 1
