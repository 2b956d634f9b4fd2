"""Draws the papers of clients and visits; what they say is decided in `summary` and in `fittings.paper`."""

from __future__ import annotations

from typing import Final

from django.template.loader import render_to_string

from fittings.paper.consents_told import ConsentsPaper
from fittings.paper.room import fitted
from fittings.paper.sheet import Sheet
from fittings.paper.unparted import unparted
from fittings.summary import ConsultSummary
from salon.common.printing import SHEET, VARIANT, pdf_of, printer, style_sheet

TEMPLATE: Final = "pdf/consult_summary.html"
CONSENTS: Final = "pdf/consents.html"
SECTIONS: Final = "pdf/sheet.html"
MOST_PAGES: Final = {False: 2, True: 4}
"""By whether it is printed large."""


def consult_summary_pdf(summary: ConsultSummary, *, large_print: bool = False) -> bytes:
    """The paper as PDF: two pages at most at 11 pt, four at 16 pt; what is too long is cut and the paper says so.

    Raises PrintingUnavailable where the machine lacks what prints.
    """
    lay_out = printer(paper_sheet())
    for shorter, density in fitted(summary):
        document = lay_out(paper_html(shorter, large_print=large_print, density=density))
        if len(document.pages) <= MOST_PAGES[large_print]:
            break
    pdf: bytes = document.write_pdf(pdf_variant=VARIANT)
    return pdf


def consents_pdf(paper: ConsentsPaper, *, large_print: bool = False) -> bytes:
    """All the words that were signed, on as many pages as they need. Raises PrintingUnavailable as above."""
    return pdf_of(unparted(render_to_string(CONSENTS, {"paper": paper, "large_print": large_print})))


def sheet_pdf(sheet: Sheet, *, large_print: bool = False) -> bytes:
    """A paper of sections, on as many pages as they need. Raises PrintingUnavailable as above."""
    return pdf_of(unparted(render_to_string(SECTIONS, {"sheet": sheet, "large_print": large_print})))


def paper_html(summary: ConsultSummary, *, large_print: bool, density: str = "ample") -> str:
    context = {"summary": summary, "large_print": large_print, "density": density}
    return unparted(render_to_string(TEMPLATE, context))


def paper_sheet() -> str:
    """The style sheet of the papers."""
    return style_sheet(SHEET)
