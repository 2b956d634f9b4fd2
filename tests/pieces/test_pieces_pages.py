"""The pages of pieces, bases, shades and units: who may open them, what they show and find, and at how many queries."""

import datetime
from html import unescape

import pytest
from django.urls import reverse
from hypothesis import HealthCheck, given
from hypothesis import settings as property_tests
from hypothesis import strategies as st

from pieces.models import Unit, Variant
from tests.factories import DeskFactory, OwnerFactory, StylistFactory
from tests.pieces.factories import (
    BaseClipFactory,
    BaseFactory,
    BaseTapeAreaFactory,
    MakerFactory,
    PieceFactory,
    ShadeFactory,
    ShadeReadingFactory,
    UnitFactory,
    VariantFactory,
)

pytestmark = pytest.mark.django_db


def text_of(response):
    assert response.status_code == 200, response.status_code
    return unescape(response.content.decode())


def names_found(client, **question):
    page = client.get(reverse("pieces"), question).context["page"]
    return [piece.name for piece in page]


# Who may


@pytest.mark.parametrize(("role", "may_import"), [(DeskFactory, False), (StylistFactory, False), (OwnerFactory, True)])
def test_everybody_browses_and_only_the_owner_imports_and_takes_in(client, role, may_import):
    unit = UnitFactory()
    variant = unit.variant
    client.force_login(role())
    for name, arguments in [
        ("pieces", []),
        ("piece", [variant.piece_id]),
        ("bases", []),
        ("base", [variant.piece.base_id]),
        ("shades", []),
        ("units", []),
        ("unit", [unit.number]),
    ]:
        assert client.get(reverse(name, args=arguments)).status_code == 200, name
    expected = 200 if may_import else 403
    for name, arguments in [
        ("catalogue-import", []),
        ("catalogue-columns", []),
        ("catalogue-example", ["bases"]),
        ("units-receive", [variant.piece_id]),
    ]:
        assert client.get(reverse(name, args=arguments)).status_code == expected, name


def test_nobody_sees_them_without_signing_in(client):
    assert client.get(reverse("pieces")).status_code == 302


def test_only_the_owner_sees_what_a_piece_costs_and_never_turned_to_a_client(client):
    variant = VariantFactory(cost_minor=56123)
    address = reverse("piece", args=[variant.piece_id])
    client.force_login(StylistFactory())
    assert "561.23" not in text_of(client.get(address))
    client.force_login(OwnerFactory())
    cell = '<td role="cell" class="number salon-only" data-says="Cost to us">£561.23</td>'
    assert cell in text_of(client.get(address))


def test_a_units_notes_are_the_salons_alone(stylist):
    unit = UnitFactory(condition="Band re-sewn")
    assert '<dd class="salon-only">Band re-sewn</dd>' in text_of(stylist.get(reverse("unit", args=[unit.number])))


# What is found


def test_pieces_are_found_by_name_maker_base_and_shade(stylist):
    heron = PieceFactory(name="Heron Weir", base__name="Wicket 3")
    VariantFactory(piece=heron, shade__code="walnut-husk", shade__name="Deep warm brown")
    PieceFactory(name="Thimble Lane", base__name="Trellis", base__maker=MakerFactory(name="Osterfen Hairworks"))
    assert names_found(stylist, q="heron") == ["Heron Weir"]
    assert names_found(stylist, q="osterfen") == ["Thimble Lane"]
    assert names_found(stylist, q="wicket WEIR") == ["Heron Weir"]
    assert names_found(stylist, q="walnut") == ["Heron Weir"]
    assert names_found(stylist, q="heron trellis") == []
    assert names_found(stylist) == ["Heron Weir", "Thimble Lane"]


def test_pieces_are_found_by_maker_fibre_texture_and_front_edge(stylist):
    lace = BaseFactory(front_edge="lace")
    wanted = PieceFactory(name="Wanted", base=lace, fibre="heat_friendly", texture="coily")
    PieceFactory(name="Other", base__maker=MakerFactory(name="Osterfen Hairworks"))
    assert names_found(stylist, maker=wanted.base.maker_id) == ["Wanted"]
    assert names_found(stylist, fibre="heat_friendly") == ["Wanted"]
    assert names_found(stylist, texture="coily") == ["Wanted"]
    assert names_found(stylist, front_edge="lace") == ["Wanted"]
    assert names_found(stylist, front_edge="lace", fibre="human") == []


def test_length_and_drawer_are_asked_of_one_and_the_same_variant(stylist):
    piece = PieceFactory(name="Heron Weir")
    UnitFactory(variant=VariantFactory(piece=piece, length_mm=200))
    VariantFactory(piece=piece, length_mm=400)
    assert names_found(stylist, shortest="38 cm", longest="42") == ["Heron Weir"]
    assert names_found(stylist, shortest="15 3/4 in", longest="16 in") == ["Heron Weir"]
    assert names_found(stylist, shortest="38 cm", in_drawer="on") == []
    assert names_found(stylist, longest="25", in_drawer="on") == ["Heron Weir"]
    assert names_found(stylist, shortest="25", longest="35") == []


def test_a_bare_length_is_in_the_readers_units(client):
    VariantFactory(piece__name="Heron Weir", length_mm=406)
    client.force_login(StylistFactory(units="imperial"))
    assert names_found(client, shortest="15", longest="17") == ["Heron Weir"]


def test_a_length_that_cant_be_read_is_said_and_the_rest_is_still_asked(stylist):
    PieceFactory(name="Heron Weir")
    PieceFactory(name="Thimble Lane")
    response = stylist.get(reverse("pieces"), {"q": "heron", "shortest": "long", "fibre": "wool"})
    page = text_of(response)
    assert "Length from: “long” is not a length." in page
    assert "Fibre: Select a valid choice." in page
    assert [piece.name for piece in response.context["page"]] == ["Heron Weir"]
    assert 'value="long"' in page


def test_a_range_the_wrong_way_round_is_said(stylist):
    page = text_of(stylist.get(reverse("pieces"), {"shortest": "40", "longest": "30"}))
    assert "Write the shorter one first." in page


def test_a_narrowing_answers_with_the_list_alone_and_moves_the_address(stylist):
    PieceFactory(name="Heron Weir")
    question = {"q": "heron", "maker": "", "fibre": "human", "page": "1"}
    swap = stylist.get(reverse("pieces"), question, headers={"HX-Request": "true"})
    assert text_of(swap).lstrip().startswith('<div id="piece-list">')
    assert swap["HX-Push-Url"] == "/pieces/?q=heron&fibre=human"
    back = stylist.get(
        reverse("pieces"), question, headers={"HX-Request": "true", "HX-History-Restore-Request": "true"}
    )
    assert "<!doctype html>" in text_of(back)
    assert 'value="heron"' in text_of(back)
    assert "HX-Push-Url" not in back
    assert "HX-Request" in back["Vary"]


def test_the_list_goes_page_by_page_and_keeps_the_question(stylist):
    base = BaseFactory()
    for number in range(30):
        PieceFactory(base=base, name=f"Piece {number:02d}")
    first = stylist.get(reverse("pieces"), {"q": "piece"})
    assert "30 pieces, page 1 of 2" in text_of(first)
    assert 'href="?q=piece&page=2"' in text_of(first)
    second = stylist.get(reverse("pieces"), {"q": "piece", "page": "2"})
    assert [piece.name for piece in second.context["page"]][-1] == "Piece 29"
    assert stylist.get(reverse("pieces"), {"page": "nonsense"}).status_code == 200


def test_bases_and_shades_go_page_by_page(stylist):
    maker = MakerFactory()
    BaseFactory.create_batch(25, maker=maker)
    ShadeFactory.create_batch(121, maker=maker)
    for place, most in (("bases", 24), ("shades", 120)):
        first = stylist.get(reverse(place))
        assert "Page 1 of 2" in text_of(first)
        assert len(first.context["page"]) == most
        assert len(stylist.get(reverse(place), {"page": "2"}).context["page"]) == 1


def test_an_empty_catalogue_says_what_to_do_first(owner):
    assert "Import a catalogue" in text_of(owner.get(reverse("pieces")))
    assert "There are no bases yet." in text_of(owner.get(reverse("bases")))
    assert "There are no shades yet." in text_of(owner.get(reverse("shades")))
    assert "There are no units yet." in text_of(owner.get(reverse("units")))
    assert "No piece answers all of that." in text_of(owner.get(reverse("pieces"), {"q": "x"}))
    assert "No unit answers that." in text_of(owner.get(reverse("units"), {"q": "x"}))


def test_a_discontinued_variant_counts_for_neither_price_nor_length_but_its_units_do(stylist):
    piece = PieceFactory()
    gone = VariantFactory(piece=piece, length_mm=200, price_minor=1000, discontinued_on=datetime.date(2025, 1, 1))
    UnitFactory(variant=gone)
    VariantFactory(piece=piece, length_mm=400, price_minor=90000)
    (listed,) = stylist.get(reverse("pieces")).context["page"]
    assert (listed.shortest_mm, listed.longest_mm, listed.lowest_minor, listed.in_drawer) == (400, 400, 90000, 1)
    assert "no longer made" in text_of(stylist.get(reverse("piece", args=[piece.pk])))


def test_units_are_found_by_number_piece_state_and_purpose(stylist):
    one = UnitFactory(purpose="try-on", variant__piece__name="Heron Weir")
    other = UnitFactory(state="reserved", variant__piece__name="Thimble Lane")

    def found(**question):
        return list(stylist.get(reverse("units"), question).context["page"])

    assert found(q=one.number[2:6].lower()) == [one]
    assert found(q="thimble") == [other]
    assert found(state="reserved") == [other]
    assert found(purpose="try-on") == [one]
    assert found(state="nowhere") == [one, other]


# What is shown


def test_a_piece_shows_its_base_to_scale_in_both_units(client):
    base = BaseFactory(length_mm=152, width_mm=140, front_edge="lace")
    BaseClipFactory(base=base)
    BaseTapeAreaFactory(base=base)
    variant = VariantFactory(piece__base=base, length_mm=350)
    address = reverse("piece", args=[variant.piece_id])
    client.force_login(StylistFactory())
    metric = text_of(client.get(address))
    assert "oval, 15.2 cm long and 14.0 cm wide, with 1 clip and 1 strip for tape" in metric
    assert "35.0 cm" in metric
    client.force_login(StylistFactory(units="imperial"))
    imperial = text_of(client.get(address))
    assert "oval, 6 in long and 5½ in wide" in imperial
    assert "13¾ in" in imperial


@pytest.mark.parametrize(
    ("facts", "heat", "colour"),
    [
        ({"fibre": "human"}, "As human hair: gently", "The maker does not say whether it takes"),
        ({"fibre": "human", "colourable": "yes"}, "As human hair", "Colourable, says the maker"),
        ({"fibre": "heat_friendly", "rated_c": 160}, "Tools up to 160 °C, says", "Synthetic fibre takes no"),
        ({"fibre": "heat_friendly"}, "no temperature, so no heat", "Synthetic fibre takes no"),
        ({"fibre": "standard", "curl_set_c": 95}, "No hot tools or hot air", "Synthetic fibre takes no"),
        ({"fibre": "blend", "synthetic_part": "standard"}, "No hot tools or hot air", "The maker does not say"),
        ({"fibre": "blend", "synthetic_part": "heat_friendly"}, "The maker gives no", "The maker does not say"),
    ],
)  # fmt: skip  # facts and words side by side
def test_a_piece_says_what_its_maker_says_about_heat_and_colour(stylist, facts, heat, colour):
    page = text_of(stylist.get(reverse("piece", args=[PieceFactory(**facts).pk])))
    assert heat in page
    assert colour in page
    if "curl_set_c" in facts:
        assert "Its curl was set at 95 °C" in page


def test_a_shade_without_a_measured_colour_says_so(stylist):
    shade = ShadeFactory(code="ash-keys", unmeasured=True)
    variant = VariantFactory(shade=shade, piece__base__maker=shade.maker)
    for address in (reverse("shades"), reverse("piece", args=[variant.piece_id])):
        assert "not measured" in text_of(stylist.get(address))


def test_a_measured_shade_is_drawn_in_its_own_colours(stylist):
    # 38.036, 12.679, 24.667 is #785132: the CSS colour tests' value, see salon.colour.lab
    lab = {
        f"{zone}_{axis}": value
        for zone in ("root", "mid", "ends")
        for axis, value in (("l", 38.036), ("a", 12.679), ("b", 24.667))
    }
    variant = VariantFactory(shade=ShadeFactory(**lab))
    assert 'fill="#785132"' in text_of(stylist.get(reverse("piece", args=[variant.piece_id])))
    assert 'stop-color="#785132"' in text_of(stylist.get(reverse("shades")))


def test_what_a_maker_wrote_is_shown_as_text(stylist):
    piece = PieceFactory(name="<script>alert(1)</script>")
    page = stylist.get(reverse("piece", args=[piece.pk])).content.decode()
    assert "<script>alert" not in page
    assert "&lt;script&gt;" in page


def test_an_address_of_nothing_is_not_found(owner):
    nothing = {"piece": 10**15, "base": 1, "unit": "U-XXXX", "units-receive": 1, "catalogue-example": "hats"}
    for name, argument in nothing.items():
        assert owner.get(reverse(name, args=[argument])).status_code == 404, name


FIELDS = [
    "q",
    "maker",
    "fibre",
    "texture",
    "front_edge",
    "shortest",
    "longest",
    "in_drawer",
    "page",
    "state",
    "purpose",
]
anything = st.one_of(
    st.text(max_size=30),
    st.sampled_from(["\0", "-1", "1" * 40, "nan", "0", "%00", "' OR 1=1 --", "½ in", "2999-99-99", "on"]),
)


@property_tests(suppress_health_check=[HealthCheck.function_scoped_fixture])  # reading changes nothing
@given(st.dictionaries(st.sampled_from(FIELDS), anything))
def test_any_question_at_all_gets_a_page(stylist, question):
    assert stylist.get(reverse("pieces"), question).status_code == 200
    assert stylist.get(reverse("units"), question).status_code == 200


@property_tests(suppress_health_check=[HealthCheck.function_scoped_fixture])  # nothing is stored, or the test fails
@given(wrong=st.sampled_from(["variant", "count", "purpose", "received_on"]), written=anything)
def test_any_receipt_with_a_wrong_field_gets_a_sentence_and_stores_nothing(owner, wrong, written):
    variant = Variant.objects.first() or VariantFactory()
    asked = {"variant": variant.pk, "count": "2", "purpose": "sale", "received_on": "2025-03-14", wrong: "x" + written}
    response = owner.post(reverse("units-receive", args=[variant.piece_id]), asked)
    assert response.status_code == 200
    assert response.context["form"].errors
    assert not Unit.objects.exists()


# At how many queries


@pytest.mark.parametrize("address", ["pieces", "bases", "shades", "units"])
@pytest.mark.parametrize("photo_read", [False, True])
def test_a_list_takes_the_same_queries_for_two_rows_as_for_six(stylist, queries_for, address, photo_read):
    def more(count):
        for _ in range(count):
            unit = UnitFactory(variant__shade__unmeasured=photo_read)
            if photo_read:
                ShadeReadingFactory(shade=unit.variant.shade)
            BaseClipFactory(base=unit.variant.piece.base)
            BaseTapeAreaFactory(base=unit.variant.piece.base)

    more(2)
    few = queries_for(reverse(address))
    more(4)
    assert queries_for(reverse(address)) == few


def test_a_piece_takes_the_same_queries_for_two_variants_as_for_six(owner, queries_for):
    piece = PieceFactory()

    def more(count):
        for _ in range(count):
            unit = UnitFactory(variant=VariantFactory(piece=piece, shade__unmeasured=True))
            ShadeReadingFactory(shade=unit.variant.shade)
            BaseClipFactory(base=piece.base, u_mm=20 + BaseClipFactory._meta.model.objects.count())

    more(2)
    few = queries_for(reverse("piece", args=[piece.pk]))
    more(4)
    assert queries_for(reverse("piece", args=[piece.pk])) == few


# What is done


def test_units_that_came_in_get_numbers_to_be_labelled(owner):
    variant = VariantFactory()
    address = reverse("units-receive", args=[variant.piece_id])
    asked = {"variant": variant.pk, "count": "2", "purpose": "sale", "received_on": "2025-03-14"}
    page = text_of(owner.post(address, asked, follow=True))
    for unit in Unit.objects.all():
        assert unit.number in page
    assert Unit.objects.count() == 2


@pytest.mark.parametrize(
    ("changed", "sentence"),
    [
        ({"count": "0"}, "greater than or equal to 1"),
        ({"count": "51"}, "less than or equal to 50"),
        ({"received_on": "2999-01-01"}, "That day is still to come."),
        ({"purpose": "gift"}, "Select a valid choice."),
        ({"variant": "999999"}, "Select a valid choice."),
    ],
)
def test_units_that_cant_have_come_in_are_refused_with_what_was_typed_kept(owner, changed, sentence):
    variant = VariantFactory()
    asked = {"variant": variant.pk, "count": "2", "purpose": "sale", "received_on": "2025-03-14"} | changed
    page = text_of(owner.post(reverse("units-receive", args=[variant.piece_id]), asked))
    assert sentence in page
    assert f'value="{asked["count"]}"' in page
    assert not Unit.objects.exists()


def test_a_variant_of_another_piece_cant_come_in_here(owner):
    piece, other = PieceFactory(), VariantFactory()
    asked = {"variant": other.pk, "count": "1", "purpose": "sale", "received_on": "2025-03-14"}
    assert "Select a valid choice." in text_of(owner.post(reverse("units-receive", args=[piece.pk]), asked))
