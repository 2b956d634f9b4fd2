"""Reading a catalogue in from CSV files: what is stored, what a second reading changes, and the example files."""

import pytest

from pieces.catalogue.examples import example_file
from pieces.models import Base, BaseClip, Maker, Piece, Shade, Unit, Variant
from salon.demo.catalogue_loading import load_catalogue
from salon.models import Salon
from tests.factories import OwnerFactory
from tests.pieces.catalogue_files import BASES, KINDS, MODELS, SHADES, UNITS, VARIANTS, stored, words
from tests.pieces.factories import VariantFactory

pytestmark = pytest.mark.django_db


def test_the_example_files_read_in_cleanly_and_a_second_time_change_nothing(read):
    files = {name: example_file(name).read_bytes() for name in KINDS}
    first = read(**files)
    assert (words(first), first.stored) == ([], True)
    assert Base.objects.count() >= 14
    assert Maker.objects.count() == 4
    assert Piece.objects.count() == 64
    assert Shade.objects.count() == 44
    assert Shade.objects.measured().count() == 42
    assert Unit.objects.count() == 160
    counts = stored()
    second = read(**files)
    assert not second.does_something
    assert stored() == counts


def test_the_demo_catalogue_covers_what_the_consult_has_to_tell_apart():
    load_catalogue(by=OwnerFactory())
    assert set(Base.objects.values_list("outline", flat=True)) == set(Base.Outline.values)
    assert set(Base.objects.values_list("front_edge", flat=True)) == set(Base.FrontEdge.values)
    assert Base.objects.filter(two_way=True).exists()
    assert Base.objects.filter(nickel_free="").exists()
    assert set(Piece.objects.values_list("fibre", "colourable")) >= {("human", "yes"), ("human", "no"), ("human", "")}
    rated = Piece.objects.filter(fibre="heat_friendly")
    assert rated.filter(rated_c=None).exists()
    assert rated.exclude(rated_c=None).exists()
    standard = Piece.objects.filter(fibre="standard")
    assert standard.filter(curl_set_c=None).exists()
    assert standard.exclude(curl_set_c=None).exists()
    assert set(Piece.objects.filter(fibre="blend").values_list("synthetic_part", flat=True)) == {
        "heat_friendly",
        "standard",
    }
    assert not Piece.objects.exclude(variants__units__state="drawer").exists()
    assert Unit.objects.filter(purpose="try-on").exists()


def test_every_demo_record_holds_by_its_own_models_rules():
    load_catalogue(by=OwnerFactory())
    for model in MODELS:
        for record in model.objects.all():
            record.full_clean()


def test_rooted_demo_shades_are_darker_at_the_root_and_all_lie_where_hair_lies():
    load_catalogue(by=OwnerFactory())
    for shade in Shade.objects.measured():
        for lightness, red, yellow in shade.lab().values():
            assert 12 <= lightness <= 75
            assert 1 <= red <= 14
            assert 2 <= yellow <= 28
        if "-over-" in shade.code:
            assert shade.root_l < shade.mid_l - 10


def test_semicolons_decimal_commas_units_and_a_byte_order_mark_are_read(read):
    report = read(
        bases="\ufeffMaker;Name;Outline;Length mm;Width-mm;Construction\n"
        "Tollbar;Latch;Narrower at the front;10,2 cm;4 in;Silk top\n",
        shades="maker;code;name;method;root_l;root_a;root_b;mid_l;mid_a;mid_b;ends_l;ends_a;ends_b\n"
        "Tollbar;sedge;Sedge;instrument;24,5;3;5,25;25;3;5;26,5;3;−0,5\n",
    )
    assert words(report) == []
    base, shade = Base.objects.get(), Shade.objects.get()
    assert (base.length_mm, base.width_mm, base.outline, base.construction) == (102, 102, "tapered_front", "silk")
    assert (shade.root_l, shade.root_b, shade.ends_b) == (24.5, 5.25, -0.5)


def test_clips_and_tape_are_read_and_usual_clips_lie_on_the_base(read):
    report = read(
        bases=BASES.strip() + ",clips,tape_areas\n"
        "Tollbar,Latch,oval,120,100,mono,60 left 40 | 8 middle long 28 | 60 right 40,0 to 12 | 108 to 120\n"
        "Tollbar,Hasp,oval,120,100,mono,usual,\n"
    )
    assert words(report) == []
    latch = Base.objects.with_shape().get(name="Latch").shape()
    assert [(clip.u_mm, clip.v_mm, clip.length_mm) for clip in latch.clips] == [
        (8, 0, 28),
        (60, -40, 32),
        (60, 40, 32),
    ]
    assert [(area.from_mm, area.to_mm) for area in latch.tape_areas] == [(0, 12), (108, 120)]
    assert len(Base.objects.with_shape().get(name="Hasp").shape().clips) == 6


def test_a_file_read_again_changes_prices_by_key_and_keeps_the_history(read, known_piece):
    variant = VariantFactory(piece=known_piece, shade=Shade.objects.get(), length_mm=350, price_minor=100000)
    report = read(variants=VARIANTS + "Marrowick Atelier,Wicket 3,Heron Weir,walnut-husk,350,1249.50\n")
    assert report.stored
    tally = report.tallies[0]
    assert (tally.added, tally.changed, tally.unchanged) == (0, 1, 0)
    assert tally.changes[0].differences == [("price", "£1,000.00", "£1,249.50")]
    variant.refresh_from_db()
    assert variant.price_minor == 124950
    assert variant.cost_minor == 56000  # its column was left out, so it stays
    latest = variant.history.first()
    assert (latest.history_type, latest.price_minor) == ("~", 124950)
    assert latest.history_user.groups.get().name == "Owner"


def test_a_changed_size_of_a_base_moves_its_clips_or_is_refused_for_them(read):
    read(bases=BASES.strip() + ",clips\nTollbar,Latch,oval,120,100,mono,112 middle\n")
    smaller = read(bases=BASES + "Tollbar,Latch,oval,100,100,mono\n")
    assert words(smaller) == [
        "bases.csv, line 2, clips: The clip 112 mm behind the front edge lies off the base: the base is shorter "
        "than that."
    ]
    bigger = read(bases=BASES + "Tollbar,Latch,oval,140,100,mono\n")
    assert bigger.stored
    clip = BaseClip.objects.get()
    assert (clip.u_mm, clip.base_length_mm) == (112, 140)


def test_a_new_unit_without_a_number_gets_one_and_lies_in_the_drawer(read, known_piece):
    VariantFactory(piece=known_piece, shade=Shade.objects.get(), length_mm=350)
    line = ",Marrowick Atelier,Wicket 3,Heron Weir,walnut-husk,35 cm,2025-03-14\n"
    assert read(units=UNITS + line + line).stored
    assert [unit.state for unit in Unit.objects.all()] == ["drawer", "drawer"]
    assert len({unit.number for unit in Unit.objects.all()}) == 2


def test_reading_a_units_file_again_leaves_where_the_units_are(read, known_piece):
    VariantFactory(piece=known_piece, shade=Shade.objects.get(), length_mm=350)
    line = "{},Marrowick Atelier,Wicket 3,Heron Weir,walnut-husk,350,{}\n"
    read(units=UNITS + line.format("", "2025-03-14"))
    unit = Unit.objects.get()
    Unit.objects.update(state="with client")
    assert read(units=UNITS + line.format(unit.number.lower(), "2025-03-15")).tallies[0].changed == 1
    unit.refresh_from_db()
    assert (unit.state, unit.received_on.day) == ("with client", 15)


def test_a_cell_that_looks_like_a_formula_is_just_text(read):
    assert read(shades=SHADES + '"=HYPERLINK(""x"")",+1+1,"@SUM(A1)"\n').stored
    shade = Shade.objects.get()
    assert (shade.maker.name, shade.code, shade.name) == ('=HYPERLINK("x")', "+1+1", "@SUM(A1)")


def test_prices_are_in_the_salons_currency(read, known_piece):
    Salon.objects.default()
    Salon.objects.update(currency="JPY")
    line = "Marrowick Atelier,Wicket 3,Heron Weir,walnut-husk,350,{}\n"
    assert "finer than the smallest coin" in words(read(variants=VARIANTS + line.format("149000.50")))[0]
    assert read(variants=VARIANTS + line.format("149000")).stored
    variant = Variant.objects.get()
    assert (variant.price_minor, variant.currency) == (149000, "JPY")


def test_a_dry_run_says_all_and_stores_nothing(read):
    before = stored()
    report = read(dry_run=True, **{name: example_file(name).read_bytes() for name in KINDS})
    assert report.is_clean
    assert not report.stored
    assert [tally.added for tally in report.tallies][2] == 64
    assert len(report.remarks) == 4
    assert stored() == before
