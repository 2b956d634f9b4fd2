"""A warm consult summary against WeasyPrint on the same HTML without its pictures; the ratio is printed, none asserted.

What remains after the division is what the drawings of the head cost, and the working out of what the paper says.
"""

import re
from time import perf_counter

import pytest
from django.utils.timezone import localdate

from fittings.pdf import consult_summary_pdf, paper_html, paper_sheet
from fittings.summary import consult_summary
from tests.fittings.paper.papers import a_service, decided_visit, finished

PICTURE = re.compile(r"<svg.*?</svg>", re.DOTALL)


def best_of_five(deed):
    seconds = []
    for _ in range(5):
        began = perf_counter()
        deed()
        seconds.append(perf_counter() - began)
    return min(seconds)


@pytest.mark.slow
@pytest.mark.django_db
def test_a_warm_summary_against_the_same_html_without_pictures(capsys):
    import weasyprint

    fitting = decided_visit(decision={"why_chosen": "It is light."})
    a_service(fitting, "cut-in", fitting.candidates.get(), price_minor=4500)
    fitting = finished(fitting)
    summary = consult_summary(fitting, on=localdate())
    html, sheet = PICTURE.sub("", paper_html(summary, large_print=False)), paper_sheet()

    def plainly():
        page = weasyprint.HTML(string=html)
        return page.write_pdf(stylesheets=[weasyprint.CSS(string=sheet)], pdf_variant="pdf/ua-1")

    plain, ours = best_of_five(plainly), best_of_five(lambda: consult_summary_pdf(summary))
    told = best_of_five(lambda: consult_summary(fitting, on=localdate()))
    with capsys.disabled():
        print(
            f"\nConsult summary as PDF, warm: {ours * 1000:.0f} ms, {len(consult_summary_pdf(summary)) / 1000:.0f} kB"
        )
        print(f"  the same HTML without pictures: {plain * 1000:.0f} ms; ours takes {ours / plain:.2f} times as long")
        print(f"  working out what it says, pictures included: {told * 1000:.0f} ms")
