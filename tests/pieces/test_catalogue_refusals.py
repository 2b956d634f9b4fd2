"""What the import refuses: each bad file, line and cell in a sentence that says what would be right."""

import pytest

from pieces.catalogue.examples import example_file
from pieces.catalogue.sheets import LARGEST_BYTES, MOST_BAD_LINES, MOST_LINES
from pieces.models import Base, Piece, Shade
from tests.clients.factories import tiny_picture
from tests.pieces.catalogue_files import BASES, KINDS, PIECES, SHADES, UNITS, VARIANTS, stored, words
from tests.pieces.factories import MakerFactory, VariantFactory

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        (b"", "bases.csv: The file is empty. Its first line names the columns."),
        (b"PK\x03\x04rest", "bases.csv: This is a workbook or an archive, not a text file. Save it as “CSV UTF-8”,"),
        (BASES.encode("utf-16"), "bases.csv: This text is in UTF-16, not in UTF-8."),
        (b"maker\0name", "bases.csv: This is not a text file."),
        (tiny_picture(), "bases.csv: This is a picture, not a text file."),
        (b"%PDF-1.7 and so on", "bases.csv: This is a document to be printed, not a text file."),
        (b"a," * 1_000_000, "bases.csv, line 1: The first line names 1,000,001 columns, and at most 200 can"),
        (b"maker" + b"," * 1_000_000, "bases.csv, line 1: The first line names 1,000,001 columns"),
        (BASES.encode() + b"x" * 1_000_000, "bases.csv, line 2: A cell here is far too long."),
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
        "pieces.csv, line 4, base: No base of Marrowick Atelier is called “Zzz”. Mend the name, or add it to the bases "
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
