"""The desk's list of what falls due: whom it names, in which order, and that she was told."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils.formats import date_format
from django.utils.timezone import localdate, now

from fittings.caring import mark_told, take_back_told
from fittings.messages.wanted import care_told_as
from fittings.models import CareDate
from tests.factories import ClientFactory, DeskFactory, OwnerFactory, StylistFactory
from tests.fittings.factories import AppointmentFactory, OwnedPieceFactory, ServiceKindFactory
from tests.fittings.messages.factories import ReminderFactory

pytestmark = pytest.mark.django_db

DUE = reverse("care-due")


@pytest.fixture
def desk(client):
    somebody = DeskFactory()
    client.force_login(somebody)
    return somebody


def falls_due(days, kind="check-up", **whose):
    owned = whose.pop("owned", None) or OwnedPieceFactory(**whose)
    return CareDate.objects.create(
        owned_piece=owned, kind=kind, due_on=localdate() + timedelta(days=days), worked_out_on=localdate()
    )


def shown(response):
    return [row.care_date for week in response.context["page"].weeks for row in week.rows]


def test_the_longest_overdue_first_and_then_by_week(client, desk):
    monday = localdate() + timedelta(days=7 - localdate().weekday())
    in_a_week = falls_due((monday - localdate()).days + 1)
    long_ago, lately = falls_due(-40), falls_due(-1)
    falls_due(29)  # not yet
    page = client.get(DUE)
    assert shown(page) == [long_ago, lately, in_a_week]
    assert [week.begins for week in page.context["page"].weeks] == [None, monday]
    said = page.content.decode()
    assert "Overdue" in said
    assert "40 days" in said


def test_it_names_her_her_phone_her_piece_and_what(client, desk):
    row = falls_due(3, kind="tape")
    said = client.get(DUE).content.decode()
    for words in (str(row.owned_piece.client), row.owned_piece.client.phone, "Heron Weir", "New tape"):
        assert words in said


def test_one_kind_alone(client, desk):
    falls_due(3, kind="wash")
    tape = falls_due(4, kind="tape")
    assert shown(client.get(DUE, {"kind": "tape"})) == [tape]
    assert len(shown(client.get(DUE, {"kind": "no such kind"}))) == 2


def test_an_expected_end_is_shown_only_where_it_is_asked_for(client, desk):
    end = falls_due(3, kind="replace")
    assert shown(client.get(DUE)) == []
    assert shown(client.get(DUE, {"kind": "replace"})) == [end]


def test_whoever_was_told_or_is_no_client_any_more_is_not_on_it(client, desk):
    mark_told(care_date=falls_due(1), by=desk, at=now())
    gone = ClientFactory(record_consent=True)
    falls_due(1, client=gone)
    gone.erased_at = now()
    gone.save()
    page = client.get(DUE)
    assert shown(page) == []
    assert "falls due in the next four weeks" in page.content.decode()


@pytest.mark.parametrize("told", ["yes", "no"])
def test_a_date_worked_out_anew_while_it_was_pressed_is_gone_and_said_so(client, desk, monkeypatch, told):
    for deed in (mark_told, take_back_told):

        def too_late(deed=deed, **said):
            CareDate.objects.all().delete()
            return deed(**said)

        monkeypatch.setattr(f"fittings.care_pages.due_views.{deed.__name__}", too_late)
    pressed = client.post(reverse("care-told", args=[falls_due(1).pk]), {"told": told}, follow=True)
    assert "That date is gone" in pressed.content.decode()
    swapped = client.post(reverse("care-told", args=[falls_due(1).pk]), {"told": "yes"}, HTTP_HX_REQUEST="true")
    assert "That date is gone" in swapped.content.decode()
    assert "Undo" not in swapped.content.decode()


def test_pages_follow_each_other_by_key_without_losing_one(client, desk, monkeypatch):
    monkeypatch.setattr("fittings.care_pages.due_views.A_PAGE", 3)
    rows = [falls_due(day) for day in (1, 2, 2, 2, 2, 3, 3)]
    seen, after = [], ""
    for _ in range(3):
        page = client.get(DUE, {"after": after})
        seen += shown(page)
        after = page.context["page"].next_key
    assert seen == rows
    assert after == ""


@pytest.mark.parametrize("key", ["~", "2026-03-02", "2026-13-02~1", "x~y", "2026-03-02~" + "9" * 60, "\x00"])
def test_a_key_that_is_none_shows_a_page(client, desk, key):
    falls_due(1)
    assert client.get(DUE, {"after": key}).status_code == 200


def test_what_is_booked_and_sent_already_is_said(client, desk):
    row = falls_due(3)
    AppointmentFactory(client=row.owned_piece.client, starts_at=now() + timedelta(days=9))
    soonest = AppointmentFactory(client=row.owned_piece.client, starts_at=now() + timedelta(days=2))
    ReminderFactory(
        appointment=None,
        client=row.owned_piece.client,
        owned_piece=row.owned_piece,
        kind="care",
        about=care_told_as(row),
        state="sent",
        sent_at=now(),
    )
    found = client.get(DUE).context["page"].weeks[0].rows[0]
    assert (found.coming, found.message.state) == (soonest, "sent")


def test_booking_is_offered_for_her_and_for_the_kind_of_visit(client, desk):
    check_up = ServiceKindFactory(name="Check-up", purpose="check-up")
    ServiceKindFactory(name="Old check-up", purpose="check-up", is_offered=False)
    row = falls_due(3)
    book = f"{reverse('appointment-new')}?client={row.owned_piece.client.reference}&amp;kind={check_up.pk}"
    said = client.get(DUE).content.decode()
    assert book in said
    form = client.get(book.replace("&amp;", "&")).context["form"]
    assert form["kind"].value() in (check_up.pk, str(check_up.pk))


@pytest.mark.parametrize("query", ["", "?kind=order&print=yes"])
def test_the_queries_are_as_many_for_one_row_as_for_twenty(client, desk, queries_for, query):
    falls_due(1, kind="order")
    few = queries_for(DUE + query)
    for day in range(19):
        row = falls_due(day % 5, kind="order")
        AppointmentFactory(client=row.owned_piece.client)
    assert queries_for(DUE + query) == few


def test_nothing_of_how_she_wears_it_is_on_the_list(client, desk):
    row = falls_due(3)
    row.rests_on = {"grounds": [{"says": "Worn 7 days a week", "source": "told"}]}
    row.save()
    assert "7 days a week" not in client.get(DUE).content.decode()


# Told


def test_told_goes_off_the_list_and_undo_brings_it_back(client, desk):
    row = falls_due(3)
    address = reverse("care-told", args=[row.pk])
    page = client.post(address, {"told": "yes", "kind": "check-up", "after": ""}, follow=True)
    row.refresh_from_db()
    assert (row.told_by, shown(page)) == (desk, [])
    assert "Undo" in page.content.decode()
    assert page.redirect_chain[0][0] == f"{DUE}?kind=check-up&told={row.pk}"
    again = client.post(address, {"told": "no"}, follow=True)
    assert shown(again) == [row]


def test_by_a_swap_the_row_says_so_in_its_place(client, desk):
    row = falls_due(3)
    part = client.post(reverse("care-told", args=[row.pk]), {"told": "yes"}, headers={"HX-Request": "true"})
    said = part.content.decode()
    assert said.lstrip().startswith("<li")
    assert "Told" in said


# To order


def test_the_list_of_what_to_order_for_paper(client):
    client.force_login(OwnerFactory())
    row = falls_due(-2, kind="order")
    falls_due(60, kind="replace", owned=row.owned_piece)
    falls_due(1, kind="wash")
    page = client.get(DUE, {"kind": "order", "print": "yes"})
    said = page.content.decode()
    assert shown(page) == [row]
    variant = row.owned_piece.unit.variant
    ends = localdate() + timedelta(days=60)
    for words in (row.owned_piece.client.reference, str(variant.shade), variant.piece.name, date_format(ends, "j M Y")):
        assert words in said


def test_a_stylist_sees_it_too(client):
    client.force_login(StylistFactory())
    assert client.get(DUE).status_code == 200
