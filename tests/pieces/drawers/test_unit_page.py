"""The page of one unit: its ledger, and the moves that are offered where it lies; each refused in a sentence."""

from datetime import timedelta
from html import unescape

import pytest
from django.urls import reverse
from django.utils.timezone import now

from pieces.drawers.moves import MOVES
from pieces.models import StockMovement, Unit
from pieces.selling import LineAsked
from pieces.stock import keep_apart, release_unit, reserve_unit, send_to_be_cleaned, write_off
from tests.factories import ClientFactory, DeskFactory, OwnerFactory, StylistFactory
from tests.pieces.factories import SaleFactory, UnitFactory

pytestmark = pytest.mark.django_db


def text_of(response):
    assert response.status_code == 200, response.status_code
    return unescape(response.content.decode())


def page_of(client, unit):
    return text_of(client.get(reverse("unit", args=[unit.number])))


def press(client, unit, slug, **sent):
    return text_of(client.post(reverse(f"unit-{slug}", args=[unit.number]), sent, follow=True))


def lying(state):
    """A unit that lies there, brought there by its moves."""
    unit, by = UnitFactory(), OwnerFactory()
    {
        "drawer": lambda: None,
        "reserved": lambda: reserve_unit(unit=unit, by=by),
        "cleaning": lambda: send_to_be_cleaned(unit=unit, by=by),
        "kept apart": lambda: keep_apart(unit=unit, because="Seal broken", by=by),
        "gone": lambda: write_off(unit=unit, because="Torn", by=by),
    }[state]()
    unit.refresh_from_db()
    return unit


@pytest.mark.parametrize(
    ("state", "offered"),
    [
        ("drawer", {"clean", "apart", "write-off"}),
        ("reserved", {"release"}),
        ("cleaning", {"cleaned", "apart", "write-off"}),
        ("kept apart", {"clean", "let-in", "write-off"}),
        ("gone", set()),
    ],
)
def test_a_unit_is_offered_what_it_can_do_where_it_lies_and_the_owner_alone_writes_off(client, state, offered):
    unit = lying(state)
    for role, hers in ((OwnerFactory, offered), (StylistFactory, offered - {"write-off"})):
        client.force_login(role())
        page = page_of(client, unit)
        addresses = {move.slug for move in MOVES if reverse(move.name, args=[unit.number]) in page}
        assert addresses == hers
        assert (reverse("unit-purpose", args=[unit.number]) in page) == (
            role is OwnerFactory and state in {"drawer", "cleaning", "kept apart"}
        )


@pytest.mark.parametrize(
    ("state", "slug", "to", "says"),
    [
        ("reserved", "release", "drawer", "is back in the drawer."),
        ("drawer", "clean", "cleaning", "is to be cleaned."),
        ("cleaning", "cleaned", "drawer", "is clean, in the drawer."),
        ("kept apart", "let-in", "drawer", "is back in the drawer."),
        ("drawer", "apart", "kept apart", "is kept apart."),
        ("cleaning", "write-off", "gone", "is written off."),
    ],
)
def test_a_press_moves_it_and_the_ledger_says_so(owner, state, slug, to, says):
    unit = lying(state)
    page = press(owner, unit, slug, because="Looked at by the window")
    assert f"Unit {unit.number} {says}" in page
    unit.refresh_from_db()
    last = unit.movements.first()
    assert (unit.state, last.to_state) == (to, to)
    if slug in {"apart", "write-off"}:
        assert "“Looked at by the window”" in page


@pytest.mark.parametrize("slug", ["apart", "write-off"])
@pytest.mark.parametrize(
    ("because", "says"),
    [("", "Write why"), ("   ", "Write why"), ("x" * 241, "at most 240"), ("a\x00b", "Null characters")],
)
def test_a_move_that_wants_a_reason_keeps_what_was_typed_and_moves_nothing(owner, slug, because, says):
    unit = lying("drawer")
    page = press(owner, unit, slug, because=because)
    assert says in page
    if because.startswith("x"):
        assert f'value="{because}"' in page
    unit.refresh_from_db()
    assert (unit.state, unit.movements.count()) == ("drawer", 1)


def test_what_cant_be_is_said_with_what_was_typed_still_there(owner):
    unit = lying("gone")
    page = press(owner, unit, "apart", because="Seal broken")
    assert f"Unit {unit.number} can't be kept apart: it is written off." in page
    assert 'value="Seal broken"' in page
    assert "can't be cleaned: it is written off." in press(owner, unit, "clean")
    assert unit.movements.count() == 2


def test_pressing_twice_moves_once(owner):
    unit = lying("drawer")
    press(owner, unit, "clean")
    assert "can't be cleaned: it is being cleaned." in press(owner, unit, "clean")
    assert unit.movements.count() == 2


def test_what_it_is_for_is_changed_while_it_is_here_and_free(owner):
    unit = lying("drawer")
    assert f"Unit {unit.number} is for trying on now." in press(owner, unit, "purpose", purpose="try-on")
    assert Unit.objects.get().purpose == "try-on"
    assert Unit.history.first().history_user.has_perm("pieces.change_unit")
    assert "Press what it is meant for." in press(owner, unit, "purpose", purpose="gift")
    reserve_unit(unit=unit, by=OwnerFactory())
    assert "can't be changed: it is set aside" in press(owner, unit, "purpose", purpose="sale")
    assert Unit.objects.get().purpose == "try-on"


def test_a_unit_in_a_sale_is_put_back_by_cancelling_the_sale_alone(client):
    unit = UnitFactory()
    sale = SaleFactory(lines=[LineAsked(unit=unit)])
    client.force_login(DeskFactory())
    refusal = (
        f"Unit {unit.number} can't be put back: it stands in sale {sale}; "
        "hand it over or take it out there, or cancel that sale."
    )
    assert refusal in press(client, unit, "release")
    unit.refresh_from_db()
    assert unit.state == "reserved"


def test_putting_back_takes_it_from_whoever_it_was_set_aside_for():
    unit, by = UnitFactory(), OwnerFactory()
    reserve_unit(unit=unit, client=ClientFactory(), by=by)
    assert release_unit(unit=unit, by=by, at=now()).reserved_for is None


def test_the_ledger_tells_each_move_with_whom_it_was_for(owner):
    unit, ada, by = UnitFactory(), ClientFactory(), OwnerFactory()
    reserve_unit(unit=unit, client=ada, visit="F-7K2M9QAV", by=by)
    page = page_of(owner, unit)
    assert f'for <a href="{ada.get_absolute_url()}">{ada}</a>, visit <code>F-7K2M9QAV</code>' in page
    assert f"by {by}" in page


def test_the_ledger_goes_page_by_page_and_takes_the_same_queries_for_many_moves(owner, queries_for):
    unit, by, at = UnitFactory(), OwnerFactory(), now()
    address = reverse("unit", args=[unit.number])

    def move(times):
        for turn in range(times):
            reserve_unit(unit=unit, client=ClientFactory(), by=by, at=at + timedelta(minutes=turn))
            release_unit(unit=unit, by=by, at=at + timedelta(minutes=turn, seconds=30))

    move(2)
    few = queries_for(address, by=owner)
    move(20)
    assert queries_for(address, by=owner) == few
    shown = owner.get(address + "?page=3").context["movements"]
    assert (shown.number, StockMovement.objects.count()) == (3, 45)


def test_a_label_leads_to_its_unit_and_one_of_nothing_nowhere(client):
    unit = UnitFactory()
    client.force_login(StylistFactory())
    assert client.get(reverse("label", args=[unit.number])).url == reverse("unit", args=[unit.number])
    assert client.get("/u/U-00000000/").status_code == 404
    client.logout()
    assert client.get(reverse("label", args=[unit.number])).url.startswith(reverse("sign-in"))
