"""Adding places and kinds of visit, as a new salon does before its first booking."""

import pytest
from django.core.exceptions import ValidationError
from django.core.management import CommandError, call_command

from fittings.furnishing import add_kind_of_visit, add_place
from fittings.models import Place, ServiceKind

pytestmark = pytest.mark.django_db


def test_a_place_is_named_once():
    assert add_place(name=" Quiet  room ", sort="room").name == "Quiet room"
    with pytest.raises(ValidationError, match="already exists"):
        add_place(name="Quiet room")


@pytest.mark.parametrize("minutes", [4, 601])
def test_a_visit_takes_between_five_and_six_hundred_minutes(minutes):
    with pytest.raises(ValidationError, match="A visit takes between 5 and 600 minutes"):
        add_kind_of_visit(name="Consult", minutes=minutes)


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
