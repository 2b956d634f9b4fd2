"""Painting one head twice: what begins it, what is stored, what is refused."""

from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils.timezone import now

from clients.consenting import withdraw_consent
from clients.models import Consent, Repainting
from clients.repainting import begin_repainting, drop_repainting, keep_painting, painted_lately
from clients.scalp.comparing import map_change
from clients.scalp.head import Head
from clients.scalp.loss_map import LossMap
from tests.factories import StylistFactory
from tests.fittings.over_time.visits_over_time import examined, round_loss

pytestmark = pytest.mark.django_db

FIRST, SECOND = round_loss(40), round_loss(44, remaining=30)


@pytest.fixture
def stylist():
    return StylistFactory()


def begun(stylist, **how):
    return begin_repainting(by=stylist, at=now(), **({"pattern": "top-2"} | how))


def paint(repainting, loss_map, stylist):
    return keep_painting(repainting=repainting, density_hex=loss_map.to_hex(), by=stylist, at=now())


def test_an_example_is_painted_twice_and_only_then_finished(stylist):
    one = paint(begun(stylist), FIRST, stylist)
    assert (one.is_finished, one.first_hex, one.second_hex) == (False, FIRST.to_hex(), "")
    one = paint(one, SECOND, stylist)
    assert one.is_finished
    change = map_change(FIRST, SECOND, Head.from_tapes())
    stored = LossMap.from_hex(one.second_hex)
    assert stored == LossMap.from_hex(SECOND.to_hex())
    assert one.salt_difference == pytest.approx(change.salt_points, abs=0.05)
    assert one.area_difference_cm2 == pytest.approx(change.thin_cm2, abs=1.0)


def test_a_map_she_has_just_painted_is_the_first_of_a_client_s_pair(stylist):
    client = examined(FIRST, stylist=stylist)
    assessment = client.assessments.get()
    one = begun(stylist, pattern="", assessment=assessment)
    assert one.first_hex == assessment.density_hex
    assert paint(one, SECOND, stylist).is_finished


def test_maps_of_others_old_ones_and_drafts_do_not_serve(stylist):
    hers, others = examined(FIRST, stylist=stylist), examined(FIRST)
    assert [one.client for one in painted_lately(by=stylist, at=now())] == [hers]
    assert painted_lately(by=stylist, at=now() + timedelta(days=14)) == []
    with pytest.raises(ValidationError, match="you painted it yourself and signed it within the last 14 days"):
        begun(stylist, pattern="", assessment=others.assessments.get())
    with pytest.raises(ValidationError, match="within the last 14 days"):
        begin_repainting(by=stylist, at=now() + timedelta(days=15), assessment=hers.assessments.get())


def test_a_client_who_took_her_consent_back_is_not_painted(stylist):
    client = examined(FIRST, stylist=stylist)
    one = begun(stylist, pattern="", assessment=client.assessments.get())
    withdraw_consent(consent=Consent.objects.get(client=client), by=stylist, at=now())
    with pytest.raises(ValidationError, match="has not agreed"):
        paint(one, SECOND, stylist)
    with pytest.raises(ValidationError, match="has not agreed"):
        begun(stylist, pattern="", assessment=client.assessments.get())


@pytest.mark.parametrize("pattern", ["", "no-such"])
def test_an_example_is_one_of_those_there_are(stylist, pattern):
    with pytest.raises(ValidationError, match="Choose the head to paint"):
        begun(stylist, pattern=pattern)


def test_an_empty_sheet_and_what_is_no_map_are_refused_and_store_nothing(stylist):
    one = begun(stylist)
    with pytest.raises(ValidationError, match="Nothing is painted yet"):
        paint(one, LossMap.full(), stylist)
    with pytest.raises(ValidationError, match="can't be read"):
        keep_painting(repainting=one, density_hex="ff", by=stylist, at=now())
    one.refresh_from_db()
    assert one.first_hex == ""


def test_the_same_hand_paints_both_times(stylist):
    one = paint(begun(stylist), FIRST, stylist)
    with pytest.raises(ValidationError, match="The same hand paints both times"):
        paint(one, SECOND, StylistFactory())
    with pytest.raises(ValidationError, match="The same hand"):
        drop_repainting(repainting=one, by=StylistFactory())


def test_an_unfinished_one_can_be_dropped_and_a_finished_one_not(stylist):
    one = paint(begun(stylist), FIRST, stylist)
    drop_repainting(repainting=one, by=stylist)
    assert not Repainting.objects.exists()
    with pytest.raises(ValidationError, match="has been dropped"):
        paint(one, SECOND, stylist)
    done = paint(paint(begun(stylist), FIRST, stylist), SECOND, stylist)
    with pytest.raises(ValidationError, match="Both paintings of this head are done"):
        drop_repainting(repainting=done, by=stylist)
    with pytest.raises(ValidationError, match="Both paintings of this head are done"):
        paint(done, FIRST, stylist)


def test_the_database_refuses_a_head_of_nobody_and_one_of_two(stylist):
    client = examined(FIRST, stylist=stylist)
    for whose in ({"pattern": ""}, {"pattern": "top-2", "assessment": client.assessments.get()}):
        with pytest.raises(IntegrityError, match="repainting_of_a_client_or_an_example"), transaction.atomic():
            Repainting.objects.create(painted_by=stylist, begun_at=now(), **whose)
