"""The desk's pages of loans and repairs."""

from datetime import timedelta
from html import unescape

import pytest
from django.urls import reverse
from django.utils.timezone import localdate, now

from fittings.lending import lend
from fittings.models import Loan, Repair
from fittings.owned.loan_views import PAGE_LENGTH
from tests.factories import ClientFactory, DeskFactory
from tests.fittings.factories import OwnedPieceFactory
from tests.pieces.factories import UnitFactory

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)


@pytest.fixture
def desk(client):
    desk = DeskFactory()
    client.force_login(desk)
    return desk


def words(response):
    return " ".join(unescape(response.content.decode()).split())


@pytest.fixture
def look(client, desk):
    def shown(name, *args, **asked):
        return words(client.get(reverse(name, args=args), asked, follow=True))

    return shown


@pytest.fixture
def send(client, desk):
    def sent(name, *args, **fields):
        return words(client.post(reverse(name, args=args), fields, follow=True))

    return sent


def lent(desk, due_in, **her):
    lent_on = localdate() - 20 * DAY
    due = {"lent_on": lent_on, "due_back_on": localdate() + due_in * DAY}
    return lend(client=ClientFactory(**her), unit=UnitFactory(), by=desk, at=now(), **due)


def test_those_overdue_come_first_in_words(desk, look):
    for due_in, name in ((5, "Quill"), (0, "Ockley"), (-1, "Holt"), (-12, "Ashby"), (1, "Tarn")):
        lent(desk, due_in, family_name=name)
    shown = look("loans")
    said = ["12 days overdue", "1 day overdue", "Due today", "Due in 1 day", "Due in 5 days"]
    places = [shown.index(words_) for words_ in said]
    assert places == sorted(places)
    assert shown.index("Ashby") < shown.index("Holt") < shown.index("Ockley")


def test_a_unit_is_lent_until_a_day_and_comes_back_by_one_press(desk, send, look):
    hers, unit = OwnedPieceFactory(), UnitFactory()
    her = hers.client
    assert "selected" in look("loan-new", her.reference, instead=hers.reference)
    day = str(localdate())
    fields = {"unit": unit.number.lower(), "lent_on": day, "due_back_on": day, "instead_of": hers.pk}
    assert f"Unit {unit.number} is lent to" in send("loan-new", her.reference, **fields)
    assert "Meanwhile she wears" in look("owned-piece", hers.reference)
    loan = Loan.objects.get()
    assert "lies in the drawer again" in send("loan-back", loan.pk, how="back", back_on=day)
    assert "kept already" in send("loan-back", loan.pk, how="back", back_on=day)
    assert "No unit is lent" in look("loans")
    assert unit.number in look("loans", show="back")


def test_what_is_wrong_is_said_beside_what_was_typed(desk, send):
    her, out = ClientFactory(), lent(desk, 3)
    shown = send(
        "loan-new", her.reference, unit=out.unit.number, lent_on="2026-13-01", due_back_on="", note="By the door"
    )
    assert 'value="By the door"' in shown
    assert 'value="2026-13-01"' in shown
    day = str(localdate())
    assert "it is with a client" in send("loan-new", her.reference, unit=out.unit.number, lent_on=day, due_back_on=day)
    assert "There is no unit U-NOSUCH" in send("loan-new", her.reference, unit="u-nosuch", lent_on=day, due_back_on=day)
    assert "Press whether it came back or did not." in send("loan-back", out.pk, back_on=day)
    assert "Write the day it came back" in send("loan-back", out.pk, how="back", back_on="soon")
    too_late = str(localdate() + DAY)
    shown = send("loan-back", out.pk, how="back", back_on=too_late)
    assert "write the day it came back, from then to today" in shown
    assert f'value="{too_late}"' in shown
    assert Loan.objects.get().back_on is None


def test_the_list_takes_the_same_queries_however_long(desk, client, queries_for):
    lent(desk, 1)
    few = queries_for(reverse("loans"))
    for _ in range(PAGE_LENGTH + 3):
        lent(desk, 2)
    assert queries_for(reverse("loans")) == few
    assert 'rel="next"' in client.get(reverse("loans")).content.decode()


def test_a_piece_goes_away_and_comes_back_with_what_it_cost(desk, send, look):
    owned, day = OwnedPieceFactory(), str(localdate())
    assert "This field is required" in send("owned-repair", owned.reference, what="A tear", done_by="", sent_on=day)
    send("owned-repair", owned.reference, what="A tear", done_by="The lace mender", sent_on=day)
    shown = look("owned-piece", owned.reference)
    assert "Away since" in shown
    assert "with The lace mender: A tear" in shown
    assert "Away since" in look("client", owned.client.reference)
    assert "take it back first" in send(
        "owned-repair", owned.reference, what="Clips", done_by="The lace mender", sent_on=day
    )
    assert "is not an amount" in send("repair-back", owned.reference, back_on=day, cost_minor="much")
    assert "is back." in send("repair-back", owned.reference, back_on=day, found="Mended", cost_minor="35")
    assert Repair.objects.get().cost_minor == 3500
    assert "£35.00" in look("owned-piece", owned.reference)
    assert "is not away for a repair" in look("repair-back", owned.reference)


def test_who_repaired_last_is_proposed(desk, send, look):
    first, second = OwnedPieceFactory(), OwnedPieceFactory()
    send("owned-repair", first.reference, what="A tear", done_by="The lace mender", sent_on=str(localdate()))
    assert 'value="The lace mender"' in look("owned-repair", second.reference)
