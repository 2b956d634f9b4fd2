"""Reading a catalogue in from CSV files: what is stored, what is refused in which words, and all or nothing."""

import csv
import io
from collections import Counter

import pytest
from django.core.management import CommandError, call_command
from django.db import connection
from django.test.utils import CaptureQueriesContext
from hypothesis import HealthCheck, given
from hypothesis import settings as property_tests
from hypothesis import strategies as st

from pieces.catalogue import kinds, read_catalogue
from pieces.catalogue.examples import example_file
from pieces.catalogue.sheets import LARGEST_BYTES, MOST_BAD_LINES, MOST_LINES
from pieces.models import Base, BaseClip, BaseTapeArea, Maker, Piece, Shade, Unit, Variant
from salon.demo.catalogue_loading import load_catalogue
from salon.models import Salon
from tests.factories import OwnerFactory
from tests.pieces.factories import BaseFactory, MakerFactory, PieceFactory, ShadeFactory, VariantFactory

KINDS = ("bases", "shades", "pieces", "variants", "units")
MODELS = (Maker, Base, BaseClip, BaseTapeArea, Shade, Piece, Variant, Unit)
BASES = "maker,name,outline,length_mm,width_mm,construction\n"
SHADES = "maker,code,name\n"
PIECES = "maker,base,name,fibre,texture\n"
VARIANTS = "maker,base,piece,shade,length_mm,price\n"
UNITS = "number,maker,base,piece,shade,length_mm,received_on\n"

pytestmark = pytest.mark.django_db


@pytest.fixture
def read():
    """Reads files given as text or bytes by kind, as the owner."""
    owner = OwnerFactory()

    def reader(dry_run=False, **files):
        as_bytes = {name: text.encode() if isinstance(text, str) else text for name, text in files.items()}
        return read_catalogue(as_bytes, dry_run=dry_run, by=owner)

    return reader


@pytest.fixture
def known_piece():
    base = BaseFactory(name="Wicket 3", maker__name="Marrowick Atelier")
    ShadeFactory(maker=base.maker, code="walnut-husk")
    return PieceFactory(base=base, name="Heron Weir")


def words(report):
    return [str(bad) for bad in report.bad_lines]


def stored():
    return {model.__name__: model.objects.count() for model in MODELS}


# What goes in


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


# What is refused


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        (b"", "bases.csv: The file is empty. Its first line names the columns."),
        (b"PK\x03\x04rest", "bases.csv: This is a workbook or an archive, not a text file. Save it as “CSV UTF-8”,"),
        (BASES.encode("utf-16"), "bases.csv: This text is in UTF-16, not in UTF-8."),
        (b"maker\0name", "bases.csv: This is not a text file."),
        (BASES.encode() + "é".encode("latin-1"), "bases.csv, line 2: From here on the text is not in UTF-8."),
        (b"x" * (LARGEST_BYTES + 1), "bases.csv: The file is larger than 4 MB. Split it into several."),
        (b"a poem about hair\n", "bases.csv, line 1: The first line does not name the columns, or they are"),
        (BASES.encode(), "bases.csv: The file has a header and no lines under it."),
        (b"maker,name,outlien\n", "bases.csv, line 1, outlien: There is no column of that name. Did you mean outline?"),
        (b"maker,name,xyzzy\n", "bases.csv, line 1, xyzzy: There is no column of that name. The columns are: maker,"),
        (b"maker,name,maker\n", "bases.csv, line 1, maker: This column stands twice in the header."),
        (b"maker,,name\n", "bases.csv, line 1: Column 2 has no name."),
        (b"maker,name\n", "bases.csv, line 1: The header lacks outline, length_mm, width_mm and construction."),
        (BASES.encode() + b'a,"b"c,oval,1,1,mono\n', "bases.csv, line 2: A quotation mark is out of place here"),
        (BASES.encode() + b'a,"b\nc\n', "bases.csv, line 2: A quotation mark is out of place here, or one that"),
        (BASES.encode() + b'a,"b\nc",oval,100,100,mono\n', "bases.csv, line 2, name: This cell runs over"),
        (BASES.encode() + b"a,b,oval\n", "bases.csv, line 2: This line has 3 cells, the header names 6 columns."),
        (BASES.encode() + b"a,b,oval,10,2,100,mono\n", "bases.csv, line 2: This line has 7 cells"),
        (BASES.encode() + b"a,b,oval,100,100,mono\n" * (MOST_LINES + 1), "bases.csv, line 20002: The file has"),
    ],
    ids=lambda value: value[:48] if isinstance(value, str) else "file",
)  # fmt: skip  # a file and its sentence read side by side
def test_a_file_that_cant_be_read_is_refused_in_a_sentence(read, content, sentence):
    report = read(bases=content)
    assert any(line.startswith(sentence) for line in words(report)), words(report)[:3]
    assert not report.stored
    assert not Base.objects.exists()


@pytest.mark.parametrize(
    ("line", "sentence"),
    [
        (",Latch,oval,100,100,mono", "maker: This cell is empty. Write text of at most 80 characters."),
        ("Tollbar," + "x" * 81 + ",oval,100,100,mono", "name: This is 81 characters long. Write at most 80."),
        ("Tollbar,Latch,ovel,100,100,mono", "outline: “ovel” is none of the words for this column. Did you mean oval?"),
        ("Tollbar,Latch,oval,ten,100,mono", "length_mm: “ten” is not a length. Write millimetres from 20 to 450,"),
        ("Tollbar,Latch,oval,15,100,mono", "length_mm: “15” is 15 mm. Write millimetres from 20 to 450,"),
        ("Tollbar,Latch,oval,100,20 in,mono", "width_mm: “20 in” is 508 mm. Write millimetres from 20 to 450,"),
        ("Tol\x07lbar,Latch,oval,100,100,mono", "maker: This cell holds a character that can't be printed."),
    ],
)
def test_a_bad_cell_is_named_with_its_line_its_column_and_what_would_be_right(read, line, sentence):
    report = read(bases=BASES + "Tollbar,Hasp,oval,100,100,mono\n" + line + "\n")
    assert len(report.bad_lines) == 1
    assert words(report)[0].startswith("bases.csv, line 3, " + sentence)
    assert not Base.objects.exists()


@pytest.mark.parametrize(
    ("clips", "tape", "sentence"),
    [
        ("8 centre", "", "“8 centre” is not a clip. Write each clip by its middle"),
        ("100 left 40", "", "The clip 100 mm behind the front edge lies off the base: there the base reaches 37 mm"),
        ("60 left 60", "", "The clip 60 mm behind the front edge lies off the base: there the base reaches 50 mm"),
        ("8 middle | 8 middle", "", "Two clips lie at one place. Write each clip once."),
        ("", "12 to 12", "The strip 12 to 12 has no depth."),
        ("", "90 to 140", "The strip 90 to 140 ends behind the base, which is 120 mm long."),
        ("", "0 to 20 | 15 to 30", "The strips at 0 and 15 mm overlap. Write them as one."),
        ("", "front", "“front” is not a strip for tape."),
    ],
)
def test_clips_and_tape_off_the_base_are_refused(read, clips, tape, sentence):
    report = read(bases=BASES.strip() + f",clips,tape_areas\nTollbar,Latch,oval,120,100,mono,{clips},{tape}\n")
    assert [bad.sentence[: len(sentence)] for bad in report.bad_lines] == [sentence]


@pytest.mark.parametrize(
    ("cells", "column", "sentence"),
    [
        ("blend,,,", "synthetic_part", "A blend names its synthetic part."),
        ("human,standard,,", "synthetic_part", "Only a blend has a synthetic part."),
        ("standard,,160,", "rated_c", "Only a heat-friendly fibre has a rated temperature."),
        ("human,,160,", "rated_c", "Only a heat-friendly fibre has a rated temperature."),
        ("heat_friendly,,400 °C,", "rated_c", "“400 °C” is not a temperature. Write °C from 60 to 230"),
        ("heat_friendly,,250,", "rated_c", "“250” is 250 °C. Write °C from 60 to 230"),
        ("standard,,,yes", "colourable", "Only human hair is marked colourable or not."),
    ],
)
def test_a_piece_that_contradicts_itself_is_refused(read, known_piece, cells, column, sentence):
    header = "maker,base,name,texture,fibre,synthetic_part,rated_c,colourable\n"
    report = read(pieces=header + f"Marrowick Atelier,Wicket 3,Otter Reach,wavy,{cells}\n")
    assert [(bad.column, bad.sentence[: len(sentence)]) for bad in report.bad_lines] == [(column, sentence)]


def test_a_rated_temperature_in_fahrenheit_is_never_rounded_up(read, known_piece):
    header = "maker,base,name,texture,fibre,rated_c\n"
    assert read(pieces=header + "Marrowick Atelier,Wicket 3,Otter Reach,wavy,heat_friendly,350 °F\n").stored
    assert Piece.objects.get(name="Otter Reach").rated_c == 176  # 176.7


def test_a_shade_is_measured_whole_or_not_at_all(read):
    header = "maker,code,name,method,root_l,root_a,root_b,mid_l,mid_a,mid_b,ends_l,ends_a,ends_b\n"
    report = read(
        shades=header
        + "Tollbar,sedge,Sedge,instrument,20,2,3,20,2,,20,2,3\n"
        + "Tollbar,rush,Rush,,20,2,3,20,2,3,20,2,3\n"
        + "Tollbar,reed,Reed,instrument,120,2,3,20,2,3,20,2,3\n"
    )
    assert words(report) == [
        "shades.csv, line 2, mid_b: A measured shade has all nine numbers. Fill this one in, or leave method and all "
        "nine empty.",
        "shades.csv, line 3, method: There are colour values, but not how they were measured. Write instrument here.",
        "shades.csv, line 4, root_l: “120” is out of range. Write a number from 0 to 100, such as 50.",
    ]


def test_the_same_key_twice_in_a_file_names_the_earlier_line(read):
    line = "Tollbar,Latch,oval,100,100,mono\n"
    report = read(bases=BASES + line + "Tollbar,Hasp,oval,100,100,mono\n" + line)
    assert words(report) == [
        "bases.csv, line 4, name: Tollbar, Latch stands in line 2 already. Keep one of the two lines."
    ]


def test_names_that_are_not_known_are_refused_with_the_nearest_that_is(read, known_piece):
    VariantFactory(piece=known_piece, shade=Shade.objects.get(), length_mm=350)
    report = read(
        pieces=PIECES
        + "Marowick Atelier,Wicket 3,A,human,wavy\n"
        + "Marrowick Atelier,Wickt 3,B,human,wavy\n"
        + "Marrowick Atelier,Zzz,C,human,wavy\n",
        variants=VARIANTS
        + "Marrowick Atelier,Wicket 3,Heron Wier,walnut-husk,350,100\n"
        + "Marrowick Atelier,Wicket 3,Heron Weir,walnut-hust,350,100\n",
        units=UNITS + ",Marrowick Atelier,Wicket 3,Heron Weir,walnut-husk,400,2025-03-14\n",
    )
    assert words(report) == [
        "pieces.csv, line 2, maker: No maker is called “Marowick Atelier”. Did you mean “Marrowick Atelier”?",
        "pieces.csv, line 3, base: No base of Marrowick Atelier is called “Wickt 3”. Did you mean “Wicket 3”?",
        "pieces.csv, line 4, base: No base of Marrowick Atelier is called “Zzz”. Mend the name, or add it to bases.csv "
        "first.",
        "variants.csv, line 2, piece: No piece on the base Wicket 3 is called “Heron Wier”. Did you mean “Heron Weir”?",
        "variants.csv, line 3, shade: No shade of Marrowick Atelier has the code “walnut-hust”. Did you mean "
        "“walnut-husk”?",
        "units.csv, line 2, length_mm: Heron Weir in walnut-husk is not listed at 400 mm. Listed: 350 mm.",
    ]


def test_what_refers_to_a_bad_line_of_the_same_upload_says_so(read):
    report = read(
        bases=BASES + "Tollbar,Latch,oval,5,100,mono\nTollbar,Hasp,oval,100,100,mono\n",
        pieces=PIECES + "Tollbar,Latch,Long Acre,human,wavy\n",
    )
    assert words(report)[1] == (
        "pieces.csv, line 2, base: “Latch” stands in line 2 of bases.csv, which has to be mended first."
    )


def test_a_new_maker_is_remarked_on_with_the_known_one_it_resembles(read):
    MakerFactory(name="Marrowick Atelier")
    report = read(dry_run=True, shades=SHADES + "Marowick Atelier,sedge,Sedge\n")
    assert report.remarks == [
        "“Marowick Atelier” is a maker not known yet and is added. Did you mean “Marrowick Atelier”? Then mend the "
        "name."
    ]


@pytest.mark.parametrize(
    ("number", "sentence"),
    [
        ("U-7K2M9QAX", "“U-7K2M9QAX” has a slip in it"),
        ("drawer 3", "“drawer 3” is not a reference."),
    ],
)
def test_a_unit_number_with_a_slip_is_refused(read, known_piece, number, sentence):
    VariantFactory(piece=known_piece, shade=Shade.objects.get(), length_mm=350)
    report = read(units=UNITS + f"{number},Marrowick Atelier,Wicket 3,Heron Weir,walnut-husk,350,2025-03-14\n")
    assert report.bad_lines[0].sentence.startswith(sentence)


@pytest.mark.parametrize("written", ["14/03/2025", "2025-02-30", "1825-03-14"])
def test_a_date_that_is_not_year_month_day_is_refused(read, known_piece, written):
    VariantFactory(piece=known_piece, shade=Shade.objects.get(), length_mm=350)
    report = read(units=UNITS + f",Marrowick Atelier,Wicket 3,Heron Weir,walnut-husk,350,{written}\n")
    assert report.bad_lines[0].sentence.endswith("Write a date as year-month-day, such as 2026-03-14.")


def test_one_bad_line_in_one_file_stores_nothing_of_any_file(read):
    before = stored()
    files = {name: example_file(name).read_bytes() for name in KINDS}
    report = read(**files | {"units": files["units"] + b"U-nope,,,,,,\n"})
    assert len(report.bad_lines) == 1
    assert not report.stored
    assert stored() == before


def test_a_kind_that_does_not_exist_is_the_callers_slip(read):
    with pytest.raises(ValueError, match="no kind of record is called 'hats'"):
        read(hats="x")


def test_reading_stops_when_the_file_is_hopeless(read):
    report = read(bases=BASES + "a,b,c,d,e,f\n" * 1000)
    assert report.stopped_early
    assert MOST_BAD_LINES <= len(report.bad_lines) < MOST_BAD_LINES + 10


# Any file at all


@property_tests(suppress_health_check=[HealthCheck.function_scoped_fixture])  # takes itself back
@given(data=st.data())
def test_a_mutated_file_is_read_whole_or_refused_in_sentences_with_nothing_stored(data, read_once):
    name = data.draw(st.sampled_from(KINDS))
    content = data.draw(mutated(example_file(name).read_bytes()))
    files = {kind: example_file(kind).read_bytes() for kind in KINDS} | {name: content}
    before = stored()
    report = read_once(files)
    assert report.stored == report.is_clean
    if not report.stored:
        assert stored() == before
    for bad in report.bad_lines:
        assert bad.sentence[0].isupper() or bad.sentence[0] in "“"
        assert bad.sentence.endswith((".", "?"))
        assert bad.file.endswith(".csv")
    for model in MODELS:
        if report.stored and model is not Unit:
            for record in model.objects.all()[:3]:
                record.full_clean()


@pytest.fixture
def read_once():
    """Reads and takes it back again, so that each example begins from nothing."""
    from django.db import transaction

    owner = OwnerFactory()

    def reader(files):
        point = transaction.savepoint()
        try:
            return read_catalogue(files, dry_run=False, by=owner)
        finally:
            transaction.savepoint_rollback(point)

    return reader


@st.composite
def mutated(draw, content):
    """The file with bytes changed, lines lost or doubled, or one cell replaced by whatever people paste."""
    how = draw(st.sampled_from(["bytes", "cut", "lines", "cell"]))
    if how == "bytes":
        place = draw(st.integers(0, len(content) - 1))
        return content[:place] + draw(st.binary(max_size=4)) + content[place + draw(st.integers(0, 3)) :]
    if how == "cut":
        return content[: draw(st.integers(0, len(content)))]
    rows = list(csv.reader(io.StringIO(content.decode())))
    row = draw(st.integers(0, len(rows) - 1))
    if how == "lines":
        rows.insert(draw(st.integers(0, len(rows))), rows.pop(row) if draw(st.booleans()) else rows[row])
    else:
        rows[row] = list(rows[row])
        rows[row][draw(st.integers(0, len(rows[row]) - 1))] = draw(pasted)
    text = io.StringIO()
    csv.writer(text, delimiter=draw(st.sampled_from(",;"))).writerows(rows)
    return text.getvalue().encode("utf-8", "surrogatepass")


pasted = st.one_of(
    st.text(max_size=12),
    st.sampled_from(
        [
            "",
            " ",
            "-1",
            "0",
            "1e9",
            "nan",
            "inf",
            "9" * 30,
            "1,5",
            "=1+1",
            "<b>x</b>",
            "½",
            "٣",
            "1 mile",
            "yes",
            "\0",
        ]
    ),
)


# How fast, and with how many statements


def many_variants(count):
    """Files that list `count` variants of pieces on ten bases."""
    bases = BASES + "".join(f"Tollbar,Latch {i},oval,152,140,mono\n" for i in range(10))
    shades = SHADES + "".join(f"Tollbar,sedge-{i},Sedge {i}\n" for i in range(50))
    pieces = PIECES + "".join(f"Tollbar,Latch {i % 10},Piece {i},human,wavy\n" for i in range(count // 100))
    lines = "".join(
        f"Tollbar,Latch {i % 10},Piece {i},sedge-{shade},{length},{{price}}\n"
        for i in range(count // 100)
        for shade in range(50)
        for length in (300, 400)
    )
    return {"bases": bases, "shades": shades, "pieces": pieces, "variants": VARIANTS + lines.format(price="1249.00")}


def test_a_check_asks_the_same_questions_whatever_the_number_of_lines(read):
    def statements(count):
        files = {name: text.encode() for name, text in many_variants(count).items()}
        with CaptureQueriesContext(connection) as queries:
            read(dry_run=True, **files)
        return Counter(query["sql"].split(" ", 1)[0] for query in queries)["SELECT"]

    read(**many_variants(100))
    # the salon; makers; bases with their clips and strips; shades; pieces; variants
    assert statements(200) == statements(400) == 8


@pytest.mark.slow
def test_five_thousand_lines_go_in_and_are_changed_by_batches(read):
    files = many_variants(5000)
    with CaptureQueriesContext(connection) as queries:
        assert read(**files).stored
    assert Variant.objects.count() == 5000
    assert Variant.history.count() == 5000
    assert len(queries) < 150  # a row each would be ten thousand; SQLite takes 999 values a statement
    dearer = files["variants"].replace("1249.00", "1299.00")
    with CaptureQueriesContext(connection) as queries:
        report = read(variants=dearer)
    assert (report.tallies[0].changed, report.stored) == (5000, True)
    assert set(Variant.objects.values_list("price_minor", flat=True)) == {129900}
    assert len(queries) < 150


# The command


def test_the_command_reads_a_folder_in(tmp_path, capsys):
    OwnerFactory(username="odile")
    for name in KINDS:
        (tmp_path / f"{name}.csv").write_bytes(example_file(name).read_bytes())
    call_command("import_catalogue", tmp_path, "--by", "odile", "--check")
    assert "Nothing was stored: this was a check." in capsys.readouterr().out
    assert not Piece.objects.exists()
    call_command("import_catalogue", tmp_path, "--by", "odile")
    assert "Pieces: 64 added, 0 changed, 0 as they were\n" in capsys.readouterr().out
    assert Piece.objects.count() == 64


def test_the_command_names_the_bad_lines_and_stops(tmp_path, capsys):
    OwnerFactory(username="odile")
    (tmp_path / "bases.csv").write_text(BASES + "Tollbar,Latch,ovel,100,100,mono\n")
    with pytest.raises(CommandError, match="Nothing was stored"):
        call_command("import_catalogue", tmp_path / "bases.csv", "--by", "odile")
    assert "bases.csv, line 2, outline: “ovel” is none of the words" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (["bases.csv", "--by", "nobody"], "Nobody signs in as “nobody”."),
        (["hats.csv", "--by", "odile"], "hats.csv is not one of bases.csv, shades.csv,"),
        (["bases.csv", "--by", "odile"], "bases.csv can't be read: No such file or directory."),
        (["empty", "--by", "odile"], "There is no CSV file in that folder."),
    ],
)
def test_the_command_says_what_it_was_given_wrongly(tmp_path, monkeypatch, arguments, sentence):
    OwnerFactory(username="odile")
    (tmp_path / "empty").mkdir()
    monkeypatch.chdir(tmp_path)
    with pytest.raises(CommandError, match=sentence):
        call_command("import_catalogue", *arguments)


def test_every_column_says_what_it_means_how_it_is_written_and_gives_an_example_that_can_be_read():
    for kind in kinds("GBP").values():
        for column in kind.columns:
            assert column.meaning.endswith(".")
            assert column.cell.how
            if column.example:
                column.cell.read(column.example)
