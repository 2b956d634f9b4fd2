"""The full record of a client of years, 20 assessments and 500 entries, against the same paper without pictures.

Time is printed, none is asserted: nearly all of it is WeasyPrint laying out text, page by page. The queries are as many
as for a client of one visit (tests/fittings/paper/test_records.py).
"""

import io
import re
from datetime import timedelta
from time import process_time

import pypdf
import pytest
from django.template.loader import render_to_string
from django.utils.timezone import localdate, now

from clients.models import Assessment
from fittings import pdf
from fittings.models import Wash
from fittings.paper.client_record import client_record
from salon.common.printing import pdf_of
from salon.models import Salon
from tests.fittings.paper.records import a_colour, everything_of_her

PICTURE = re.compile(r"<svg.*?</svg>", re.DOTALL)


def long_kept():
    owned = everything_of_her()
    signed = owned.client.assessments.signed_off().get()
    for number in range(19):
        Assessment.objects.create(
            client=owned.client,
            stylist=signed.stylist,
            state="superseded",
            started_at=now() - timedelta(days=30 * number),
            signed_at=now(),
            signed_by=signed.stylist,
            map_painted=True,
            density_hex=signed.density_hex,
            story="She tells a good deal. " * 20,
        )
    for number in range(250):
        a_colour(owned, days_ago=number)
        Wash.objects.create(
            owned_piece=owned,
            washed_on=localdate() - timedelta(days=number),
            recorded_by=signed.stylist,
            recorded_at=now() - timedelta(days=number),
        )
    return owned.client


@pytest.mark.slow
@pytest.mark.django_db
def test_the_full_record_of_years(capsys):
    client = long_kept()
    began = process_time()
    sheet = client_record(client, salon=Salon.objects.default(), on=localdate(), at=now())
    told = process_time()
    printed = pdf.sheet_pdf(sheet)
    drawn = process_time()
    html = render_to_string(pdf.SECTIONS, {"sheet": sheet, "large_print": False})
    plain = pdf_of(PICTURE.sub("", html))
    ended = process_time()
    pages = len(pypdf.PdfReader(io.BytesIO(printed)).pages)
    with capsys.disabled():
        print(f"\nFull record, 20 assessments and 500 entries: {pages} pages, {len(printed) / 1000:.0f} kB")
        print(f"  working out what it says: {told - began:.1f} s of processor time")
        print(f"  drawing it: {drawn - told:.1f} s, {1000 * (drawn - told) / pages:.0f} ms a page")
        print(f"  without its {len(PICTURE.findall(html))} pictures: {ended - drawn:.1f} s, {len(plain) / 1000:.0f} kB")
