"""The review printed: every row with its numbers, those one press away on the screen included, on few pages."""

import io

import pytest
from django.urls import reverse
from pypdf import PdfReader

from tests.factories import OwnerFactory
from tests.pieces.factories import BaseFactory, PieceFactory, UnitFactory

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def test_every_group_stands_on_the_paper_and_forty_of_them_fit_on_four_sheets(signed_in_page, live_server):
    base = BaseFactory()
    names = [f"Heron Weir the {number}th" for number in range(4, 44)]
    for name in names:
        UnitFactory(variant__piece=PieceFactory(base=base, name=name))
    page = signed_in_page(OwnerFactory())
    page.goto(live_server.url + reverse("review"))
    assert not page.get_by_text(names[-1]).last.is_visible()
    sheets = PdfReader(io.BytesIO(page.pdf(prefer_css_page_size=True))).pages
    printed = " ".join(" ".join(sheet.extract_text() for sheet in sheets).split())
    assert [name for name in names if name not in printed] == []
    assert "Save as CSV" not in printed
    assert len(sheets) <= 4
