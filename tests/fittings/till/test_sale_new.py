"""A sale put together: what is proposed, what each press does, and what is refused with nothing typed lost."""

import uuid

import pytest
from django.urls import reverse
from django.utils.timezone import now

from fittings.models import Service
from pieces.models import Sale
from pieces.stock import reserve_unit
from tests.factories import ClientFactory, OwnerFactory
from tests.fittings.paper.papers import decided_visit, finished
from tests.fittings.till.reading import words
from tests.pieces.factories import (
    OrderLineFactory,
    PricedServiceFactory,
    SaleFactory,
    TaxRateFactory,
    UnitFactory,
    VariantFactory,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def her():
    return ClientFactory(record_consent=True)


def page_for(client):
    return reverse("sale-new", args=[client.reference])


def line_of(unit, **fields):
    """The fields of a unit's line, as the page sends them."""
    key = f"unit-{unit.number}"
    asked = {"price_minor": "1249"} | fields
    return {"line": [key], **{f"{key}-{name}": value for name, value in asked.items()}}


def keys(answer):
    return [line.thing.key for line in answer.context["basket"].lines]


def test_nothing_is_sold_by_an_empty_sale(at_the_till, her):
    answer = at_the_till.post(page_for(her), {"agree": "yes"})
    assert "Choose what she takes" in words(answer)
    assert not Sale.objects.exists()


def test_what_is_set_aside_for_her_and_ordered_for_her_is_one_press_away(at_the_till, her):
    aside, others = UnitFactory(), UnitFactory()
    reserve_unit(unit=aside, client=her, by=OwnerFactory())
    reserve_unit(unit=others, client=ClientFactory(), by=OwnerFactory())
    line = OrderLineFactory(for_client=her, count=1, order__sent=True)
    offered = [thing.key for thing in at_the_till.get(page_for(her)).context["at_hand"]]
    assert offered == [f"unit-{aside.number}", f"order-{line.pk}"]
    answer = at_the_till.post(page_for(her), {"add": f"order-{line.pk}"})
    assert keys(answer) == [f"order-{line.pk}"]
    answer = at_the_till.post(
        page_for(her), {"line": f"order-{line.pk}", f"order-{line.pk}-price_minor": "1,249.00", "agree": "yes"}
    )
    assert Sale.objects.get().lines.get().order_line == line


def test_a_unit_is_added_by_its_number_as_it_is_read_out_and_all_that_was_typed_stays(at_the_till, her):
    first, second = UnitFactory(), UnitFactory()
    sent = line_of(first, price_minor="1,100", discount_minor="50", discount_because="A scratch")
    answer = at_the_till.post(page_for(her), sent | {"number": second.number.lower().replace("-", ""), "more": "yes"})
    assert keys(answer) == [f"unit-{first.number}", f"unit-{second.number}"]
    assert answer.context["basket"].lines[0]["discount_because"].value() == "A scratch"
    assert answer.context["basket"].sums.total_minor == 105_000 + 124_900
    assert not answer.context["form"]["number"].value()


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"number": "U-0000000K"}, "There is no unit U-0000000K"),
        ({"number": ""}, "Write the number of a unit, or choose from the price list."),
    ],
)
def test_a_number_that_names_nothing_is_said_and_stays(at_the_till, her, typed, sentence):
    answer = at_the_till.post(page_for(her), typed | {"more": "yes"})
    assert sentence in words(answer)
    assert answer.context["form"]["number"].value() == typed["number"]


def test_what_is_typed_but_not_added_yet_is_added_and_seen_before_it_is_agreed(at_the_till, her):
    first, second, service = UnitFactory(), UnitFactory(), PricedServiceFactory()
    typed = {"number": second.number, "service": service.pk, "agree": "yes"}
    answer = at_the_till.post(page_for(her), line_of(first) | typed)
    assert keys(answer) == [f"unit-{first.number}", f"unit-{second.number}", f"service-{service.pk}"]
    assert "is in the sale now" in words(answer)
    answer = at_the_till.post(page_for(her), line_of(first) | {"number": "U-0000000K", "agree": "yes"})
    assert "There is no unit U-0000000K" in words(answer)
    assert not Sale.objects.exists()


def test_a_line_that_is_reckoned_again_tells_what_it_comes_to(at_the_till, her):
    unit = UnitFactory()
    sent = line_of(unit, discount_minor="50", discount_because="A scratch")
    assert "<strong>£1,199.00</strong>" in at_the_till.post(page_for(her), sent | {"reckon": "yes"}).content.decode()


def test_a_unit_read_twice_is_one_line(at_the_till, her):
    unit = UnitFactory()
    answer = at_the_till.post(page_for(her), line_of(unit) | {"number": unit.number, "more": "yes"})
    assert keys(answer) == [f"unit-{unit.number}"]


def test_a_line_is_taken_off(at_the_till, her):
    unit, service = UnitFactory(), PricedServiceFactory()
    sent = line_of(unit)
    sent["line"] = [*sent["line"], f"service-{service.pk}"]
    answer = at_the_till.post(page_for(her), sent | {"remove": f"unit-{unit.number}"})
    assert keys(answer) == [f"service-{service.pk}"]


def test_what_vanished_meanwhile_is_left_out_and_said(at_the_till, her):
    gone = PricedServiceFactory(is_in_use=False)
    answer = at_the_till.post(page_for(her), {"line": [f"service-{gone.pk}", "nonsense"], "reckon": "yes"})
    assert keys(answer) == []
    assert "no longer there to be sold" in words(answer)


@pytest.mark.parametrize(
    ("wrong", "field", "sentence"),
    [
        ({"price_minor": ""}, "price_minor", "Write its price"),
        ({"price_minor": "-5"}, "price_minor", "has a minus or a range in it"),
        ({"price_minor": "12 EUR"}, "price_minor", "is not an amount in GBP"),
        ({"discount_minor": "50"}, "discount_because", "Write why a discount is given"),
        ({"discount_minor": "2000", "discount_because": "A friend"}, "discount_minor", "no larger than the price"),
    ],
)
def test_a_line_that_is_not_right_is_said_beside_its_field_and_nothing_is_stored(
    at_the_till, her, wrong, field, sentence
):
    unit = UnitFactory()
    answer = at_the_till.post(page_for(her), line_of(unit, **wrong) | {"note": "On Friday", "agree": "yes"})
    [line] = answer.context["basket"].lines
    assert sentence in " ".join(line.errors[field])
    assert sentence in words(answer)
    assert answer.context["form"]["note"].value() == "On Friday"
    assert not Sale.objects.exists()
    unit.refresh_from_db()
    assert unit.state == "drawer"


@pytest.mark.parametrize("count", ["0", "100", "two", "1.5", ""])
def test_so_many_of_the_price_list(at_the_till, her, count):
    service = PricedServiceFactory()
    key = f"service-{service.pk}"
    sent = {"line": key, f"{key}-count": count, f"{key}-price_minor": "85", "agree": "yes"}
    assert "Write a whole number from 1 to 99" in words(at_the_till.post(page_for(her), sent))
    too_much = sent | {f"{key}-count": "99", f"{key}-price_minor": "20,000,000"}
    assert "more than a sale ever comes to" in words(at_the_till.post(page_for(her), too_much))
    at_the_till.post(page_for(her), sent | {f"{key}-count": "99"})
    assert Sale.objects.get().lines.get().total_minor == 99 * 8500


def test_a_rate_by_declaration_needs_the_declaration_and_says_whom_to_ask(at_the_till, her):
    usual, relieved = TaxRateFactory(is_usual=True), TaxRateFactory(basis_points=0, asks_for_declaration=True)
    unit = UnitFactory()
    [line] = at_the_till.get(page_for(her), {"unit": unit.number}).context["basket"].lines
    assert line["tax_rate"].value() == str(usual.pk)
    sent = line_of(unit, tax_rate=relieved.pk) | {"agree": "yes"}
    assert "only with her own signed declaration. Ask your tax office" in words(at_the_till.post(page_for(her), sent))
    at_the_till.post(page_for(her), sent | {f"unit-{unit.number}-declared": "on"})
    line = Sale.objects.get().lines.get()
    assert (line.tax_declared, line.tax_minor, line.total_minor) == (True, 0, 124_900)


def test_a_unit_for_trying_on_is_sold_only_knowingly(at_the_till, her):
    unit = UnitFactory(purpose="try-on")
    sent = line_of(unit) | {"agree": "yes"}
    assert "Say that she knows it" in words(at_the_till.post(page_for(her), sent))
    at_the_till.post(page_for(her), sent | {f"unit-{unit.number}-tried_on": "on"})
    assert Sale.objects.get().lines.get().unit == unit


def test_a_unit_of_another_sale_is_refused_and_nothing_typed_is_lost(at_the_till, her):
    unit = SaleFactory().lines.get().unit
    answer = at_the_till.post(page_for(her), line_of(unit, price_minor="1,000.50") | {"agree": "yes"})
    assert f"Unit {unit.number} can't be set aside" in words(answer)
    assert answer.context["basket"].lines[0]["price_minor"].value() == "1,000.50"
    assert Sale.objects.count() == 1


def test_a_price_in_another_currency_is_asked_for(at_the_till, her):
    unit = UnitFactory(variant__currency="EUR")
    answer = at_the_till.get(page_for(her), {"unit": unit.number})
    assert answer.context["basket"].sums is None
    assert "A line has no price yet" in words(answer)


def test_the_form_sent_twice_sells_once(at_the_till, her):
    sent = line_of(UnitFactory()) | {"once": str(uuid.uuid4()), "agree": "yes"}
    assert at_the_till.post(page_for(her), sent).url == at_the_till.post(page_for(her), sent).url
    assert Sale.objects.count() == 1


def test_a_finished_visit_proposes_its_piece_and_the_services_done(at_the_till):
    visit = decided_visit()
    chosen = visit.candidates.get()
    service = PricedServiceFactory(name="Cut-in by hand", price_minor=8500, done_as="cut-in")
    done = {"planned_by": visit.stylist, "done_by": visit.stylist, "done_at": now(), "fitting": visit}
    Service.objects.create(kind="cut-in", price_minor=9000, **done)
    Service.objects.create(kind="wash", price_minor=2500, **done)
    Service.objects.create(kind="steam", planned_by=visit.stylist, fitting=visit)
    finished(visit)
    answer = at_the_till.get(page_for(visit.client), {"visit": visit.reference})
    unit = chosen.variant.units.get()
    assert keys(answer) == [f"unit-{unit.number}", f"service-{service.pk}"]
    assert answer.context["basket"].lines[1]["price_minor"].value() == "£90.00"
    assert answer.context["form"]["stylist"].value() == visit.stylist_id
    assert "Wash and care was done, £25.00; nothing on the price list stands for it" in words(answer)
    at_the_till.post(page_for(visit.client), line_of(unit) | {"agree": "yes"})
    line = Sale.objects.get().lines.get()
    assert (line.visit_reference, line.cover, line.is_first_piece) == (visit.reference, chosen.cover, True)


def test_another_clients_visit_proposes_nothing(at_the_till, her):
    assert keys(at_the_till.get(page_for(her), {"visit": decided_visit().reference})) == []


def test_what_a_piece_cost_the_salon_is_on_no_page_of_the_till(at_the_till, her):
    unit = UnitFactory(variant=VariantFactory(cost_minor=31_337))
    pages = [at_the_till.get(page_for(her), {"unit": unit.number})]
    at_the_till.post(page_for(her), line_of(unit) | {"agree": "yes"})
    pages += [at_the_till.get(Sale.objects.get().get_absolute_url()), at_the_till.get(reverse("sales"))]
    assert not any("313.37" in answer.content.decode() for answer in pages)


def test_the_page_takes_the_same_queries_for_one_line_as_for_eight(at_the_till, her, queries_for):
    units = UnitFactory.create_batch(8)
    TaxRateFactory(is_usual=True)
    few = queries_for(f"{page_for(her)}?unit={units[0].number}")
    assert queries_for(f"{page_for(her)}?" + "&".join(f"unit={one.number}" for one in units)) == few
