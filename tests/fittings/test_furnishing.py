"""Adding and changing places and kinds of visit, and who does which, as an owner does before the first booking."""

import pytest
from django.core.exceptions import ValidationError
from django.core.management import CommandError, call_command

from fittings.furnishing import (
    add_kind_of_visit,
    add_place,
    change_kind_of_visit,
    change_place,
    choose_what_she_does,
)
from fittings.models import Place, Purpose, ServiceKind
from salon.making_users import end_access
from tests.factories import OwnerFactory, StylistFactory
from tests.fittings.factories import AppointmentFactory, ServiceKindFactory

pytestmark = pytest.mark.django_db


def signed(row):
    """Who stands in the record's history, the newest first."""
    return [version.history_user for version in row.history.all()]


# Places


def test_a_place_is_named_once():
    assert add_place(name=" Quiet  room ", sort="room").name == "Quiet room"
    with pytest.raises(ValidationError, match="There is a place of that name already"):
        add_place(name="Quiet room")
    with pytest.raises(ValidationError, match="There is a place of that name already"):
        add_place(name="quiet ROOM")


def test_a_place_goes_out_of_use_and_keeps_its_visits():
    owner, visit = OwnerFactory(), AppointmentFactory()
    change_place(place=visit.place, is_in_use=False, by=owner)
    assert not Place.objects.in_use().exists()
    visit.refresh_from_db()
    assert visit.state == "booked"
    assert signed(visit.place)[0] == owner


def test_a_change_to_nothing_leaves_no_trace():
    place = add_place(name="Chair 1")
    change_place(place=place, name="Chair  1", sort="chair", by=OwnerFactory())
    assert signed(place) == [None]


# Kinds of visit


@pytest.mark.parametrize("minutes", [4, 601])
def test_a_visit_takes_between_five_and_six_hundred_minutes(minutes):
    with pytest.raises(ValidationError, match="A visit takes between 5 and 600 minutes"):
        add_kind_of_visit(name="Consult", minutes=minutes)


@pytest.mark.parametrize(
    ("purpose", "held"), [("consult", ("room",)), ("wash", ("basin",)), ("other", ("room", "chair", "basin"))]
)
def test_a_new_kind_is_held_where_its_purpose_usually_is(purpose, held):
    assert add_kind_of_visit(name="A kind", minutes=30, purpose=purpose).place_sorts == held


def test_where_a_new_kind_is_held_can_be_said():
    kind = add_kind_of_visit(name="Consult", minutes=30, purpose="consult", in_private_room=False, at_chair=True)
    assert kind.place_sorts == ("chair", "basin")
    with pytest.raises(ValidationError, match="A visit is held in a private room, at a chair or at a basin"):
        change_kind_of_visit(kind=kind, at_chair=False, at_basin=False, by=OwnerFactory())


def test_a_purpose_that_is_none_is_refused():
    with pytest.raises(ValidationError, match="not a valid choice"):
        add_kind_of_visit(name="A kind", minutes=30, purpose="tea")
    assert not ServiceKind.objects.exists()


def test_what_is_booked_keeps_its_length_when_the_kind_changes():
    owner, visit = OwnerFactory(), AppointmentFactory()
    ended = visit.ends_at
    change_kind_of_visit(kind=visit.kind, minutes=30, is_offered=False, by=owner)
    visit.refresh_from_db()
    assert visit.ends_at == ended
    assert visit.kind.minutes == 30
    assert not ServiceKind.objects.offered().exists()
    assert signed(visit.kind)[0] == owner


def test_every_purpose_has_usual_places():
    for purpose in Purpose.values:
        assert add_kind_of_visit(name=purpose, minutes=30, purpose=purpose).place_sorts


# Who does which


def test_everybody_named_is_kept_as_nobody_so_that_newcomers_do_it_too():
    owner, imke, noor = OwnerFactory(), StylistFactory(), StylistFactory()
    kind = add_kind_of_visit(name="Consult", minutes=90, done_by=[imke, noor], by=owner)
    assert set(kind.done_by.all()) == {imke, noor}  # the owner, who may hold visits too, is not named
    change_kind_of_visit(kind=kind, done_by=[imke, noor, owner], by=owner)
    assert not kind.done_by.exists()


def test_what_she_no_longer_does_the_others_go_on_doing():
    owner, imke, noor = OwnerFactory(), StylistFactory(), StylistFactory()
    consult = ServiceKindFactory()
    wash = ServiceKindFactory(name="Wash", purpose="wash")
    changed = choose_what_she_does(stylist=noor, kinds=[wash], by=owner)
    assert changed == [consult]
    assert set(consult.done_by.all()) == {imke, owner}
    assert signed(consult)[0] == owner
    assert choose_what_she_does(stylist=noor, kinds=[consult, wash], by=owner) == [consult]
    assert not consult.done_by.exists()


def test_a_kind_nobody_else_does_is_not_taken_from_her():
    owner, imke = OwnerFactory(), StylistFactory()
    kind = add_kind_of_visit(name="Consult", minutes=90, done_by=[imke], by=owner)
    with pytest.raises(ValidationError, match="Nobody else does “Consult”"):
        choose_what_she_does(stylist=imke, kinds=[], by=owner)
    assert list(kind.done_by.all()) == [imke]


def test_somebody_who_left_does_not_count_among_those_who_do_it():
    owner, imke, noor = OwnerFactory(), StylistFactory(), StylistFactory()
    add_kind_of_visit(name="Consult", minutes=90, done_by=[imke, noor], by=owner)
    end_access(user=noor, by=owner)
    with pytest.raises(ValidationError, match="Nobody else does “Consult”"):
        choose_what_she_does(stylist=imke, kinds=[], by=owner)


# At a terminal


def test_the_commands_add_what_the_desk_books():
    call_command("add_place", "Chair 1")
    call_command(
        "add_kind_of_visit",
        "Consult",
        "--minutes",
        "90",
        "--clean-up",
        "15",
        "--price",
        "£65.00",
        "--purpose",
        "consult",
    )
    assert not Place.objects.get().is_private
    kind = ServiceKind.objects.get()
    assert (kind.minutes, kind.clean_up_minutes, kind.price_minor, kind.is_consult) == (90, 15, 6500, True)


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (["add_kind_of_visit", "Consult", "--minutes", "90", "--price", "cheap"], "not an amount in GBP"),
        (["add_kind_of_visit", "Consult", "--minutes", "-90"], "Minutes are 0 or more"),
        (["add_kind_of_visit", " ", "--minutes", "90"], "cannot be blank"),
        (["add_place", " "], "cannot be blank"),
    ],
)
def test_a_slip_at_the_terminal_gets_a_sentence_and_adds_nothing(arguments, sentence):
    with pytest.raises(CommandError, match=sentence):
        call_command(*arguments)
    assert not ServiceKind.objects.exists()
    assert not Place.objects.exists()
