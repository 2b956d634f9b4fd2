"""The pages on which makers, pieces, shades and variants are kept: who may, what is refused, what is kept."""

import pytest
from django.urls import reverse
from django.utils.timezone import localdate

from pieces.models import Maker, Piece, Shade, Variant
from pieces.seen_versions import version_of
from tests.factories import OwnerFactory
from tests.pieces.factories import (
    BaseFactory,
    MakerFactory,
    PieceFactory,
    ShadeFactory,
    UnitFactory,
    VariantFactory,
)

pytestmark = pytest.mark.django_db
PIECE = {"name": "Quarry Lane", "fibre": "human", "texture": "wavy", "density": "medium"}
MEASURED = {
    f"{zone}_{axis}": f"{value}"
    for zone in ("root", "mid", "ends")
    for axis, value in (("l", 25), ("a", 5.6), ("b", 9))
}


def text(answer):
    return " ".join(answer.content.decode().split())


def shown(row):
    return {"shown": str(version_of(row))}


@pytest.mark.parametrize("place", ["pieces", "bases", "shades"])
def test_only_the_owner_is_led_to_adding(client, owner, stylist, place):
    VariantFactory()
    assert "Add a " not in text(stylist.get(reverse(place)))
    client.force_login(OwnerFactory())
    assert "Add a " in text(client.get(reverse(place)))


def test_the_page_of_a_piece_leads_the_owner_to_all_that_can_be_changed(client, stylist):
    variant = VariantFactory()
    address = reverse("piece", args=[variant.piece_id])
    pages = [
        reverse("piece-edit", args=[variant.piece_id]),
        reverse("variant-new", args=[variant.piece_id]),
        reverse("variant-edit", args=[variant.pk]),
        reverse("piece-discontinue", args=[variant.piece_id]),
        reverse("piece-picture-new", args=[variant.piece_id]),
    ]
    assert not [page for page in pages if page in text(stylist.get(address))]
    client.force_login(OwnerFactory())
    assert [page for page in pages if page in text(client.get(address))] == pages


def test_empty_pages_say_what_comes_first(owner):
    assert "Begin with whoever makes the pieces" in text(owner.get(reverse("makers")))
    for name in ("base-new", "shade-new"):
        assert "Add who makes it first." in text(owner.get(reverse(name)))
    assert "A piece is made on one" in text(owner.get(reverse("piece-new")))
    piece = PieceFactory()
    assert "Add the shade first." in text(owner.get(reverse("variant-new", args=[piece.pk])))
    assert "None is listed yet." in text(owner.get(reverse("maker", args=[MakerFactory(name="Lapwing").pk])))


def test_a_maker_is_added_and_changed(owner):
    answer = owner.post(reverse("maker-new"), {"name": "Tollbar", "note": "Rings back"})
    maker = Maker.objects.get()
    assert answer.url == reverse("maker", args=[maker.pk])
    owner.post(answer.url, {"name": "Tollbar Hair", "note": "", **shown(maker)})
    maker.refresh_from_db()
    assert (maker.name, maker.note) == ("Tollbar Hair", "")
    assert "Last changed by" in text(owner.get(answer.url))


def test_a_maker_that_is_there_is_refused_and_what_was_typed_stays(owner):
    MakerFactory(name="Tollbar")
    page = text(owner.post(reverse("maker-new"), {"name": "tollbar", "note": "Rings back"}))
    assert "There is a maker called “Tollbar” already." in page
    assert 'value="Rings back"' in page
    assert Maker.objects.count() == 1


def test_the_list_of_makers_takes_the_same_queries_for_3_as_for_30(owner, queries_for):
    for number in range(3):
        BaseFactory(maker=MakerFactory(name=f"Maker {number}"))
    few = queries_for(reverse("makers"))
    for number in range(3, 30):
        BaseFactory(maker=MakerFactory(name=f"Maker {number}"))
    assert queries_for(reverse("makers")) == few


def test_a_makers_page_takes_the_same_queries_for_3_bases_as_for_20(owner, queries_for):
    maker = MakerFactory()
    BaseFactory.create_batch(3, maker=maker)
    few = queries_for(reverse("maker", args=[maker.pk]))
    BaseFactory.create_batch(17, maker=maker)
    assert queries_for(reverse("maker", args=[maker.pk])) == few


def test_a_piece_is_added_on_the_base_one_came_from(owner):
    base = BaseFactory()
    page = text(owner.get(reverse("piece-new") + f"?base={base.pk}"))
    assert f'<option value="{base.pk}" selected>' in page
    answer = owner.post(reverse("piece-new"), {"base": base.pk, **PIECE, "fibre": "heat_friendly", "rated_c": "320 °F"})
    piece = Piece.objects.get()
    assert answer.url == reverse("piece", args=[piece.pk])
    assert (piece.base, piece.rated_c, piece.curl_set_c) == (base, 160, None)
    assert "so it is not offered" in text(owner.get(answer.url))


@pytest.mark.parametrize(
    ("fields", "sentence"),
    [
        ({"name": ""}, "Write the name."),
        ({"fibre": ""}, "Choose the fibre."),
        ({"base": "999"}, "Select a valid choice."),
        ({"rated_c": "160"}, "Only a heat-friendly fibre has a rated temperature."),
        ({"fibre": "heat_friendly", "rated_c": "hot"}, "“hot” is not a temperature."),
        ({"fibre": "heat_friendly", "rated_c": "40"}, "“40” is 40 °C. Write °C from 60 to 230"),
        ({"fibre": "blend"}, "A blend names its synthetic part"),
        ({"fibre": "standard", "colourable": "yes"}, "Only a piece with human hair can be marked colourable"),
        ({"texture": "frizzy"}, "frizzy is not one of the available choices"),
    ],
)
def test_a_piece_that_cannot_be_is_refused_in_a_sentence(owner, fields, sentence):
    page = text(owner.post(reverse("piece-new"), {"base": BaseFactory().pk, **PIECE, **fields}))
    assert sentence in page
    assert not Piece.objects.exists()
    assert "name" in fields or 'value="Quarry Lane"' in page


def test_a_piece_named_twice_on_a_base_is_refused_beside_its_name(owner):
    there = PieceFactory(name="Quarry Lane")
    form = owner.post(reverse("piece-new"), {"base": there.base_id, **PIECE}).context["form"]
    assert form.errors == {"name": ["A piece of that name is already made on this base."]}


def test_two_owners_change_one_piece_and_the_second_is_told(owner):
    piece = PieceFactory(name="Quarry Lane", texture="straight")
    address, before = reverse("piece-edit", args=[piece.pk]), shown(piece)
    asked = {"base": piece.base_id, **PIECE}
    assert owner.post(address, {**asked, "texture": "wavy", **before}).status_code == 302
    late = owner.post(address, {**asked, "name": "Quarry Row", "texture": "curly", **before})
    assert "changed this on" in text(late)
    assert late.context["form"].errors["texture"] == ["Meanwhile it says: Wavy."]
    assert 'value="Quarry Row"' in text(late)
    piece.refresh_from_db()
    assert (piece.name, piece.texture) == ("Quarry Lane", "wavy")
    now_shown = {"shown": late.context["form"]["shown"].value()}
    assert owner.post(address, {**asked, "name": "Quarry Row", "texture": "curly", **now_shown}).status_code == 302
    piece.refresh_from_db()
    assert (piece.name, piece.texture) == ("Quarry Row", "curly")


@pytest.mark.parametrize("sent", ["", "x", "9" * 30, "-1", "0"])
def test_a_form_without_what_it_had_shown_is_refused_and_the_next_save_is_meant(owner, sent):
    maker = MakerFactory()
    page = owner.post(reverse("maker", args=[maker.pk]), {"name": "Lapwing", "shown": sent})
    assert "This page was sent without what it had shown" in text(page)
    assert page.context["form"]["shown"].value() == str(version_of(maker))
    maker.refresh_from_db()
    assert maker.name == "Marrowick Atelier"


def test_a_shade_is_added_measured_or_not(owner):
    maker = MakerFactory()
    asked = {"maker": maker.pk, "code": "sedge", "name": "Sedge"}
    assert owner.post(reverse("shade-new"), {**asked, "method": ""}).url == reverse("shades")
    assert not Shade.objects.get().is_measured
    owner.post(reverse("shade-new"), {**asked, "code": "loam", "method": "instrument", **MEASURED, "root_b": "9,5"})
    assert Shade.objects.get(code="loam").lab()["root"] == (25, 5.6, 9.5)


@pytest.mark.parametrize(
    ("fields", "sentence"),
    [
        ({"root_l": ""}, "A measured shade has L*a*b* at root, mid-length and ends"),
        ({"method": ""}, "A measured shade has L*a*b* at root, mid-length and ends"),
        ({"mid_l": "101"}, "“101” is out of range. Write a number from 0 to 100"),
        ({"ends_a": "red"}, "“red” is not a number. Write a number from -128 to 127"),
        ({"ends_a": "nan"}, "“nan” is not a number."),
        ({"code": "x" * 25}, "at most 24 characters"),
    ],
)
def test_a_shade_measured_by_halves_is_refused(owner, fields, sentence):
    asked = {"maker": MakerFactory().pk, "code": "sedge", "name": "Sedge", "method": "instrument", **MEASURED}
    page = text(owner.post(reverse("shade-new"), {**asked, **fields}))
    assert sentence in page
    assert 'value="Sedge"' in page
    assert not Shade.objects.exists()


def test_saving_a_shade_as_it_is_shown_changes_no_number(owner):
    shade = ShadeFactory(root_l=25.123456789)
    form = owner.get(reverse("shade-edit", args=[shade.pk])).context["form"]
    sent = {field.html_name: field.value() for field in form}
    assert sent["root_l"] == "25.1235"
    assert owner.post(reverse("shade-edit", args=[shade.pk]), sent).status_code == 302
    shade.refresh_from_db()
    assert (shade.root_l, shade.history.count()) == (25.123456789, 1)


def test_a_variant_is_added_in_the_salons_currency_and_in_inches_too(owner):
    piece, shade = PieceFactory(), ShadeFactory()
    asked = {"shade": shade.pk, "length_mm": "14 in", "price_minor": "£1,249.00", "cost_minor": ""}
    assert owner.post(reverse("variant-new", args=[piece.pk]), asked).url == reverse("piece", args=[piece.pk])
    variant = Variant.objects.get()
    assert (variant.length_mm, variant.price_minor, variant.cost_minor, variant.currency) == (356, 124900, None, "GBP")


@pytest.mark.parametrize(
    ("fields", "sentence"),
    [
        ({"price_minor": ""}, "Write the price."),
        ({"length_mm": ""}, "Write the length of its hair."),
        ({"price_minor": "-5"}, "less than nothing"),
        ({"price_minor": "five"}, "is not an amount"),
        ({"length_mm": "2 m"}, "is not a unit of length"),
        ({"length_mm": "1 cm"}, "can&#x27;t be a length of hair"),
        ({"shade": ""}, "Choose the shade."),
    ],
)
def test_a_variant_that_cannot_be_is_refused_in_a_sentence(owner, fields, sentence):
    piece, shade = PieceFactory(), ShadeFactory()
    asked = {"shade": shade.pk, "length_mm": "35", "price_minor": "1249", "cost_minor": "560"}
    page = text(owner.post(reverse("variant-new", args=[piece.pk]), {**asked, **fields}))
    assert sentence in page
    assert 'value="560"' in page
    assert not Variant.objects.exists()


def test_a_variant_listed_already_is_refused_beside_its_length(owner):
    there = VariantFactory()
    asked = {"shade": there.shade_id, "length_mm": "35 cm", "price_minor": "1"}
    form = owner.post(reverse("variant-new", args=[there.piece_id]), asked).context["form"]
    assert form.errors == {"length_mm": ["This piece is already listed in that shade and length."]}


def test_a_shade_of_another_maker_is_not_offered(owner):
    other = ShadeFactory(maker=MakerFactory(name="Lapwing"))
    ShadeFactory()
    asked = {"shade": other.pk, "length_mm": "35 cm", "price_minor": "1"}
    page = text(owner.post(reverse("variant-new", args=[PieceFactory().pk]), asked))
    assert "Select a valid choice" in page


def test_a_price_kept_in_another_currency_is_asked_for_anew(owner):
    variant = VariantFactory(currency="EUR", cost_minor=100)
    page = text(owner.get(reverse("variant-edit", args=[variant.pk])))
    assert "So far €1,249.00. Write it in GBP." in page
    asked = {"shade": variant.shade_id, "length_mm": "35 cm", "price_minor": "1100", **shown(variant)}
    owner.post(reverse("variant-edit", args=[variant.pk]), asked)
    variant.refresh_from_db()
    assert (variant.price_minor, variant.cost_minor, variant.currency) == (
        110000,
        None,
        "GBP",
    )


def test_a_variant_is_discontinued_from_its_page_and_offered_again(owner):
    variant = UnitFactory().variant
    today = localdate()
    answer = owner.post(reverse("variant-discontinue", args=[variant.pk]), {"on": f"{today}"})
    assert "no longer made" in text(owner.get(answer.url))
    variant.refresh_from_db()
    assert variant.discontinued_on == today
    page = text(owner.get(reverse("variant-edit", args=[variant.pk])))
    assert "Empty it to offer it again." in page
    assert "Offer it no more" not in page
    asked = {"shade": variant.shade_id, "length_mm": "35 cm", "price_minor": "1249", "cost_minor": "560"}
    asked |= {"discontinued_on": "", **shown(variant)}
    owner.post(reverse("variant-edit", args=[variant.pk]), asked)
    variant.refresh_from_db()
    assert variant.discontinued_on is None


@pytest.mark.parametrize("name", ["piece-discontinue", "variant-discontinue"])
@pytest.mark.parametrize("day", ["", "soon", "1999-01-01", "2101-01-01"])
def test_a_day_that_is_none_is_refused_in_a_sentence(owner, name, day):
    variant = VariantFactory()
    key = variant.piece_id if name == "piece-discontinue" else variant.pk
    page = text(owner.post(reverse(name, args=[key]), {"on": day}))
    assert ("Write the day from which" if day in ("", "soon") else "Write a day between 2000 and 2100.") in page
    assert f'value="{day}"' in page or not day
    variant.refresh_from_db()
    assert variant.discontinued_on is None


def test_a_piece_is_discontinued_with_all_its_variants(owner):
    piece = VariantFactory(piece__name="Quarry Lane").piece
    VariantFactory(piece=piece, length_mm=200)
    address = reverse("piece-discontinue", args=[piece.pk])
    assert "It is listed in 2 shades and lengths now" in text(owner.get(address))
    answer = owner.post(address, {"on": f"{localdate()}"})
    page = text(owner.get(answer.url))
    assert "Quarry Lane is offered no more from" in page
    assert page.count("no longer made") == 2
    assert "Nothing of" in text(owner.post(address, {"on": f"{localdate()}"}, follow=True))


def test_what_is_gone_is_no_page(owner):
    for name in ("maker", "base-edit", "piece-edit", "shade-edit", "variant-edit", "variant-new", "piece-discontinue"):
        assert owner.get(reverse(name, args=[999])).status_code == 404
