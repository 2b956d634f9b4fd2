"""The printed summary: what can be read back from it, how it is tagged, and that it fits, fetches and leaks nothing."""

import io
import os
import subprocess
import sys
from dataclasses import replace
from functools import cache
from itertools import pairwise
from pathlib import Path

import pikepdf
import pypdf
import pytest
from django.utils.timezone import localdate

from clients.scalp.drawing import DENSITY_STEPS
from fittings import pdf as printing
from fittings.models import Candidate, Override
from fittings.pdf import consult_summary_pdf, paper_html, paper_sheet
from fittings.summary import consult_summary
from fittings.trying import decide
from salon.colour.lab import lab_from_srgb
from salon.common.printing import PrintingUnavailable
from tests.factories import OwnerFactory
from tests.fittings.paper.papers import (
    a_salon,
    a_service,
    a_variant,
    clipped_base,
    decided_visit,
    finished,
    put_on_trial,
    visit_with_everything,
)
from tests.fittings.paper.printed import assert_nothing_hangs_over_the_edge, read_by_poppler
from tests.fittings.visits import signed_off_visit

pytestmark = pytest.mark.django_db


def summary_of(fitting):
    return consult_summary(fitting, on=localdate())


def pages_of(pdf):
    return [" ".join(page.extract_text().split()) for page in pypdf.PdfReader(io.BytesIO(pdf)).pages]


drawn = cache(consult_summary_pdf)  # a summary is plain data, so that what is drawn once serves every test
summed_up = {}


def printed(summary, *, large_print=False):
    return drawn(summary, large_print=large_print)


@pytest.fixture
def usual():
    if "usual" not in summed_up:
        fitting = decided_visit(
            variant=a_variant(name="Heron Weir", base=clipped_base(name="Wicket", front_edge="lace")),
            decision={"why_chosen": "It is light."},
        )
        a_service(fitting, "cut-in", fitting.candidates.get(), price_minor=4500)
        summed_up["usual"] = summary_of(finished(fitting))
    return summed_up["usual"]


@pytest.fixture
def everything():
    if "everything" not in summed_up:
        summed_up["everything"] = summary_of(visit_with_everything())
    return summed_up["everything"]


# what is read back


def test_everything_of_weight_can_be_read_back(usual):
    pages = pages_of(printed(usual))
    text = " ".join(pages)
    for words in (
        usual.client_reference,
        "Thornquay Hair Room",
        "You chose Heron Weir.",
        "It is light.",
        "8 % of your scalp hair is gone; 92 % remains.",
        "SALT",
        "55.9 cm",
        "35.6 cm",
        "34.3 cm",
        "15.2 cm × 14.0 cm",
        "5 of 5 clips land on hair that holds them",
        "disappears (ΔE00 0.2, give or take 0.6)",
        "Comb own hair back",
        "keep tools under 180 °C",
        "MRI",
        "£1,249.00",
        "£1,294.00",
        "A quote, not a receipt.",
        "01632 960 123",
        "First check-up",
    ):
        assert words in text, words


def test_every_page_ends_with_the_usual_words_reference_date_and_its_number(usual):
    for large_print in (False, True):
        pages = pages_of(printed(usual, large_print=large_print))
        for number, text in enumerate(pages, 1):
            assert "General guidance, not medical advice." in text
            assert "Makers' instructions, local codes and licensed practice come first." in text
            assert f"{usual.client_reference} · page {number} of {len(pages)}" in text
            assert usual.visited_on in text


def test_poppler_reads_the_same_order_as_the_eye(usual, tmp_path):
    text = read_by_poppler(printed(usual), tmp_path)
    headings = ["You chose", "What we measured", "The piece you chose", "Wearing and caring", "Price", "Whom to call"]
    assert [text.index(heading) for heading in headings] == sorted(text.index(heading) for heading in headings)


def test_what_somebody_typed_is_text_and_never_markup():
    sly = '<img src="http://192.0.2.1/x.png"><b>&amp; “quoted”</b><style>*{display:none}</style>'
    name = "Ada</title><script>"
    fitting = decided_visit(
        variant=a_variant(name='Heron "<i>Weir</i>'),
        look={"her_words": sly},
        decision={"why_chosen": sly},
        preferred_name=name,
    )
    a_salon(name="Room <b>7</b>", address='"><script>', after_hours_advice="</body>")
    a_service(fitting, "cut-in", fitting.candidates.get(), note="<u>note</u>")
    Override.objects.create(
        fitting=fitting, rule_id="x", finding="<s>finding</s>", reason="<em>reason</em>", owner=OwnerFactory()
    )
    summary = summary_of(fitting)
    html = paper_html(summary, large_print=False)
    for tag in ("<img", "<b>", "<script", "<i>", "<u>", "<s>", "<style", "<em>reason"):
        assert tag not in html, tag
    text = " ".join(pages_of(consult_summary_pdf(summary)))
    for typed in (sly[:40], name, 'Heron "<i>Weir</i>', "Room <b>7</b>", "<u>note</u>", "<em>reason</em>"):
        assert typed in text, typed


# how it is made


def opened(pdf):
    return pikepdf.open(io.BytesIO(pdf))


def tags_under(node):
    found = [str(node.S)] if "/S" in node else []
    children = node.get("/K", [])
    for child in children if isinstance(children, pikepdf.Array) else [children]:
        if isinstance(child, pikepdf.Dictionary):
            found += tags_under(child)
    return found


def figures_under(node):
    found = [node] if str(node.get("/S")) == "/Figure" else []
    children = node.get("/K", [])
    for child in children if isinstance(children, pikepdf.Array) else [children]:
        if isinstance(child, pikepdf.Dictionary):
            found += figures_under(child)
    return found


def test_it_is_tagged_titled_and_in_english(usual):
    with opened(printed(usual)) as document:
        root = document.Root
        assert str(root.Lang) == "en-GB"
        assert bool(root.MarkInfo.Marked)
        assert bool(root.ViewerPreferences.DisplayDocTitle)
        assert (
            str(document.docinfo.Title)
            == usual.title
            == f"Consult summary {usual.client_reference}, {usual.visited_on}"
        )
        with document.open_metadata() as metadata:
            assert metadata["pdfuaid:part"] == "1"
        tags = tags_under(root.StructTreeRoot)
        assert {"/H1", "/H2", "/H3", "/Table", "/TH", "/TD", "/L", "/LI", "/Figure", "/P"} <= set(tags)


def test_every_picture_has_words_for_those_who_do_not_see_it(usual):
    with opened(printed(usual)) as document:
        spoken = [str(figure.Alt) for figure in figures_under(document.Root.StructTreeRoot)]
    assert len(spoken) == 5 + 1 + 3  # heads, the key of the scale, three pairs of swatches
    assert sum(words.startswith("Your head from") for words in spoken) == 5
    assert any(words.startswith("Hair that remains, in five steps") for words in spoken)
    assert "Roots: your own hair on the left, the piece on the right" in spoken


def test_paper_is_a4_and_its_text_is_11_or_16_points(usual):
    for large_print, size in ((False, 11), (True, 16)):
        with opened(printed(usual, large_print=large_print)) as document:
            for page in document.pages:
                width, height = (float(side) for side in page.MediaBox[2:])
                assert (round(width), round(height)) == (595, 842)
            sizes = [
                float(operands[1]) * 0.75  # the page is drawn in CSS pixels
                for page in document.pages
                for operands, operator in pikepdf.parse_content_stream(page)
                if str(operator) == "Tf"
            ]
        assert max(set(sizes), key=sizes.count) == pytest.approx(size, abs=0.01)


def test_the_same_summary_gives_the_same_bytes(usual):
    assert printed(usual) == consult_summary_pdf(usual)


def test_another_process_gives_the_same_bytes_too(usual, tmp_path):
    """Sets and dictionaries are ordered otherwise there, and nothing is warm."""
    html, again = tmp_path / "paper.html", tmp_path / "again.pdf"
    html.write_text(paper_html(usual, large_print=False), encoding="utf-8")
    program = (
        "import pathlib, sys\n"
        "import weasyprint\n"
        "from weasyprint.text.fonts import FontConfiguration\n"
        "html, sheet, out = map(pathlib.Path, sys.argv[1:])\n"
        "fonts = FontConfiguration()\n"
        "css = weasyprint.CSS(string=sheet.read_text(encoding='utf-8'), font_config=fonts)\n"
        "page = weasyprint.HTML(string=html.read_text(encoding='utf-8'))\n"
        "out.write_bytes(page.write_pdf(stylesheets=[css], font_config=fonts, pdf_variant='pdf/ua-1'))\n"
    )
    sheet = Path(__file__).parents[2] / "static/css/paper.css"
    environment = os.environ | {"PYTHONHASHSEED": "7"}
    subprocess.run([sys.executable, "-c", program, html, sheet, again], check=True, env=environment)
    assert again.read_bytes() == printed(usual)


# how long it is


def test_a_usual_visit_takes_two_pages_and_four_in_large_print(usual):
    assert len(pages_of(printed(usual))) == 2
    assert len(pages_of(printed(usual, large_print=True))) <= 4


@pytest.mark.slow
def test_a_pair_with_much_to_say_is_not_cut():
    a_salon()
    fitting = signed_off_visit(wishes={"days_per_week": 6, "parting": "centre"})
    first = put_on_trial(
        fitting, a_variant(fibre="blend", synthetic_part="heat_friendly", rated_c=160), her_words="Like my own."
    )
    second = put_on_trial(fitting, a_variant(fibre="standard", texture="curly", base=clipped_base(front_edge="lace")))
    put_on_trial(fitting, a_variant(), covers="not", her_words="Too small; I would worry.")
    decide(fitting=fitting, chosen=first, second=second, by=fitting.stylist, why_chosen="One for every day.")
    summary = summary_of(fitting)
    for large_print, most in ((False, 2), (True, 4)):
        pages = pages_of(consult_summary_pdf(summary, large_print=large_print))
        assert len(pages) <= most
        assert "To fit this paper" not in " ".join(pages)


@pytest.mark.slow
@pytest.mark.parametrize(("large_print", "most"), [(False, 2), (True, 4)])
def test_the_most_that_a_visit_can_hold_still_fits_and_says_what_was_cut(everything, large_print, most):
    pages = pages_of(printed(everything, large_print=large_print))
    assert len(pages) <= most
    text = " ".join(pages)
    for words in ("To fit this paper", "See a doctor", "Whom to call", "No flame", "never above 160 °C", "Total"):
        assert words in text, words


@pytest.mark.slow
def test_it_fits_with_the_widest_of_the_fonts_too(everything, monkeypatch):
    sheet = paper_sheet().replace("Inter, ", "")
    monkeypatch.setattr(printing, "paper_sheet", lambda: sheet)
    assert len(pages_of(consult_summary_pdf(everything))) <= 2


@pytest.mark.slow
def test_nothing_hangs_over_the_edge_of_the_paper(everything, tmp_path):
    assert_nothing_hangs_over_the_edge(printed(everything), tmp_path)


# what it may not do


def test_whatever_asks_for_an_address_on_the_paper_gets_nothing(usual, monkeypatch, tmp_path):
    """Pictures, sheets, attachments and fonts, asked for by markup that never gets past the templates."""
    from weasyprint.urls import URLFetcher

    secret = tmp_path / "secret.svg"
    secret.write_text('<svg xmlns="http://www.w3.org/2000/svg"><text>the secret of the salon</text></svg>')
    asked, fetched = [], []
    fetch = URLFetcher.fetch

    def watched(self, url, headers=None):
        asked.append(url.split(":")[0])
        fetched.append(fetch(self, url, headers))

    monkeypatch.setattr(URLFetcher, "fetch", watched)
    file, text = secret.as_uri(), paper_html(usual, large_print=False)
    sly = (
        f'<img src="{file}"><img src="http://127.0.0.1:9/x.png"><img src="data:image/svg+xml,<svg/>">'
        f'<svg><image href="{file}"/></svg><object data="{file}"></object><link rel="attachment" href="{file}">'
        f'<link rel="stylesheet" href="{file}"></body>'
    )
    sheet = f"@import url('{file}'); @font-face {{ font-family: Sly; src: url('{file}') }}\n{paper_sheet()}"
    monkeypatch.setattr(printing, "paper_html", lambda *_, **__: text.replace("</body>", sly))
    monkeypatch.setattr(printing, "paper_sheet", lambda: f"{sheet} body {{ background: url('{file}') }}")
    pdf = consult_summary_pdf(usual)
    assert {"file", "http", "data"} == set(asked)
    assert not fetched
    with opened(pdf) as document:
        assert not document.attachments
    assert "secret" not in " ".join(pages_of(pdf))


def test_where_the_system_lacks_the_libraries_it_says_so(usual, monkeypatch):
    monkeypatch.setitem(sys.modules, "weasyprint", None)  # an import that fails as one of a missing library does

    def fails(name, *args, **kwargs):
        if name.startswith("weasyprint"):
            raise OSError("cannot load library 'libpango-1.0-0'")
        return honest(name, *args, **kwargs)

    import builtins

    honest = builtins.__import__
    monkeypatch.setattr(builtins, "__import__", fails)
    with pytest.raises(PrintingUnavailable, match="lacks the libraries that make a PDF"):
        consult_summary_pdf(usual)


# greyscale


def test_the_steps_of_the_scale_stay_apart_in_greyscale():
    """Neighbouring steps lie 9.5 L* or more apart: our own limit for telling two tones apart at a glance."""
    lightness = [
        float(lab_from_srgb([int(step.fill[at : at + 2], 16) / 255 for at in (1, 3, 5)])[0]) for step in DENSITY_STEPS
    ]
    assert all(lighter - darker >= 9.5 for lighter, darker in pairwise(lightness)), lightness


def test_no_finding_is_told_by_colour_alone():
    fitting = decided_visit()
    finding = {"rule_id": "x", "severity": "caution", "says": "Mind this.", "asks": []}
    Candidate.objects.update(findings=[finding])
    assert "Caution: Mind this." in " ".join(pages_of(consult_summary_pdf(summary_of(fitting))))


def test_large_print_is_another_paper_of_the_same_words(usual):
    plain, large = (" ".join(pages_of(printed(usual, large_print=size))) for size in (False, True))
    assert plain != large
    for words in (usual.headline, usual.measured.loss.says, *usual.quote.totals):
        assert words in plain
        assert words in large


def test_an_open_visit_is_marked_on_the_paper(usual):
    open_still = replace(usual, is_final=False)
    assert "not final: the visit is still open" in pages_of(consult_summary_pdf(open_still))[0]
    assert "not final" not in pages_of(printed(usual))[0]
