"""Tables handed out as files: what a spreadsheet opens is what stood there, and never a formula."""

import csv
import io
from datetime import UTC, date, datetime

import pytest

from salon.common.csv_out import cell_of, csv_lines


@pytest.mark.parametrize(
    "text",
    [
        "=1+1",
        "+1+1",
        "-1+1",
        "@SUM(A1)",
        "\t=1",
        "\r=1",
        " =1",
        "=cmd|'/c calc'!A0",
        "%0A=1",
        "|x",
        "＝1+1",
        "＋1+1",
        "－1",
        "＠SUM(A1)",
    ],
)
def test_a_formula_is_text(text):
    assert cell_of(text) == f"'{text}"


@pytest.mark.parametrize("text", ["-2.5", "+441632960118", "Heron = walnut", "1,5", "", "a-b"])
def test_what_is_none_stays_as_it_is(text):
    assert cell_of(text) == text


def test_a_table_reads_back_as_it_was():
    rows = [[1, 2.5, None, True, date(2026, 3, 1), datetime(2026, 1, 2, 9, 5, tzinfo=UTC), 'Says "so", twice\nover']]
    text = "".join(csv_lines(["a", "b", "c", "d", "e", "f", "g"], rows))
    assert text.startswith("\ufeff")
    _, row = csv.reader(io.StringIO(text.removeprefix("\ufeff"), newline=""))
    assert row == ["1", "2.5", "", "yes", "2026-03-01", "2026-01-02 09:05", 'Says "so", twice\nover']
