"""The pages of choosing: narrowed by wishes, argued with by the slider, tried, decided, planned."""

import json
import re
from html import unescape

import pytest
from django.urls import reverse

from fittings.choosing.candidate_views import CARDS_A_PAGE
from fittings.models import Candidate, Service, TryOn
from fittings.templatetags.choosing_tags import ZONE_WORDS
from tests.factories import DeskFactory, OwnerFactory, StylistFactory
from tests.fittings.colours import photo_of_the_ring, read_by_card, ring_read_both_ways
from tests.fittings.test_candidates import clipped_base
from tests.fittings.test_trying import chosen_to_try, stopped, tried
from tests.fittings.visits import signed_off_visit
from tests.pieces.factories import PieceFactory, ShadeFactory, UnitFactory, VariantFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def fitting():
    return signed_off_visit(wishes={"wants_heat": "yes", "budget_minor": 150000})


@pytest.fixture
def stylist(client):
    client.force_login(StylistFactory())
    return client


def address(name, fitting, *more):
    return reverse(name, args=[fitting.reference, *more])


def text_of(response):
    return unescape(response.content.decode())


def test_the_candidates_are_drawn_counted_and_ruled(stylist, fitting):
    UnitFactory(variant=VariantFactory(piece=PieceFactory(base=clipped_base(), name="Heron Weir")))
    page = text_of(stylist.get(address("candidates", fitting)))
    for words in ("Heron Weir", "4 of 4", "in the drawer", "ΔE00", "Set-back", "<svg"):
        assert words in page


def test_what_is_not_measured_stands_in_a_section_of_its_own_after_the_ranked(stylist, fitting):
    VariantFactory(piece=PieceFactory(base=clipped_base(), name="Heron Weir"))
    unread = ShadeFactory(unmeasured=True, code="reed", name="Pale reed")
    VariantFactory(piece=PieceFactory(base=clipped_base(), name="Quarry Lane"), shade=unread)
    page = text_of(stylist.get(address("candidates", fitting)))
    ranked, _, apart = page.partition("Not measured: 1")
    assert "Heron Weir" in ranked
    assert "Quarry Lane" not in ranked
    assert "Quarry Lane" in apart
    assert "Colour: reed Pale reed is not measured." in apart


def test_the_first_page_says_where_what_is_not_measured_is_listed(stylist, fitting):
    base = clipped_base()
    for _ in range(CARDS_A_PAGE):
        VariantFactory(piece=PieceFactory(base=base))
    VariantFactory(piece=PieceFactory(base=base), shade=ShadeFactory(unmeasured=True, maker=base.maker))
    first = text_of(stylist.get(address("candidates", fitting)))
    assert "1 piece here is not measured" in first
    assert "page=2#apart-heading" in first
    last = stylist.get(address("candidates", fitting) + "?page=2")
    assert 'id="apart-heading"' in text_of(last)
    assert (len(last.context["cards"]), len(last.context["apart"])) == (0, 1)


def test_a_way_that_is_missing_is_said_with_what_to_read(stylist, fitting):
    VariantFactory(piece=PieceFactory(base=clipped_base()))
    read_by_card(fitting)
    page = text_of(stylist.get(address("candidates", fitting)))
    assert "Nothing leads from an instrument to photos with the grey card. It takes 4 shades or more" in page
    assert reverse("ring-photos") in page
    assert "is not measured the way her hair was read." in page
    ring_read_both_ways(photo_of_the_ring(fitting.stylist))
    page = text_of(stylist.get(address("candidates", fitting)))
    assert "Nothing leads" not in page
    assert "shade carried over from an instrument by 6 shades read both ways, give or take 0.0" in page


def test_grey_and_two_shades_together_are_told_once(stylist):
    grey = (45.4, 0.9, 4.4)
    labs = {"root": grey, "mid": grey, "ends": grey, "pigment": (16.0, 2.0, 2.5), "grey": (78.0, 0.5, 6.0)}
    fitting = signed_off_visit(readings=labs)
    for code, lightness in (("peat", 16.0), ("chalk", 78.0)):
        values = {
            f"{zone}_{axis}": value for zone in ZONE_WORDS for axis, value in zip("lab", (lightness, 1, 4), strict=True)
        }
        for _ in range(2):
            base = clipped_base()
            shade = ShadeFactory(code=f"{code}-{base.pk}", maker=base.maker, **values)
            UnitFactory(variant=VariantFactory(piece=PieceFactory(base=base), shade=shade))
    page = text_of(stylist.get(address("candidates", fitting)))
    assert page.count("Grey, measured at the roots: about ") == 1
    assert page.count("Two shades together") == 1
    assert re.search(r"About (three|four) parts of peat-\d+ .* to one of chalk-\d+ ", page)
    assert "The closest shade alone in the drawer, " in page


def test_the_candidates_take_the_same_queries_however_many_shades_were_read(stylist, fitting, queries_for):
    read_by_card(fitting)
    photo, counts = photo_of_the_ring(fitting.stylist), []
    for _ in range(2):
        for shade in ring_read_both_ways(photo, count=4):
            UnitFactory(variant=VariantFactory(piece=PieceFactory(base=clipped_base()), shade=shade))
        counts.append(queries_for(address("candidates", fitting)))
    assert counts[0] == counts[1]


def test_the_other_shades_of_a_piece_say_how_they_were_carried_over(stylist, fitting):
    read_by_card(fitting)
    ring_read_both_ways(photo_of_the_ring(fitting.stylist))
    piece = PieceFactory(base=clipped_base())
    variant = VariantFactory(piece=piece, shade=ShadeFactory(maker=piece.base.maker))
    VariantFactory(piece=piece, shade=ShadeFactory(maker=piece.base.maker, unmeasured=True))
    page = text_of(stylist.get(address("candidate", fitting, variant.pk)))
    assert ", carried over</td>" in page
    assert page.count('<p class="small">Carried over from an instrument by 6 shades read both ways') == 1
    assert page.index(", carried over</td>") < page.index("Not measured, and so in no order")


def test_a_wish_narrows_the_list(stylist, fitting):
    VariantFactory(piece=PieceFactory(base=clipped_base(), name="Heron Weir", fibre="standard"))
    VariantFactory(piece=PieceFactory(base=clipped_base(), name="Quarry Lane", fibre="human"))
    page = text_of(stylist.get(address("candidates", fitting) + "?wish=heat&show=fits"))
    assert "Quarry Lane" in page
    assert "Heron Weir" not in page


def test_nonsense_in_the_address_shows_the_first_kind_there_is(stylist, fitting):
    VariantFactory(piece=PieceFactory(base=clipped_base()))
    assert stylist.get(address("candidates", fitting) + "?show=%00x&page=-3&wish=nothing").status_code == 200


def test_the_slider_moves_the_base_and_says_so(stylist, fitting):
    variant = VariantFactory(piece=PieceFactory(base=clipped_base()))
    part = address("candidate-placement", fitting, variant.pk)
    best = text_of(stylist.get(part, headers={"HX-Request": "true"}))
    front = text_of(stylist.get(part + "?set_back=0", headers={"HX-Request": "true"}))
    assert "100 %" in best
    assert "100 %" not in front
    assert 'value="0"' in front
    assert text_of(stylist.get(part + "?set_back=ten", headers={"HX-Request": "true"})) == best


def test_the_head_that_turns_is_given_the_base_where_it_sits(stylist, fitting):
    variant = VariantFactory(piece=PieceFactory(base=clipped_base()))
    response = stylist.get(address("candidate", fitting, variant.pk))
    (base,) = json.loads(response.context["head"]["bases"])
    seat = response.context["card"]["seat"].placement
    assert base["outline"][0] == [seat.set_back_mm, seat.side_shift_mm]
    assert [holds for _, _, holds in base["clips"]] == [True] * 4


def test_choosing_to_try_is_one_press_and_can_be_taken_back(stylist, fitting):
    variant = VariantFactory(piece=PieceFactory(base=clipped_base()))
    stylist.post(address("candidate-try", fitting, variant.pk))
    candidate = Candidate.objects.get()
    page = text_of(stylist.post(address("candidate-try", fitting, variant.pk), follow=True))
    assert "already among those to try" in page
    stylist.post(address("candidate-untry", fitting, candidate.pk))
    assert not Candidate.objects.exists()


def seen(**answers):
    """The answers under the names the form gives them."""
    return {f"seen-{name}": answer for name, answer in answers.items()}


def test_a_try_on_is_three_answers(stylist, fitting):
    candidate = chosen_to_try(fitting)
    log = address("try-on-log", fitting, candidate.pk)
    page = text_of(stylist.post(log, seen(covers="well", sits="well", her_words="soft")))
    assert "Tap one of the three." in page
    assert "soft" in page
    assert not TryOn.objects.exists()
    stylist.post(log, seen(covers="well", sits="nearly", matches="well", set_back_mm="13 cm", her_words=""))
    assert TryOn.objects.get().set_back_mm == 130


def test_the_decision_is_kept_and_the_visit_finished(stylist, fitting):
    look = tried(fitting)
    decide = address("decision", fitting)
    refused = text_of(stylist.post(decide, {"chosen": "", "none_chosen_because": ""}))
    assert "write why none is taken" in refused
    stylist.post(decide, {"chosen": look.pk, "why_chosen": "Sits like her own"})
    stylist.post(address("visit-finish", fitting), {"next_visit_on": "2099-01-04"})
    fitting.refresh_from_db()
    assert fitting.is_finished
    assert fitting.why_chosen == "Sits like her own"
    assert "what was decided stands" in text_of(stylist.get(decide))


def test_a_stylist_needs_an_owner_beside_her_to_pass_a_stop(stylist, fitting):
    look = tried(fitting, stopped(fitting))
    owner = OwnerFactory(username="odile")
    owner.set_password("walnut-lantern-91")
    owner.save()
    decide = address("decision", fitting)
    asked = {"chosen": look.pk, "reason_hairline": "Fringe hides it", "owner_name": "odile"}
    assert "not the name and password of an owner" in text_of(stylist.post(decide, asked | {"owner_password": "no"}))
    assert not TryOn.objects.filter(outcome="chosen").exists()
    page = stylist.post(decide, asked | {"owner_password": "walnut-lantern-91"})
    assert page.status_code == 302
    assert fitting.overrides.get().owner == owner


def test_a_service_asks_the_rules_before_it_is_kept(stylist, fitting):
    variant = VariantFactory(piece=PieceFactory(base=clipped_base(), fibre="standard"))
    candidate = chosen_to_try(fitting, variant)
    plan = address("service-plan", fitting, "steam")
    wish = {"done_to": f"try-{candidate.pk}", "price_minor": "12.50"}
    page = text_of(stylist.post(plan, wish | {"plan": "plan"}))
    assert "Read and tick first" in page
    assert not Service.objects.exists()
    stylist.post(plan, wish | {"plan": "plan", "acknowledged": "steam-standard"})
    assert Service.objects.get().price_minor == 1250
    stylist.post(address("service-remove", fitting, Service.objects.get().pk))
    assert not Service.objects.exists()


def test_heat_in_fahrenheit_is_stopped_with_words_and_keeps_what_was_typed(stylist, fitting):
    variant = VariantFactory(piece=PieceFactory(base=clipped_base(), fibre="heat_friendly", rated_c=150))
    candidate = chosen_to_try(fitting, variant)
    typed = {"done_to": f"try-{candidate.pk}", "planned_heat": "iron", "tool_c": "392 °F", "hair_is_wet": "no"}
    page = text_of(stylist.post(address("service-plan", fitting, "heat"), typed | {"plan": "plan"}))
    assert "■ Stop" in page
    assert "392 °F" in page
    assert "An owner may let this pass" in page
    assert not Service.objects.exists()


def test_the_rules_are_shown_with_their_sources(stylist):
    page = text_of(stylist.get(reverse("rules")))
    assert "common practice" in page
    assert "heat-standard" in page


def test_the_desk_opens_none_of_it(client, fitting):
    client.force_login(DeskFactory())
    for name in ("candidates", "try-ons", "decision", "services"):
        assert client.get(address(name, fitting)).status_code == 403
