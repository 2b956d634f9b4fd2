"""The pages on which the owner sets up kinds of visit and places, and what she is told first."""

from html import unescape

import pytest
from django.db.models import ProtectedError
from django.urls import reverse

from fittings.furnishing import add_kind_of_visit
from fittings.models import OpeningHours, Place, ServiceKind
from salon.making_users import end_access
from tests.factories import StylistFactory
from tests.fittings.factories import AppointmentFactory, PlaceFactory, ServiceKindFactory

pytestmark = pytest.mark.django_db

HELD_NOWHERE = "A visit is held in a private room, at a chair or at a basin: choose one."
NO_AMOUNT = "“cheap” is not an amount in GBP, the currency used here. Write £1,250.00."


def text_of(response):
    return " ".join(unescape(response.content.decode()).split())


def test_a_new_salon_is_told_what_to_do_first(owner):
    page = text_of(owner.get(reverse("setting-up")))
    assert page.index("There is no room, chair or basin.") < page.index("There is no kind of visit.")
    assert "any hour of any day can be booked" in page


def test_a_salon_that_has_all_is_told_nothing(owner):
    PlaceFactory(), ServiceKindFactory(), StylistFactory()
    OpeningHours.objects.create(weekday=1, opens="09:00", closes="17:00")
    page = owner.get(reverse("setting-up"))
    assert [lack.says for lack in page.context["missing"]] == ["The salon's address and telephone number are empty."]


@pytest.mark.parametrize(
    "name",
    [
        "kinds",
        "kind-new",
        "places",
        "place-new",
        "opening-hours",
        "closures",
        "closure-new",
        "people",
        "person-new",
        "time-off",
        "time-off-new",
    ],
)
def test_each_page_opens_in_an_empty_salon(owner, name):
    assert owner.get(reverse(name)).status_code == 200


# Kinds of visit


def kind_form(**changed):
    return {
        "name": "Repair",
        "purpose": "repair",
        "minutes": "45",
        "clean_up_minutes": "",
        "price_minor": "£30.00",
        "deposit_minor": "",
        "at_chair": "on",
    } | changed


def test_a_new_kind_begins_with_what_is_usual_for_its_purpose(owner):
    form = owner.get(reverse("kind-new") + "?purpose=colour").context["form"]
    assert form["name"].value() == "Colour"
    assert form["at_basin"].value()
    assert not form["in_private_room"].value()
    assert form["needs_colour_test"].value()
    assert owner.get(reverse("kind-new") + "?purpose=tea").context["form"]["purpose"].value() == "consult"


def test_a_kind_is_added_with_its_price_in_the_salons_money(owner, odile):
    assert owner.post(reverse("kind-new"), kind_form()).status_code == 302
    kind = ServiceKind.objects.get()
    assert (kind.price_minor, kind.deposit_minor, kind.clean_up_minutes, kind.place_sorts) == (3000, 0, 0, ("chair",))
    assert kind.history.first().history_user == odile


@pytest.mark.parametrize(
    ("changed", "field", "sentence"),
    [
        ({"minutes": "700"}, "minutes", "A visit takes between 5 and 600 minutes."),
        ({"clean_up_minutes": "300"}, "clean_up_minutes", "Cleaning up takes 240 minutes at most."),
        ({"at_chair": ""}, "in_private_room", HELD_NOWHERE),
        ({"price_minor": "cheap"}, "price_minor", NO_AMOUNT),
        ({"name": "consult"}, "name", "There is a kind of visit of that name already."),
        ({"name": "CONSULT"}, "name", "There is a kind of visit of that name already."),
        ({"done_by": "99"}, "done_by", "Tick only what is shown here."),
    ],
)  # fmt: skip  # one refusal a line
def test_a_refusal_stands_beside_its_field_and_keeps_what_was_typed(owner, changed, field, sentence):
    ServiceKindFactory(name="consult")
    response = owner.post(reverse("kind-new"), kind_form(**changed))
    assert response.context["form"].errors == {field: [sentence]}
    assert sentence in text_of(response)
    assert "£30.00" in text_of(response) or field == "price_minor"
    assert ServiceKind.objects.count() == 1


def test_a_kind_no_longer_offered_stays_in_the_list_with_who_changed_it(owner):
    kind = ServiceKindFactory()
    form = kind_form(name=kind.name, minutes="90")
    assert owner.post(reverse("kind", args=[kind.pk]), form).status_code == 302
    assert "no longer offered" in text_of(owner.get(reverse("kinds")))
    assert "Last changed by Odile Brackwater" in text_of(owner.get(reverse("kind", args=[kind.pk])))


def test_changing_a_price_leaves_a_kind_with_her_who_left(owner, odile):
    noor = StylistFactory(first_name="Noor", last_name="Selwicke")
    kind = add_kind_of_visit(name="Repair", minutes=45, done_by=[noor], by=odile)
    end_access(user=noor, by=odile)
    page = owner.get(reverse("kind", args=[kind.pk]))
    assert "Noor Selwicke (can sign in no more)" in text_of(page)
    owner.post(reverse("kind", args=[kind.pk]), kind_form(done_by=noor.pk, is_offered="on"))
    assert list(kind.done_by.all()) == [noor]
    assert "nobody who does it can sign in any more" in text_of(owner.get(reverse("setting-up"))).lower()


def test_a_kind_held_where_no_place_is_in_use_is_told(owner):
    ServiceKindFactory(name="Wash", in_private_room=False, at_chair=False)
    PlaceFactory(sort="chair")
    assert "“Wash” can't be booked. No place in use is of a sort" in text_of(owner.get(reverse("setting-up"))).replace(
        "</strong>", ""
    )


# Places


def test_a_place_out_of_use_lists_what_is_still_booked_there(owner):
    visit = AppointmentFactory()
    answers = {"name": visit.place.name, "sort": "chair"}
    response = owner.post(reverse("place", args=[visit.place.pk]), answers, follow=True)
    assert not Place.objects.get().is_in_use
    page = text_of(response)
    assert "Still booked there: 1" in page
    assert reverse("appointment-move", args=[visit.reference]) in page


def test_a_place_with_visits_cannot_be_deleted_by_anything(owner):
    visit = AppointmentFactory()
    with pytest.raises(ProtectedError):
        visit.place.delete()
    with pytest.raises(ProtectedError):
        visit.kind.delete()


def test_the_lists_take_the_same_queries_for_two_as_for_eight(owner, queries_for):
    def counts():
        return [queries_for(reverse(name), owner) for name in ("kinds", "places", "people", "setting-up")]

    def more(count, offset):
        for number in range(offset, offset + count):
            AppointmentFactory(kind=ServiceKindFactory(name=f"Kind {number}"))

    more(2, 0)
    few = counts()
    more(6, 2)
    assert counts() == few
