"""Sheets of labels: every code on the printed paper opens its unit, and stands on its place of the sheet."""

import subprocess

import pytest
import zxingcpp
from django.urls import reverse
from PIL import Image

from pieces.drawers.label_sheets import MOST_LABELS, SHEETS
from tests.factories import StylistFactory
from tests.fittings.test_pdf import pages_of
from tests.pieces.factories import UnitFactory, VariantFactory

pytestmark = pytest.mark.django_db
DOTS_AN_INCH = 200  # less than any printer has
A4_MM = (210, 297)


def rasterised(pdf, folder):
    """The sheets as pictures, by Poppler."""
    file = folder / "labels.pdf"
    file.write_bytes(pdf)
    try:
        subprocess.run(["pdftoppm", "-r", str(DOTS_AN_INCH), "-gray", file, folder / "sheet"], check=True)
    except FileNotFoundError:
        pytest.skip("pdftoppm (poppler-utils) is not installed")
    return [Image.open(picture) for picture in sorted(folder.glob("sheet*.pgm"))]


def read_back(pdf, sheet, folder):
    """[(leaf, place counted from 1, text)] of every code that a reader finds, by the grid of the sheet."""
    found = []
    for leaf, picture in enumerate(rasterised(pdf, folder)):
        assert [round(side / DOTS_AN_INCH * 25.4) for side in picture.size] == list(A4_MM)
        for code in zxingcpp.read_barcodes(picture):
            corners = (getattr(code.position, name) for name in ("top_left", "bottom_right"))
            (left, top), (right, bottom) = ((c.x / DOTS_AN_INCH * 25.4, c.y / DOTS_AN_INCH * 25.4) for c in corners)
            inside = [
                place
                for place in range(sheet.places)
                if sheet.corner_mm(place)[0] <= left
                and right <= sheet.corner_mm(place)[0] + sheet.width_mm
                and sheet.corner_mm(place)[1] <= top
                and bottom <= sheet.corner_mm(place)[1] + sheet.height_mm
            ]
            assert len(inside) == 1, "the code hangs over the edge of its label"
            found.append((leaf, inside[0] + 1, code.text))
    return sorted(found)


@pytest.mark.slow
@pytest.mark.parametrize("places", SHEETS)
@pytest.mark.parametrize("start", [1, 6])
def test_every_printed_code_opens_its_unit_and_stands_where_the_begun_sheet_goes_on(client, tmp_path, places, start):
    client.force_login(StylistFactory())
    count = places + 3
    units = UnitFactory.create_batch(count, variant=VariantFactory())
    numbers = [unit.number for unit in units]
    answer = client.get(reverse("labels-pdf"), {"sheet": places, "start": start, "unit": numbers})
    assert answer["Content-Type"] == "application/pdf"
    read = read_back(answer.content, SHEETS[places], tmp_path)
    stood = [divmod(start - 1 + place, places) for place in range(count)]
    assert [(leaf, place) for leaf, place, _ in read] == [(leaf, place + 1) for leaf, place in stood]
    assert [text for _, _, text in read] == [f"http://testserver/u/{number}/" for number in numbers]
    first = client.get(read[0][2].removeprefix("http://testserver"))
    assert first.url == reverse("unit", args=[numbers[0]])


@pytest.mark.parametrize("places", SHEETS)
def test_a_long_shade_cuts_no_length(stylist, places):
    unit = UnitFactory(variant=VariantFactory(shade__code="barley-over-loam-of-1924", length_mm=450))
    answer = stylist.get(reverse("labels-pdf"), {"sheet": places, "start": 1, "unit": [unit.number]})
    [page] = pages_of(answer.content)
    assert "45.0\N{NO-BREAK SPACE}cm" in page or "45.0 cm" in page
    assert "barley-over-loam-of-1924" in page.replace("- ", "-")


@pytest.mark.parametrize("sheet", SHEETS.values(), ids=lambda sheet: str(sheet.places))
def test_a_sheet_fits_on_a4(sheet):
    left, top = sheet.corner_mm(sheet.places - 1)
    assert left + sheet.width_mm <= A4_MM[0]
    assert top + sheet.height_mm <= A4_MM[1]


def test_the_page_lists_the_units_of_the_address_ticked(stylist):
    one, other = UnitFactory(), UnitFactory()
    page = stylist.get(reverse("labels"), {"unit": [one.number]}).content.decode()
    assert f'value="{one.number}" checked' in page
    assert other.number not in page


def test_the_page_finds_units_as_the_list_does(stylist):
    found = UnitFactory(variant__piece__name="Heron Weir", purpose="try-on")
    UnitFactory(variant__piece__name="Thimble Lane")
    answer = stylist.get(reverse("labels"), {"q": "heron", "purpose": "try-on"})
    assert answer.context["found"] == [found]
    assert f'value="{found.number}" checked' in answer.content.decode(), "what it is narrowed to comes ticked"
    refused = stylist.get(reverse("labels-pdf"), {"q": "heron", "sheet": "24", "start": "1"})
    assert refused.context["found"] == [found], "a refused sheet keeps the list narrowed"
    assert '<input type="hidden" name="q" value="heron">' in refused.content.decode()
    assert "No unit answers that." in stylist.get(reverse("labels"), {"q": "nothing"}).content.decode()


@pytest.mark.parametrize(
    ("changed", "says"),
    [
        ({"unit": []}, "Tick the units that get a label."),
        ({"start": "25"}, "This sheet has 24 places; write one from 1 to 24."),
        ({"start": "0"}, "Write the first free place of the sheet"),
        ({"start": "first"}, "Write the first free place of the sheet"),
        ({"start": ""}, "Write the first free place of the sheet"),
        ({"start": "9" * 400}, "This sheet has 24 places"),
        ({"sheet": "23"}, "Choose one of the sheets."),
        ({"unit": ["U-00000000"]}, "None of these units is there any more."),
        ({"unit": [f"U-{number:08}" for number in range(MOST_LABELS + 1)]}, f"{MOST_LABELS} labels are made at once"),
    ],
)
def test_what_cant_be_printed_is_said_with_what_was_asked_kept(stylist, changed, says):
    unit = UnitFactory()
    asked = {"sheet": "24", "start": "3", "unit": [unit.number]} | changed
    answer = stylist.get(reverse("labels-pdf"), asked)
    page = answer.content.decode()
    assert answer["Content-Type"].startswith("text/html")
    assert says in page
    if "start" in changed:
        assert f'value="{unit.number}" checked' in page


def test_a_missing_library_is_said(stylist, monkeypatch):
    from salon.common.printing import PrintingUnavailable

    def missing(*_, **__):
        raise PrintingUnavailable("This machine lacks the libraries that make a PDF.")

    monkeypatch.setattr("pieces.drawers.label_views.labels_pdf", missing)
    asked = {"sheet": "24", "start": "1", "unit": [UnitFactory().number]}
    assert "This machine lacks" in stylist.get(reverse("labels-pdf"), asked, follow=True).content.decode()


def test_the_page_takes_the_same_queries_for_three_units_as_for_thirty(stylist, queries_for):
    UnitFactory.create_batch(3)
    few = queries_for(reverse("labels"), by=stylist)
    UnitFactory.create_batch(27)
    assert queries_for(reverse("labels"), by=stylist) == few


def test_units_that_came_in_are_labelled_next(owner):
    variant = VariantFactory()
    asked = {"variant": variant.pk, "count": "2", "purpose": "sale", "received_on": "2025-03-14"}
    answer = owner.post(reverse("units-receive", args=[variant.piece_id]), asked, follow=True)
    assert answer.resolver_match.url_name == "labels"
    assert answer.content.decode().count(" checked") == 2
