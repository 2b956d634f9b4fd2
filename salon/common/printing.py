"""Draws pages of HTML as tagged PDFs (PDF/UA-1) on A4; what stands on them is for whoever prints.

Nothing is fetched: pictures are inline drawings, the sheet is handed over as text, the fetcher refuses every address.
The same page gives the same bytes, run after run, on one machine.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any, Final

from django.contrib.staticfiles import finders

VARIANT: Final = "pdf/ua-1"
SHEET: Final = "css/paper.css"


class PrintingUnavailable(Exception):  # noqa: N818  # says what is the matter, as the page does
    """The system's libraries that make a PDF are missing; the message is a sentence for whoever wanted to print."""


def pdf_of(html: str, *, sheet: str = SHEET) -> bytes:
    """The page on as many leaves as it needs, by a style sheet among the static files.

    Raises PrintingUnavailable where the machine lacks what prints.
    """
    pdf: bytes = printer(style_sheet(sheet))(html).write_pdf(pdf_variant=VARIANT)
    return pdf


def printer(style: str) -> Callable[[str], Any]:
    """Lays a page of HTML out with this style sheet; made once for all the tries of one paper."""
    weasyprint = _weasyprint()
    fonts = weasyprint.text.fonts.FontConfiguration()
    fetcher = weasyprint.urls.URLFetcher(allowed_protocols=())  # no network, no file, no data address
    sheet = weasyprint.CSS(string=style, url_fetcher=fetcher, font_config=fonts)

    def lay_out(text: str) -> Any:
        html = weasyprint.HTML(string=text, url_fetcher=fetcher)
        return html.render(stylesheets=[sheet], font_config=fonts, pdf_variant=VARIANT)

    return lay_out


def style_sheet(name: str) -> str:
    """The text of a style sheet among the static files."""
    path = finders.find(name)
    if not isinstance(path, str):
        raise FileNotFoundError(f"{name} is not among the static files")
    return Path(path).read_text(encoding="utf-8")


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
