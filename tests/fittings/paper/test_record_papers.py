"""The papers of a record as PDFs: read back, tagged, in both sizes, and handed only to those who may have them."""

from functools import cache
from itertools import pairwise

import pikepdf
import pytest
from django.contrib.messages import get_messages
from django.urls import reverse
from django.utils.timezone import localdate, now

from clients.models import AccessEntry
from fittings.paper import record_views
from fittings.paper.care_sheet import care_sheet
from fittings.paper.client_record import client_record
from fittings.paper.service_record import service_record
from fittings.paper.skin_test_record import skin_test_record
from fittings.pdf import sheet_pdf
from salon.common.printing import PrintingUnavailable
from salon.models import Salon
from tests.factories import ClientFactory, DeskFactory, OwnerFactory, StylistFactory
from tests.fittings.paper.printed import assert_nothing_hangs_over_the_edge, read_by_poppler
from tests.fittings.paper.records import everything_of_her, her_piece
from tests.fittings.test_pdf import figures_under, opened, pages_of, tags_under

pytestmark = pytest.mark.django_db

drawn = cache(sheet_pdf)  # a sheet is plain data: what is drawn once serves every test
made = {}
PAPERS = ("care sheet", "services", "skin tests", "record")
IN_ORDER = {
    "care sheet": ["How to wear and keep", "Wearing and caring", "What not to do", "Its dates", "Whom to call"],
    "services": ["What was done to", "Services, newest first", "Strand tests of the unit"],
    "skin tests": ["Your skin tests", "Reactions", "Tests, newest first", "Whom to call"],
    "record": [
        "Everything kept about",
        "Consents",
        "Assessments",
        "Skin tests",
        "Services",
        "Who looked at the record",
    ],
}


@pytest.fixture
def sheets():
    if not made:
        owned = everything_of_her()
        here = {"salon": Salon.objects.default(), "on": localdate()}
        made["care sheet"] = care_sheet(owned, **here)
        made["services"] = service_record(owned, **here)
        made["skin tests"] = skin_test_record(owned.client, **here, at=now())
        made["record"] = client_record(owned.client, **here, at=now())
    return made


def read_back(pdf, tmp_path):
    return run_on(read_by_poppler(pdf, tmp_path))


def run_on(text):
    """Without line ends, and without hyphens: poppler takes one away where a line ends with it."""
    return " ".join(text.replace("-", "").split())


@pytest.mark.parametrize("large_print", [False, True])
@pytest.mark.parametrize("name", PAPERS)
def test_poppler_reads_every_heading_in_the_order_of_the_eye(sheets, name, large_print, tmp_path):
    text = read_back(drawn(sheets[name], large_print=large_print), tmp_path)
    at = [text.index(run_on(heading)) for heading in IN_ORDER[name]]
    assert at == sorted(at)
    for section in sheets[name].sections:
        assert run_on(section.heading) in text
        for entry in section.entries:
            assert run_on(entry.heading) in text


@pytest.mark.parametrize("large_print", [False, True])
@pytest.mark.parametrize("name", PAPERS)
def test_every_page_ends_with_the_usual_words_reference_date_and_its_number(sheets, name, large_print):
    sheet = sheets[name]
    pages = pages_of(drawn(sheet, large_print=large_print))
    for number, text in enumerate(pages, 1):
        assert "General guidance, not medical advice." in text
        assert "The salon fits hair and diagnoses nothing." in text
        assert f"{sheet.client_reference} · page {number} of {len(pages)}" in text
        assert sheet.printed_on in text


@pytest.mark.parametrize("name", PAPERS)
def test_it_is_tagged_titled_and_in_english(sheets, name):
    sheet = sheets[name]
    with opened(drawn(sheet)) as document:
        root = document.Root
        assert str(root.Lang) == "en-GB"
        assert bool(root.MarkInfo.Marked)
        assert bool(root.ViewerPreferences.DisplayDocTitle)
        assert str(document.docinfo.Title) == sheet.title
        with document.open_metadata() as metadata:
            assert metadata["pdfuaid:part"] == "1"
        tags = tags_under(root.StructTreeRoot)
    assert {"/H1", "/H2", "/H3", "/L", "/LI", "/P"} <= set(tags)
    assert tags.count("/H1") == 1
    levels = [int(tag[2:]) for tag in tags if tag in ("/H1", "/H2", "/H3")]
    assert levels[0] == 1
    assert all(later - earlier <= 1 for earlier, later in pairwise(levels)), "no level is left out"
    assert tags.count("/H3") == sum(len(section.entries) for section in sheet.sections)


def rows_under(node):
    """The tags of the cells of each row of each table."""
    found = []
    if str(node.get("/S")) == "/TR":
        children = node.get("/K", [])
        cells = children if isinstance(children, pikepdf.Array) else [children]
        found.append([str(cell.S) for cell in cells])
    children = node.get("/K", [])
    for child in children if isinstance(children, pikepdf.Array) else [children]:
        if isinstance(child, pikepdf.Dictionary):
            found += rows_under(child)
    return found


@pytest.mark.parametrize("name", ["care sheet", "skin tests", "record"])
def test_every_row_of_a_table_is_headed(sheets, name):
    with opened(drawn(sheets[name])) as document:
        rows = rows_under(document.Root.StructTreeRoot)
    assert rows
    assert all(row[0] == "/TH" for row in rows)
    assert any(set(row) == {"/TH"} for row in rows), "columns are headed too"
    assert any("/TD" in row for row in rows)


def test_every_picture_of_the_record_has_words_for_those_who_do_not_see_it(sheets):
    with opened(drawn(sheets["record"])) as document:
        spoken = [str(figure.Alt) for figure in figures_under(document.Root.StructTreeRoot)]
    drawings = [picture for one in sheets["record"].sections for entry in one.entries for picture in entry.pictures]
    assert len(spoken) == len(drawings) > 0
    assert all(words.strip() for words in spoken)
    assert any(words.startswith("Your head from above") for words in spoken)


@pytest.mark.parametrize("name", PAPERS)
def test_paper_is_a4_and_its_text_is_11_or_16_points(sheets, name):
    for large_print, size in ((False, 11), (True, 16)):
        with opened(drawn(sheets[name], large_print=large_print)) as document:
            width, height = (float(side) for side in document.pages[0].MediaBox[2:])
            assert (round(width), round(height)) == (595, 842)
            sizes = [
                float(operands[1]) * 0.75  # the page is drawn in CSS pixels
                for page in document.pages
                for operands, operator in pikepdf.parse_content_stream(page)
                if str(operator) == "Tf"
            ]
        assert max(set(sizes), key=sizes.count) == pytest.approx(size, abs=0.01)


@pytest.mark.parametrize("large_print", [False, True])
@pytest.mark.parametrize("name", PAPERS)
def test_nothing_hangs_over_the_edge_of_the_paper(sheets, name, large_print, tmp_path):
    assert_nothing_hangs_over_the_edge(drawn(sheets[name], large_print=large_print), tmp_path)


def test_what_somebody_typed_is_text_and_never_markup(tmp_path):
    sly = '<img src="http://192.0.2.1/x.png"><b>bold</b>'
    owned = her_piece(name='Heron "<i>Weir</i>')
    owned.client.preferred_name = owned.client.given_name = "Ada</title><script>"
    owned.client.save()
    sheet = care_sheet(owned, salon=Salon.objects.default(), on=localdate())
    text = read_back(sheet_pdf(sheet), tmp_path)
    assert 'Heron "<i>Weir</i>' in text
    assert "Ada</title><script>" in text
    owned.client.consents.update(text=sly)
    record = client_record(owned.client, salon=Salon.objects.default(), on=localdate(), at=now())
    assert sly in read_back(sheet_pdf(record), tmp_path)


# who may have them


def addresses(owned):
    piece, her = [owned.reference], [owned.client.reference]
    return {
        reverse("care-sheet", args=piece): ("care-sheet", owned.reference, f"care sheet of {owned.reference}"),
        reverse("service-record", args=piece): ("services", owned.reference, f"service record of {owned.reference}"),
        reverse("own-hair-record", args=her): ("services", her[0], "service record of own hair"),
        reverse("skin-test-record", args=her): ("tests", her[0], "skin tests"),
        reverse("client-record", args=her): ("record", her[0], "full record"),
    }


def test_each_is_shown_kept_by_nobody_named_without_her_and_noted(client):
    owner = OwnerFactory()
    client.force_login(owner)
    owned = her_piece()
    for address, (name, reference, look) in addresses(owned).items():
        answer = client.get(address)
        assert answer.content.startswith(b"%PDF-1.7"), address
        assert answer["Content-Disposition"] == f'inline; filename="{name}-{reference}.pdf"'
        assert answer["Cache-Control"] == "private, no-store"
        large = client.get(address, {"print": "large"})
        assert large.content != answer.content
        looks = AccessEntry.objects.filter(client=owned.client, user=owner, page=f"{look}, printed")
        assert looks.count() == 2, look


def test_the_desk_prints_none_of_them_and_only_the_owner_everything(client):
    owned = her_piece()
    for user, everything in ((DeskFactory(), 403), (StylistFactory(), 403)):
        client.force_login(user)
        assert client.get(reverse("client-record", args=[owned.client.reference])).status_code == everything
    client.force_login(DeskFactory())
    for address in addresses(owned):
        assert client.get(address).status_code == 403
    assert not AccessEntry.objects.exists()


def test_where_nothing_can_be_printed_it_says_so_and_no_look_is_noted(client, monkeypatch):
    def fails(*_, **__):
        raise PrintingUnavailable("This machine lacks the libraries that make a PDF.")

    monkeypatch.setattr(record_views, "sheet_pdf", fails)
    client.force_login(OwnerFactory())
    owned = her_piece()
    for address in addresses(owned):
        answer = client.get(address)
        assert answer.status_code == 302
        assert "lacks the libraries" in str(list(get_messages(answer.wsgi_request))[-1])
    assert not AccessEntry.objects.exists()


def test_pages_lead_to_the_papers(client):
    client.force_login(StylistFactory())
    owned = her_piece()
    piece = client.get(owned.get_absolute_url()).content.decode()
    her = client.get(owned.client.get_absolute_url()).content.decode()
    tests = client.get(reverse("client-skin-tests", args=[owned.client.reference])).content.decode()
    care, services, own, skin, record = addresses(owned)
    assert f'href="{care}"' in piece
    assert f'href="{care}?print=large"' in piece
    assert f'href="{services}"' in piece
    assert f'href="{skin}"' in her
    assert f'href="{own}"' in her
    assert f'href="{record}"' not in her
    assert f'href="{skin}"' in tests
    client.force_login(OwnerFactory())
    assert f'href="{record}"' in client.get(owned.client.get_absolute_url()).content.decode()


def test_an_unknown_reference_is_not_found(client):
    client.force_login(OwnerFactory())
    erased = ClientFactory()
    type(erased).objects.filter(pk=erased.pk).update(erased_at=now())
    assert client.get(reverse("client-record", args=[erased.reference])).status_code == 404
