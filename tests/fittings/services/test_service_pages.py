"""The pages that log, repeat, do and correct a service: what they ask, what they fill in, and who may open them."""

from uuid import uuid4

import pytest
from django.urls import reverse
from django.utils.html import strip_tags
from django.utils.timezone import localdate, now

from fittings.models import Service, StrandTest, Wash
from fittings.planning import plan_service, remove_service
from fittings.serving import do_planned
from salon.models import Salon
from tests.factories import DeskFactory, OwnerFactory, ProductFactory
from tests.fittings.services.scene import log, owned_by, visit_and_piece
from tests.fittings.services.test_serving import DYED, WALNUT, WARM, finish, strand
from tests.fittings.test_trying import chosen_to_try
from tests.pieces.factories import VariantFactory

pytestmark = pytest.mark.django_db
HX = {"HTTP_HX_REQUEST": "true"}


@pytest.fixture
def made():
    return visit_and_piece(colourable="yes")


@pytest.fixture
def stylist(client, made):
    client.force_login(made[0].stylist)
    return client


def address(fitting, kind, piece=None, **query):
    if piece:
        query["piece"] = piece.reference
    asked = "&".join(f"{name}={value}" for name, value in query.items())
    return reverse("service-log", args=[fitting.reference, kind]) + (f"?{asked}" if asked else "")


def text_of(response):
    return " ".join(strip_tags(response.content.decode()).split())


def form_of(response):
    return response.context["form"]


def test_a_wash_is_logged_in_two_presses_from_the_piece(stylist, made):
    fitting, owned = made
    page = stylist.get(reverse("owned-piece", args=[owned.reference])).content.decode()
    log_it = address(fitting, "wash", owned)
    assert log_it in page
    form = form_of(stylist.get(log_it))
    assert form["done_to"].value() == owned.reference
    answer = stylist.post(log_it, {"done_to": owned.reference, "once": form["once"].value(), "log": "log"})
    assert answer.status_code == 302
    assert Wash.objects.get().owned_piece == owned


def test_the_rules_are_asked_as_she_types_and_nothing_is_kept(stylist, made):
    fitting, _ = made
    standard = owned_by(fitting, fibre="standard")
    part = stylist.post(
        address(fitting, "heat", standard), {"done_to": standard.reference, "planned_heat": "iron"}, **HX
    )
    assert "■ Stop" in text_of(part)
    assert "An owner may let this pass" in text_of(part)
    assert "<html" not in part.content.decode()
    assert not Service.objects.exists()


def test_a_stop_is_refused_also_when_it_is_logged_and_what_was_typed_stays(stylist, made):
    fitting, owned = made
    typed = WARM | {"done_to": owned.reference, "tool_c": "420 °F", "unit_coloured": "no", "log": "log"}
    page = text_of(stylist.post(address(fitting, "heat", owned), typed))
    assert "too hot for human hair" in page
    assert not Service.objects.exists()
    page = stylist.post(address(fitting, "heat", owned), typed).content.decode()
    assert 'value="420 °F"' in page
    owner = OwnerFactory(username="odile")
    owner.set_password("walnut-lantern-91")
    owner.save()
    passed = typed | {
        "reason_heat-hair-high": "A test of the tool",
        "owner_name": "odile",
        "owner_password": "walnut-lantern-91",
    }
    assert stylist.post(address(fitting, "heat", owned), passed).status_code == 302
    assert Service.objects.get().overrides.get().owner.username == "odile"


def test_a_form_sent_twice_from_two_tabs_logs_once(stylist, made):
    fitting, owned = made
    sent = {"done_to": owned.reference, "once": uuid4(), "log": "log"}
    for _ in range(2):
        assert stylist.post(address(fitting, "wash", owned), sent).status_code == 302
    assert Service.objects.count() == 1


def test_what_can_be_chosen_is_her_pieces_those_to_try_and_her_own_hair(stylist, made):
    fitting, owned = made
    candidate = chosen_to_try(fitting, VariantFactory())
    choices = [key for key, _ in form_of(stylist.get(address(fitting, "wash"))).fields["done_to"].choices]
    assert choices == [owned.reference, f"try-{candidate.pk}", "own-hair"]
    choices = [key for key, _ in form_of(stylist.get(address(fitting, "repair"))).fields["done_to"].choices]
    assert "own-hair" not in choices
    elsewhere = visit_and_piece()[1]
    page = stylist.post(address(fitting, "wash"), {"done_to": elsewhere.reference, "log": "log"})
    assert "Choose what it is done to." in text_of(page)


COLOUR = DYED | {"product_1": "Walnut stain", "parts_1": "1", "developer": "6", "developer_parts": "2", "minutes": "25"}


def test_a_colour_is_logged_with_its_formula_and_says_it_in_one_line(stylist, made):
    fitting, owned = made
    strand(owned)
    answers = COLOUR | {"done_to": owned.reference, "lot_1": "L-204", "zones": ["front", "crown"], "log": "log"}
    answers |= {"unit_coloured": "no", "unit_lightened_before": "no", "product_2": "Clear", "parts_2": "0,5"}
    assert stylist.post(address(fitting, "colour", owned), answers).status_code == 302
    service = Service.objects.get()
    assert service.details["lines"][1] == {"product": "Clear", "parts": 0.5, "lot": ""}
    page = text_of(stylist.get(reverse("services", args=[fitting.reference])))
    assert "Walnut stain, 1 part; Clear, 0.5 parts" in page
    assert "6 % (20 vol), 2 parts" in page
    assert "1 : 1.33" in page
    assert "Front, crown" in page


def test_the_record_answers_for_the_unit_and_is_not_asked_again(stylist, made):
    fitting, owned = made
    form = form_of(stylist.get(address(fitting, "colour", owned)))
    assert "unit_strand_test" not in form.fields
    assert "unit_coloured" in form.fields
    assert "No strand test of this unit is recorded." in text_of(stylist.get(address(fitting, "colour", owned)))
    strand(owned)
    log(fitting, "colour", DYED | {"unit_coloured": "no", "unit_lightened_before": "no"}, WALNUT, owned_piece=owned)
    form = form_of(stylist.get(address(fitting, "colour", owned)))
    assert "unit_coloured" not in form.fields  # it is known now
    assert "It was coloured before." in text_of(stylist.get(address(fitting, "colour", owned)))


def test_a_colour_is_repeated_without_its_lot_and_with_what_holds_only_now_asked_anew(stylist, made):
    fitting, owned = made
    strand(owned)
    facts = DYED | {"unit_coloured": "no", "unit_lightened_before": "no"}
    details = WALNUT | {"developer_percent": 9.0, "developer_parts": 2.0, "zones": ["front"]}
    before = log(fitting, "colour", facts, details, owned_piece=owned, note="As at the wedding", price_minor=4500)
    page = stylist.get(address(fitting, "colour", owned)).content.decode()
    assert f"?piece={owned.reference}&amp;repeat={before.pk}" in page
    again = stylist.get(address(fitting, "colour", owned, repeat=before.pk))
    start = form_of(again)
    assert (start["product_1"].value(), start["developer"].value(), start["minutes"].value()) == (
        "Walnut stain",
        "9",
        20,
    )
    assert start["zones"].value() == ("front",)
    assert not start["lot_1"].value()
    assert not start["note"].value()
    assert not start["price_minor"].value()
    assert "lot numbers" in text_of(again)


def test_heat_is_repeated_in_the_readers_own_degrees_and_asks_again_whether_it_is_wet(stylist, made):
    fitting, owned = made
    before = log(fitting, "heat", WARM | {"unit_coloured": "no"}, {"passes": 2}, owned_piece=owned)
    form = form_of(stylist.get(address(fitting, "heat", owned, repeat=before.pk)))
    assert form["tool_c"].value() == "150 °C"
    assert (form["planned_heat"].value(), form["passes"].value()) == ("tong", 2)
    assert not form["hair_is_wet"].value()
    assert not form["flammable_remover_wet"].value()


@pytest.mark.parametrize("repeat", ["0", "999999999999999999999", "x", "-1", ""])
def test_a_repeat_of_nothing_is_an_empty_form(stylist, made, repeat):
    assert stylist.get(address(made[0], "wash", repeat=repeat)).status_code == 200


def test_a_service_of_another_client_is_not_repeated(stylist, made):
    elsewhere, hers = visit_and_piece()
    other = log(elsewhere, "wash", details={"product": "Secret soap"}, owned_piece=hers)
    assert "Secret soap" not in stylist.get(address(made[0], "wash", repeat=other.pk)).content.decode()


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"product_1": "", "parts_1": "1"}, "Write the product of this line"),
        ({"product_1": "", "parts_1": ""}, "Write at least one product"),
        ({"developer_other": "30"}, "per cent or volumes"),
        ({"developer": "6", "developer_other": "7 vol"}, "The developer has one strength"),
        ({"parts_1": "none"}, "no number of parts"),
        ({"planned_colour": ""}, "Choose what it is."),
        ({"colour_on": "own hair"}, "does not go with what it is done to"),
    ],
)
def test_a_formula_that_says_too_little_or_too_much_is_refused(stylist, made, typed, sentence):
    fitting, owned = made
    answers = COLOUR | {"done_to": owned.reference, "log": "log"} | typed
    answers = {name: value for name, value in answers.items() if value != ""}
    assert sentence in text_of(stylist.post(address(fitting, "colour", owned), answers))
    assert not Service.objects.exists()


def test_a_product_of_the_list_that_works_by_oxidation_is_no_deposit_only_colour(stylist, made):
    fitting, owned = made
    ProductFactory(name="Chestnut cream", sort="colour", oxidative=True)
    answers = COLOUR | {"done_to": owned.reference, "product_1": "chestnut cream", "log": "log"}
    assert "Chestnut cream works by oxidation" in text_of(stylist.post(address(fitting, "colour", owned), answers))


def test_tape_of_the_list_says_itself_what_it_contains(stylist, made):
    fitting, owned = made
    tape = ProductFactory(name="Clear strip", sort="tape", contains=["latex"], contains_read=True)
    answers = {"done_to": owned.reference, "product": tape.name, "where": "front", "renew_after_days": "10"}
    form = form_of(stylist.post(address(fitting, "tape set", owned), answers, **HX))
    assert form.facts()["adhesive_contains"] == ["latex"]
    assert form.fields["renew_after_days"]


def test_clips_are_moved_by_millimetres_taken_off_and_added(stylist, made):
    fitting, owned = made
    page = stylist.get(address(fitting, "clips", owned))
    form = form_of(page)
    assert (form["u_1"].value(), form["on_1"].value()) == ("1.2 cm", True)
    answers = {"done_to": owned.reference, "on_1": "on", "u_1": "20 mm", "v_1": "", "length_1": "3 cm", "log": "log"}
    answers |= {"on_3": "on", "u_3": "1 in", "v_3": "30 mm", "side_3": "right", "length_3": "3 cm"}
    page = stylist.post(address(fitting, "clips", owned), answers)
    if page.status_code == 200:  # what the rules say of the new places is read, and let pass by the owner
        said = form_of(page).findings
        stylist.force_login(OwnerFactory())
        answers["acknowledged"] = [one.rule_id for one in said if one.severity == "caution"]
        answers |= {f"reason_{one.rule_id}": "She wears it taped" for one in said if one.severity == "stop"}
        page = stylist.post(address(fitting, "clips", owned), answers)
    assert page.status_code == 302, text_of(page)
    owned.refresh_from_db()
    assert owned.clips == [{"u_mm": 20, "v_mm": 0, "length_mm": 30}, {"u_mm": 25, "v_mm": -30, "length_mm": 30}]
    told = text_of(stylist.get(reverse("services", args=[fitting.reference])))
    assert "From 1.2 cm behind the front edge, on the middle to 2.0 cm behind the front edge, on the middle" in told
    assert "Taken off; it sat 10.0 cm behind the front edge, 4.5 cm to her left" in told
    assert "New, 2.5 cm behind the front edge, 3.0 cm to her right" in told


def test_clips_that_stay_are_nothing_to_log(stylist, made):
    fitting, owned = made
    form = form_of(stylist.get(address(fitting, "clips", owned)))
    same = {field.html_name: field.value() for row in form.clip_rows for field in row.fields if field.value()}
    page = stylist.post(address(fitting, "clips", owned), same | {"done_to": owned.reference, "log": "log"})
    assert "Every clip sits where it sat." in text_of(page)


def test_with_two_pieces_the_clips_page_asks_which(stylist, made):
    fitting, owned = made
    other = owned_by(fitting)
    page = stylist.get(address(fitting, "clips")).content.decode()
    assert all(address(fitting, "clips", piece) in page for piece in (owned, other))


# Planned, corrected, finished


def planned(fitting, owned, kind="wash", facts=None):
    at = {"by": fitting.stylist, "at": now(), "on": localdate()}
    return plan_service(
        fitting=fitting, kind=kind, facts=facts or {}, owned_piece=owned, salon=Salon.objects.default(), **at
    )


def test_what_was_planned_is_done_with_one_press(stylist, made):
    fitting, owned = made
    service = planned(fitting, owned)
    page = stylist.get(reverse("services", args=[fitting.reference])).content.decode()
    done = reverse("service-done", args=[fitting.reference, service.pk])
    assert done in page
    assert form_of(stylist.get(done))["done_to"].value() == owned.reference
    assert stylist.post(done, {"done_to": owned.reference, "log": "log"}).status_code == 302
    service.refresh_from_db()
    assert service.is_done
    assert stylist.post(done, {"done_to": owned.reference, "log": "log"}).status_code == 302
    assert stylist.get(done).status_code == 302


def test_a_plan_taken_away_while_its_form_was_sent_is_said_and_nothing_typed_is_lost(stylist, made, monkeypatch):
    fitting, owned = made
    service = planned(fitting, owned)

    def too_late(*, service, **said):
        remove_service(service=service)
        return do_planned(service=service, **said)

    monkeypatch.setattr("fittings.services.service_form.do_planned", too_late)
    done = reverse("service-done", args=[fitting.reference, service.pk])
    answer = stylist.post(done, {"done_to": owned.reference, "product": "Mild wash", "log": "log"})
    assert answer.status_code == 200
    assert "That plan is gone" in text_of(answer)
    assert "Mild wash" in answer.content.decode()
    assert not Service.objects.exists()


def test_taking_a_plan_away_twice_at_once_changes_nothing(made):
    service = planned(*made)
    seen = Service.objects.get()
    remove_service(service=service)
    remove_service(service=seen)
    assert not Service.objects.exists()


def test_what_costs_nothing_of_its_own_is_included_planned_and_done(stylist, made):
    fitting, owned = made
    planned(fitting, owned)
    page = reverse("services", args=[fitting.reference])
    assert "included" in text_of(stylist.get(page))
    assert "£0.00" not in text_of(stylist.get(page))


def test_what_is_done_is_not_taken_away_by_a_forged_post(stylist, made):
    fitting, owned = made
    service = log(fitting, "wash", owned_piece=owned)
    stylist.post(reverse("service-remove", args=[fitting.reference, service.pk]))
    assert Service.objects.get().is_done


def test_a_correction_is_the_same_form_with_the_reason_also_in_a_finished_visit(stylist, made):
    fitting, owned = made
    service = log(fitting, "cut-in", details={"taken_off_mm": 20.0, "cut": ["layers"]}, owned_piece=owned)
    finish(fitting)
    correct = reverse("service-correct", args=[fitting.reference, service.pk])
    form = form_of(stylist.get(correct))
    assert (form["taken_off_mm"].value(), form["cut"].value()) == ("2.0 cm", ("layers",))
    answers = {"done_to": owned.reference, "taken_off_mm": "3 cm", "cut": "layers", "log": "log"}
    assert "This field is required" in text_of(stylist.post(correct, answers))
    assert stylist.post(correct, answers | {"because": "Measured again"}).status_code == 302
    stands = Service.objects.done().get()
    assert (stands.corrects, stands.details["taken_off_mm"]) == (service, 30.0)
    assert "Corrected by" in text_of(stylist.get(reverse("services", args=[fitting.reference])))
    assert stylist.get(correct).status_code == 302  # the newer entry is corrected from now on


def test_nothing_new_is_logged_in_a_finished_visit(stylist, made):
    fitting, owned = made
    finish(fitting)
    assert stylist.get(address(fitting, "wash", owned)).status_code == 302
    assert stylist.post(address(fitting, "wash", owned), {"done_to": owned.reference, "log": "log"}).status_code == 302
    assert not Service.objects.exists()
    page = text_of(stylist.get(reverse("owned-piece", args=[owned.reference])))
    assert "none is open" in page
    assert "Begin a visit" in page


def test_without_an_assessment_that_was_signed_off_it_is_said_and_led_there(stylist, made):
    fitting, owned = made
    fitting.client.assessments.update(state="draft", signed_at=None, signed_by=None)
    answer = stylist.get(address(fitting, "wash", owned), follow=True)
    assert "Sign the assessment off first" in text_of(answer)


# Strand tests, the piece's page, who may


def test_a_strand_test_is_kept_and_shown(stylist, made):
    _, owned = made
    page = reverse("strand-test", args=[owned.reference])
    told = {"product": "Walnut stain", "held": "no", "seen": "Brittle", "minutes": "20", "once": uuid4()}
    assert "Press how the strand took it." in text_of(stylist.post(page, told | {"held": ""}))
    for _ in range(2):
        assert stylist.post(page, told).status_code == 302
    assert StrandTest.objects.get().unit == owned.unit
    assert "not taken well. Brittle" in text_of(stylist.get(reverse("owned-piece", args=[owned.reference])))


def test_the_pages_take_the_same_queries_for_one_service_as_for_nine(stylist, made, queries_for):
    fitting, owned = made
    pages = [
        reverse("services", args=[fitting.reference]),
        address(fitting, "cut-in", owned),
        reverse("owned-piece", args=[owned.reference]),
    ]
    log(fitting, "cut-in", owned_piece=owned)
    few = [queries_for(page) for page in pages]
    for _ in range(8):
        log(fitting, "cut-in", owned_piece=owned)
    assert [queries_for(page) for page in pages] == few


def test_the_desk_sees_no_service(client, made):
    fitting, owned = made
    service = log(fitting, "wash", details={"product": "Mild wash"}, owned_piece=owned)
    client.force_login(DeskFactory())
    page = client.get(reverse("owned-piece", args=[owned.reference]))
    assert page.status_code == 200
    assert "Mild wash" not in page.content.decode()
    for name, args in (
        ("service-log", [fitting.reference, "wash"]),
        ("service-correct", [fitting.reference, service.pk]),
        ("strand-test", [owned.reference]),
    ):
        assert client.get(reverse(name, args=args)).status_code == 403


def test_a_service_of_another_visit_is_not_found(stylist, made):
    elsewhere, hers = visit_and_piece()
    other = log(elsewhere, "wash", owned_piece=hers)
    for name in ("service-done", "service-correct"):
        assert stylist.get(reverse(name, args=[made[0].reference, other.pk])).status_code == 404


def test_what_was_logged_by_mistake_is_struck_out_from_the_visit(client):
    fitting, owned = visit_and_piece()
    washed = log(fitting, "wash", {}, {"product": "Mild shampoo"}, owned_piece=owned)
    client.force_login(fitting.stylist)
    page = client.get(reverse("services", args=[fitting.reference])).content.decode()
    assert reverse("entry-strike-out", args=[fitting.client.reference, "service", washed.pk]) in page
    assert "included" in page
