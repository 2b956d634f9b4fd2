"""The import's page: a check first, then all or nothing, and bad lines with what would be right."""

from html import unescape

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from pieces.catalogue.examples import example_file
from pieces.models import Piece
from salon.models import Salon
from tests.pieces.catalogue_files import KINDS

pytestmark = pytest.mark.django_db


def text_of(response):
    assert response.status_code == 200, response.status_code
    return unescape(response.content.decode())


def upload(**files):
    return {
        name: SimpleUploadedFile(f"{name}.csv", content if isinstance(content, bytes) else content.encode())
        for name, content in files.items()
    }


def examples():
    return {name: example_file(name).read_bytes() for name in KINDS}


def test_files_are_checked_first_and_stored_only_when_the_same_come_again(owner):
    address = reverse("catalogue-import")
    checked = owner.post(address, upload(**examples()) | {"check": ""})
    assert "This is what would change" in text_of(checked)
    assert not Piece.objects.exists()
    seen = checked.context["checked"]
    other = examples() | {
        "units": examples()["units"].splitlines(keepends=True)[0] + examples()["units"].splitlines()[1]
    }
    swapped = text_of(owner.post(address, upload(**other) | {"import": "", "checked": seen}))
    assert "these are not the files that were checked, so nothing was stored" in swapped
    assert not Piece.objects.exists()
    stored = owner.post(address, upload(**examples()) | {"import": "", "checked": seen}, follow=True)
    assert "The catalogue is stored. Bases: 17 added, 0 changed, 0 as they were;" in text_of(stored)
    assert Piece.objects.count() == 64
    assert "Nothing would change" in text_of(owner.post(address, upload(**examples())))


def test_an_import_without_a_check_stores_nothing(owner):
    page = text_of(owner.post(reverse("catalogue-import"), upload(**examples()) | {"import": ""}))
    assert "nothing was stored" in page
    assert not Piece.objects.exists()


def test_bad_lines_stand_in_a_table_with_what_would_be_right(owner):
    page = text_of(
        owner.post(
            reverse("catalogue-import"),
            upload(bases="maker,name,outline,length_mm,width_mm,construction\nTollbar,<b>,ovel,100,100,mono\n"),
        )
    )
    assert "1 thing to mend first" in page
    assert "“ovel” is none of the words for this column. Did you mean oval?" in page


def test_a_swap_gets_the_report_alone_and_then_goes_back_to_the_page(owner):
    address = reverse("catalogue-import")
    shades = "maker,code,name\nTollbar,sedge,Sedge\n"
    swap = owner.post(address, upload(shades=shades), headers={"HX-Request": "true"})
    assert text_of(swap).lstrip().startswith('<div id="import-report"')
    stored = owner.post(
        address,
        upload(shades=shades) | {"import": "", "checked": swap.context["checked"]},
        headers={"HX-Request": "true"},
    )
    assert stored["HX-Redirect"] == address


def test_no_file_too_large_a_file_and_an_empty_one_get_a_sentence(owner):
    address = reverse("catalogue-import")
    assert "Choose at least one file." in text_of(owner.post(address, {}))
    assert "Bases: The file is larger than 4 MB." in text_of(owner.post(address, upload(bases=b"x" * 4_000_001)))
    assert "The file is empty." in text_of(owner.post(address, upload(bases=b"")))


def test_the_page_of_the_columns_names_every_column_with_the_salons_currency(owner):
    Salon.objects.default()
    Salon.objects.update(currency="EUR")
    page = text_of(owner.get(reverse("catalogue-columns")))
    for word in ("outline", "root_l", "synthetic_part", "discontinued_on", "lightened_before", "An amount in EUR"):
        assert word in page
    example = owner.get(reverse("catalogue-example", args=["shades"]))
    assert example["Content-Disposition"] == 'attachment; filename="shades.csv"'
    assert example.content == example_file("shades").read_bytes()
