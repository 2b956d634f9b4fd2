"""Does a maker's list of 20,000 variants take four times as long as one of 5,000? And against plainly reading its CSV?

Ratios are printed, no time is asserted; that the statements grow with the batches alone is.
"""

import csv
import io
from time import process_time

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils.timezone import now

from pieces.catalogue import kinds, read_catalogue
from pieces.catalogue.exporting import exported_columns, exported_lines
from pieces.catalogue.maker_file import take_in_maker_file
from pieces.catalogue.maker_sheets import Meaning
from pieces.models import Variant
from salon.common.csv_out import csv_lines
from tests.factories import OwnerFactory
from tests.pieces.catalogue_files import many_variants

pytestmark = [pytest.mark.django_db, pytest.mark.slow]

FEW, MANY = 5_000, 20_000
COLUMNS = {"base": "Foundation", "piece": "Style", "shade": "Colour", "length_mm": "Length", "price": "RRP"}
MEANING = Meaning(columns=COLUMNS, units={"length_mm": "mm"})
TIMES = 20  # a plain reading is too short to be measured once


def makers_list(count, price):
    """The maker's own list, its own columns in its own order and more of them than are wanted."""
    told = csv.DictReader(io.StringIO(many_variants(count)["variants"]))
    lines = [
        f"{n};{row['piece']};{row['base']};{row['shade']};{row['length_mm']};{price};Remark\n"
        for n, row in enumerate(told)
    ]
    return ("No;Style;Foundation;Colour;Length;RRP;Remark\n" + "".join(lines)).encode()


def timed(deed):
    with CaptureQueriesContext(connection) as asked:
        began = process_time()
        done = deed()
        took = process_time() - began
    return took, len(asked), done


def plainly(content):
    began = process_time()
    for _ in range(TIMES):
        rows = list(csv.reader(io.StringIO(content.decode(), newline=""), delimiter=";"))
    return (process_time() - began) / TIMES, len(rows)


def test_twenty_thousand_lines_against_five_thousand_and_against_reading_them(capsys):
    owner, kind = OwnerFactory(), kinds("GBP")["variants"]
    figures = {}
    for count in (FEW, MANY):
        files = {name: text.encode() for name, text in many_variants(count).items() if name != "variants"}
        assert read_catalogue(files, dry_run=False, by=owner).stored

        def take(content, dry_run):
            said = {"maker": "Tollbar", "kind": kind, "meaning": MEANING, "by": owner, "at": now()}
            report, _ = take_in_maker_file(content=content, dry_run=dry_run, **said)
            assert report.is_clean, report.bad_lines[:3]
            return report.tallies[0]

        new, dearer = makers_list(count, "1249.00"), makers_list(count, "1299.00")
        added = count - Variant.objects.count()
        found = {"plainly read": (*plainly(new), None)}
        found["looked at"] = timed(lambda new=new: take(new, True))
        found["taken in"] = timed(lambda new=new: take(new, False))
        assert found["taken in"][2].added == added
        found["looked at again"] = timed(lambda new=new: take(new, True))
        found["new prices taken in"] = timed(lambda dearer=dearer: take(dearer, False))
        assert found["new prices taken in"][2].changed == count
        columns = exported_columns(kind, with_costs=True)
        found["handed out"] = timed(
            lambda columns=columns: sum(len(line) for line in csv_lines(COLUMNS, exported_lines(kind, columns)))
        )
        Variant.objects.all()._raw_delete("default")
        figures[count] = found
    with capsys.disabled():
        print(f"\nA maker's list of {FEW:,} and of {MANY:,} variants; seconds of processor time")
        plain = figures[MANY]["plainly read"][0]
        for name in figures[MANY]:
            (few, few_asked, _), (many, many_asked, _) = figures[FEW][name], figures[MANY][name]
            asked = f"; {few_asked} and {many_asked} queries" if name != "plainly read" else ""
            times = f"{many / few:4.1f} times; {many / plain:5.0f} plain readings{asked}"
            print(f"  {name:<20} {few:6.3f} and {many:6.3f}: {times}")
    for name in ("looked at", "looked at again"):
        assert figures[FEW][name][1] == figures[MANY][name][1]
    assert figures[MANY]["taken in"][1] < 4 * figures[FEW]["taken in"][1] + 20
