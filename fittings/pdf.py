"""Draws the papers as tagged PDFs (PDF/UA-1) on A4; what they say is decided in `summary` and in `fittings.paper`.

Nothing is fetched: pictures are inline drawings, the sheet is handed over as text, the fetcher refuses every address.
The same paper gives the same bytes, run after run, on one machine.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any, Final

from django.contrib.staticfiles import finders
from django.template.loader import render_to_string

from fittings.paper.consents_told import ConsentsPaper
from fittings.paper.room import fitted
from fittings.paper.sheet import Sheet
from fittings.paper.unparted import unparted
from fittings.summary import ConsultSummary

TEMPLATE: Final = "pdf/consult_summary.html"
CONSENTS: Final = "pdf/consents.html"
SECTIONS: Final = "pdf/sheet.html"
SHEET: Final = "css/paper.css"
MOST_PAGES: Final = {False: 2, True: 4}
"""By whether it is printed large."""


class PrintingUnavailable(Exception):  # noqa: N818  # says what is the matter, as the page does
    """The system's libraries that make a PDF are missing; the message is a sentence for whoever wanted to print."""


def consult_summary_pdf(summary: ConsultSummary, *, large_print: bool = False) -> bytes:
    """The paper as PDF: two pages at most at 11 pt, four at 16 pt; what is too long is cut and the paper says so.

    Raises PrintingUnavailable where the machine lacks what prints.
    """
    lay_out = _printer()
    for shorter, density in fitted(summary):
        document = lay_out(paper_html(shorter, large_print=large_print, density=density))
        if len(document.pages) <= MOST_PAGES[large_print]:
            break
    pdf: bytes = document.write_pdf(pdf_variant="pdf/ua-1")
    return pdf


def consents_pdf(paper: ConsentsPaper, *, large_print: bool = False) -> bytes:
    """All the words that were signed, on as many pages as they need. Raises PrintingUnavailable as above."""
    return _pdf_of(render_to_string(CONSENTS, {"paper": paper, "large_print": large_print}))


def sheet_pdf(sheet: Sheet, *, large_print: bool = False) -> bytes:
    """A paper of sections, on as many pages as they need. Raises PrintingUnavailable as above."""
    return _pdf_of(render_to_string(SECTIONS, {"sheet": sheet, "large_print": large_print}))


def paper_html(summary: ConsultSummary, *, large_print: bool, density: str = "ample") -> str:
    context = {"summary": summary, "large_print": large_print, "density": density}
    return unparted(render_to_string(TEMPLATE, context))


def paper_sheet() -> str:
    path = finders.find(SHEET)
    if not isinstance(path, str):
        raise FileNotFoundError(f"{SHEET} is not among the static files")
    return Path(path).read_text(encoding="utf-8")


def _pdf_of(text: str) -> bytes:
    pdf: bytes = _printer()(unparted(text)).write_pdf(pdf_variant="pdf/ua-1")
    return pdf


def _printer() -> Callable[[str], Any]:
    """Lays a page of HTML out with the sheet of the papers; made once for all the tries of one paper."""
    weasyprint = _weasyprint()
    fonts = weasyprint.text.fonts.FontConfiguration()
    fetcher = weasyprint.urls.URLFetcher(allowed_protocols=())  # no network, no file, no data address
    sheet = weasyprint.CSS(string=paper_sheet(), url_fetcher=fetcher, font_config=fonts)

    def lay_out(text: str) -> Any:
        html = weasyprint.HTML(string=text, url_fetcher=fetcher)
        return html.render(stylesheets=[sheet], font_config=fonts, pdf_variant="pdf/ua-1")

    return lay_out


def _weasyprint() -> Any:
    try:
        import weasyprint  # half a second, and only where something is printed
        import weasyprint.text.fonts
        import weasyprint.urls
    except OSError as missing:
        raise PrintingUnavailable(
            "This machine lacks the libraries that make a PDF; the README says how to install them. "
            "What was to be printed can be read on the screen."
        ) from missing
    return weasyprint
