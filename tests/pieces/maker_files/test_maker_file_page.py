"""The page of a maker's own file: which column is which, a look, then all or nothing, remembered for the next."""

from html import unescape

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils.timezone import now

from pieces.catalogue import kinds
from pieces.catalogue.columns_kept import columns_of, keep_columns
from pieces.catalogue.maker_sheets import Meaning
from pieces.models import Maker, MakerColumns, Piece, Shade, Variant
from salon.common.tied import NO_BREAK
from tests.factories import OwnerFactory
from tests.pieces.catalogue_files import stored
from tests.pieces.factories import BaseFactory, MakerFactory, PieceFactory, VariantFactory
from tests.pieces.maker_files.files import HOSTILE, PRICES, SHADES, STYLES

pytestmark = pytest.mark.django_db
SHADES_SAID = {"code-column": "Code", "name-column": "Description"}
PRICES_SAID = {
    "base-column": "Foundation",
    "piece-column": "Style",
    "shade-column": "Colour",
    "length_mm-column": "Length (in)",
    "length_mm-unit": "in",
    "price-column": "RRP",
    "cost-column": "Trade",
}
STYLES_SAID = {"base-column": "Foundation", "name-column": "Style", "fibre-column": "Hair", "texture-column": "Fall"}


def text_of(response):
    assert response.status_code == 200, response.status_code
    return unescape(response.content.decode()).replace(NO_BREAK, " ")


@pytest.fixture
def send(owner):
    """Sends a file as the owner; what is said of its columns goes with the mark of the look before."""

    def sender(kind, content, maker=None, new_maker="", **said):
        content = content.encode() if isinstance(content, str) else content
        file = SimpleUploadedFile("list.csv", content)
        fields = {"maker": maker.pk if maker else "", "new_maker": new_maker, "kind": kind, "file": file}
        return owner.post(reverse("maker-file"), fields | said)

    return sender


@pytest.fixture
def looked(send):
    """Looks at a file twice: for its columns, and then with what is said of them."""

    def looker(kind, content, maker=None, new_maker="", **said):
        first = send(kind, content, maker, new_maker).context["looked"]
        return send(kind, content, maker, new_maker, asked_of=first.asked_of, **said)

    return looker


def take(send, seen, kind, content, maker=None, new_maker="", **said):
    looked = seen.context["looked"]
    return send(kind, content, maker, new_maker, asked_of=looked.asked_of, checked=looked.checked, take="", **said)


def test_the_columns_are_asked_for_first_and_nothing_is_stored(send):
    before = stored()
    page = text_of(send("shades", SHADES, new_maker="Tollbar Hair"))
    assert "What is filled in is a guess by the names of the columns." in page
    assert "Description (Deep warm brown, Pale ash)" in page
    assert stored() == before


def test_a_look_says_of_every_line_what_becomes_of_it_and_taking_in_does_it(send, looked):
    whose = {"new_maker": "Tollbar Hair"}
    seen = looked("shades", SHADES, **whose, **SHADES_SAID)
    page = text_of(seen)
    assert "2 new, 0 changed, 0 as they were" in page
    assert "“Tollbar Hair” is a maker not known yet and is added." in page
    assert "Tollbar Hair, walnut-husk" in page
    assert not Maker.objects.exists()
    assert take(send, seen, "shades", SHADES, **whose, **SHADES_SAID).status_code == 302
    assert set(Shade.objects.values_list("code", "name")) == {("walnut-husk", "Deep warm brown"), ("sedge", "Pale ash")}
    kept = MakerColumns.objects.get()
    assert (kept.maker.name, kept.kind, kept.columns) == (
        "Tollbar Hair", "shades", {"code": "Code", "name": "Description"},
    )  # fmt: skip  # in one glance
    assert kept.kept_by.groups.get().name == "Owner"


def test_her_next_file_is_looked_at_by_what_was_remembered(send, looked):
    whose = {"new_maker": "Tollbar Hair"}
    seen = looked("shades", SHADES, **whose, **SHADES_SAID)
    take(send, seen, "shades", SHADES, **whose, **SHADES_SAID)
    page = text_of(send("shades", SHADES.replace("Pale ash", "Ash"), maker=Maker.objects.get()))
    assert "As it was said for this maker’s last file." in page
    assert "0 new, 1 changed, 1 as they were" in page
    assert "Tollbar Hair, sedge: name Pale ash → Ash" in page
    renamed = text_of(send("shades", SHADES.replace("Description", "Words"), maker=Maker.objects.get()))
    assert "this file does not name Description any more" in renamed
    assert "This is needed: choose the column, or write it beside." in renamed


def test_new_prices_are_taken_in_and_the_old_ones_stay_on_their_page(send, looked, known_piece, owner):
    maker = known_piece.base.maker
    seen = looked("variants", PRICES, maker=maker, **PRICES_SAID)
    assert take(send, seen, "variants", PRICES, maker=maker, **PRICES_SAID).status_code == 302
    dearer = PRICES.replace("1.249,00", "1.299,00")
    seen = send("variants", dearer, maker=maker)
    assert "price £1,249.00 → £1,299.00" in text_of(seen)
    assert take(send, seen, "variants", dearer, maker=maker, **PRICES_SAID).status_code == 302
    variant = Variant.objects.get(length_mm=356)
    assert (variant.price_minor, variant.cost_minor) == (129900, 56000)
    prices = text_of(owner.get(reverse("variant-prices", args=[variant.pk])))
    assert prices.index("£1,299.00") < prices.index("£1,249.00")
    assert "£560.00" in prices


def test_what_a_list_leaves_out_is_said_and_left_as_it_is(looked, known_piece):
    VariantFactory(piece=known_piece, shade=Shade.objects.get(), length_mm=500)
    page = text_of(looked("variants", PRICES, maker=known_piece.base.maker, **PRICES_SAID))
    assert "Not in this file, and left as they are: Heron Weir, walnut-husk, 500 mm." in page


def test_her_words_are_asked_for_and_remembered(send, looked, known_piece):
    maker = known_piece.base.maker
    seen = looked("pieces", STYLES, maker=maker, **STYLES_SAID)
    page = text_of(seen)
    assert "What the maker’s words mean" in page
    assert '“remy” <span class="quiet">(2 lines)</span>' in page
    assert "3 things to mend first" in page
    words = {
        "fibre-word": ["remy", "fibre hf"],
        "fibre-means": ["human", "heat_friendly"],
        "texture-word": ["bone straight"],
        "texture-means": ["straight"],
    }
    seen = looked("pieces", STYLES, maker=maker, **STYLES_SAID, **words)
    assert "2 new, 0 changed" in text_of(seen)
    assert "1 line says what an earlier line said and is passed over." in text_of(seen)
    take(send, seen, "pieces", STYLES, maker=maker, **STYLES_SAID, **words)
    assert dict(Piece.objects.values_list("name", "fibre")) == {
        "Heron Weir": known_piece.fibre, "Otter Reach": "human", "Bittern Fold": "heat_friendly",
    }  # fmt: skip  # in one glance
    assert "Nothing would change" in text_of(send("pieces", STYLES, maker=maker))


def test_a_list_may_call_shades_by_name_and_leave_the_base_out(send, looked, known_piece):
    maker = known_piece.base.maker
    Shade.objects.update(name="Deep warm brown")
    said = {name: value for name, value in PRICES_SAID.items() if name != "base-column"}
    seen = looked("variants", PRICES.replace("walnut-husk", "deep WARM brown"), maker=maker, **said)
    assert "2 new, 0 changed" in text_of(seen)
    assert "Marrowick Atelier, Wicket 3, Heron Weir, walnut-husk, 356 mm" in text_of(seen)
    strange = looked("variants", PRICES.replace("walnut-husk", "Peacock"), maker=maker, **said)
    assert "“Peacock” is no shade of this maker. Add the shade first. Or say above what it means." in text_of(strange)
    words = {"shade-word": "peacock", "shade-means": "walnut-husk"}
    meant = looked("variants", PRICES.replace("walnut-husk", "Peacock"), maker=maker, **said, **words)
    assert "2 new, 0 changed" in text_of(meant)


def test_a_piece_on_two_bases_needs_its_base_named(looked, known_piece):
    maker = known_piece.base.maker
    PieceFactory(name=known_piece.name, base=BaseFactory(maker=maker, name="Wicket 4"))
    said = {name: value for name, value in PRICES_SAID.items() if name != "base-column"}
    page = text_of(looked("variants", PRICES, maker=maker, **said))
    assert "<strong>Style</strong>: This piece is known on no base or on several." in page
    assert "2 new, 0 changed" in text_of(looked("variants", PRICES, maker=maker, **PRICES_SAID))


def test_one_bad_line_stores_nothing_and_its_column_is_called_as_she_calls_it(send, looked, known_piece):
    maker, before = known_piece.base.maker, stored()
    bad = PRICES + "Heron Weir;Wicket 3;walnut-husk;18;much;;\nHeron Wier;Wicket 3;walnut-husk;18;1;;\n"
    seen = looked("variants", bad, maker=maker, **PRICES_SAID)
    page = text_of(seen)
    assert "2 things to mend first" in page
    assert "<strong>RRP</strong>: “much” is not an amount" in page
    assert "<strong>Style</strong>: No piece on the base Wicket 3 is called “Heron Wier”. Did you mean" in page
    assert "take" not in {button.split('"')[0] for button in page.split('name="')}
    assert text_of(take(send, seen, "variants", bad, maker=maker, **PRICES_SAID)).count("to mend first") == 1
    assert stored() == before


def test_columns_can_be_remembered_while_lines_are_still_to_be_mended(send, looked, known_piece):
    maker = known_piece.base.maker
    bad = PRICES + "Heron Weir;Wicket 3;walnut-husk;18;much;;\n"
    seen = looked("variants", bad, maker=maker, **PRICES_SAID)
    assert "Remember the columns for the next file" in text_of(seen)
    kept = send("variants", bad, maker, asked_of=seen.context["looked"].asked_of, keep="", **PRICES_SAID)
    assert "what the columns mean is there for this maker’s next file" in text_of(kept)
    assert MakerColumns.objects.get().units == {"length_mm": "in"}
    assert not Variant.objects.exists()


@pytest.mark.parametrize("changed", ["file", "meaning", "nothing was looked at"])
def test_only_what_was_looked_at_is_taken_in(send, looked, changed):
    whose = {"new_maker": "Tollbar Hair"}
    seen = looked("shades", SHADES, **whose, **SHADES_SAID).context["looked"]
    content = SHADES + "rush,Rush\n" if changed == "file" else SHADES
    said = SHADES_SAID | ({"name-column": "Code"} if changed == "meaning" else {})
    checked = "" if changed == "nothing was looked at" else seen.checked
    page = text_of(send("shades", content, **whose, asked_of=seen.asked_of, checked=checked, take="", **said))
    assert "this is not what was looked at, so nothing was stored" in page
    assert not Shade.objects.exists()
    assert not MakerColumns.objects.exists()


def test_a_look_asks_the_same_questions_for_thirty_lines_as_for_three(send, looked, known_piece):
    maker = known_piece.base.maker
    header = PRICES.splitlines()[0]

    def queries(count):
        lines = [f"Heron Weir;Wicket 3;walnut-husk;{10 + n};{900 + n};;" for n in range(count)]
        content = "\n".join([header, *lines])
        mark = looked("variants", content, maker=maker, **PRICES_SAID).context["looked"].asked_of
        with CaptureQueriesContext(connection) as asked:
            seen = send("variants", content, maker, asked_of=mark, **PRICES_SAID)
        assert seen.context["looked"].report.tallies[0].added == count
        return len(asked)

    assert queries(3) == queries(30)


def test_what_is_remembered_takes_the_place_of_what_was(known_piece, owner):
    at, by = now(), OwnerFactory()
    kind, maker = kinds("GBP")["shades"], known_piece.base.maker
    keep_columns(maker=maker, kind=kind, meaning=Meaning({"code": "Code"}, units={"x": "mm"}), by=by, at=at)
    other = Meaning({"code": "No"}, {"name": "Sedge"}, {}, {"method": {"n/a": "-"}})
    keep_columns(maker=maker, kind=kind, meaning=other, by=by, at=at)
    assert columns_of(maker, kind) == other
    assert MakerColumns.objects.count() == 1
    assert columns_of(MakerFactory(name="Tollbar Hair"), kind) is None


def test_taking_in_twice_stores_once(send, looked):
    whose = {"new_maker": "Tollbar Hair"}
    seen = looked("shades", SHADES, **whose, **SHADES_SAID)
    for _ in range(2):
        assert take(send, seen, "shades", SHADES, **whose, **SHADES_SAID).status_code == 302
    assert Shade.objects.count() == 2
    assert Shade.history.count() == 2


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_file_gets_a_sentence_and_stores_nothing(send, name):
    before = stored()
    content, sentence = HOSTILE[name]
    page = text_of(send("shades", content, new_maker="Tollbar Hair"))
    assert "This file can’t be read" in page
    assert sentence in page
    assert stored() == before


@pytest.mark.parametrize(
    ("fields", "sentence"),
    [
        ({}, "Say whose file it is: choose a maker, or name a new one."),
        ({"both": "yes"}, "Choose a maker or name a new one, not both."),
        ({"kind": "units"}, "What each line is about: Select a valid choice."),
        ({"gone": "yes"}, "This maker is not in the catalogue any more."),
        ({"file": ""}, "The file: Choose the file. A page that was sent forgets it"),
        ({"file": b"x" * 10_000_001}, "The file: The file is larger than 10 MB. Split it into several."),
    ],
)
def test_what_the_first_form_refuses(owner, fields, sentence):
    maker = MakerFactory()
    sent = {"kind": "shades", "file": SimpleUploadedFile("list.csv", SHADES.encode())}
    if fields:
        sent["new_maker"] = "Tollbar Hair"
    if "both" in fields:
        sent["maker"] = maker.pk
    if "gone" in fields:
        sent |= {"maker": 10**30, "new_maker": ""}
    if fields.get("file"):
        sent["file"] = SimpleUploadedFile("list.csv", fields["file"])
    sent |= {name: value for name, value in fields.items() if name == "kind" or value == ""}
    assert sentence in text_of(owner.post(reverse("maker-file"), sent))


@pytest.mark.parametrize(
    ("said", "sentence"),
    [
        ({"name-column": "Words"}, "This column is not in the file. Choose another."),
        ({"name-column": ""}, "This is needed: choose the column, or write it beside."),
        ({"name-always": "Sedge"}, "Choose a column or write this, not both."),
        ({"name-column": "", "name-always": "x" * 81}, "This is 81 characters long. Write at most 80."),
        ({"root_l-always": "dark"}, "“dark” is not a number. Write a number from 0 to 100, such as 50."),
    ],
)
def test_what_is_said_of_the_columns_is_refused_beside_them_and_stays(looked, said, sentence):
    page = text_of(looked("shades", SHADES, new_maker="Tollbar Hair", **SHADES_SAID | said))
    assert sentence in page
    assert "Some columns are not clear yet" in page
    if said.get("name-always"):
        assert f'value="{said["name-always"]}"' in page


def test_a_swap_gets_the_look_alone_and_then_the_page_anew(owner):
    sent = {"new_maker": "Tollbar Hair", "kind": "shades", **SHADES_SAID}

    def swap(**fields):
        file = SimpleUploadedFile("list.csv", SHADES.encode())
        return owner.post(reverse("maker-file"), sent | fields | {"file": file}, headers={"HX-Request": "true"})

    first = swap()
    assert text_of(first).lstrip().startswith('<div id="import-report"')
    seen = swap(asked_of=first.context["looked"].asked_of).context["looked"]
    assert swap(asked_of=seen.asked_of, checked=seen.checked, take="")["HX-Redirect"] == reverse("maker-file")
