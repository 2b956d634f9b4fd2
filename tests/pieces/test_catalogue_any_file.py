"""Any file at all is read whole or refused in sentences; five thousand lines take batches, not a statement each."""

import csv
import io
from collections import Counter

import pytest
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext
from hypothesis import HealthCheck, given
from hypothesis import settings as property_tests
from hypothesis import strategies as st

from pieces.catalogue import read_catalogue
from pieces.catalogue.examples import example_file
from pieces.models import Unit, Variant
from tests.factories import OwnerFactory
from tests.pieces.catalogue_files import KINDS, MODELS, many_variants, stored

pytestmark = pytest.mark.django_db


@property_tests(suppress_health_check=[HealthCheck.function_scoped_fixture])  # takes itself back
@given(data=st.data())
def test_a_mutated_file_is_read_whole_or_refused_in_sentences_with_nothing_stored(data, read_once):
    name = data.draw(st.sampled_from(KINDS))
    content = data.draw(mutated(example_file(name).read_bytes()))
    files = {kind: example_file(kind).read_bytes() for kind in KINDS} | {name: content}
    before = stored()
    report = read_once(files)
    assert report.stored == report.is_clean
    if not report.stored:
        assert stored() == before
    for bad in report.bad_lines:
        assert bad.sentence[0].isupper() or bad.sentence[0] in "“"
        assert bad.sentence.endswith((".", "?"))
        assert bad.file.endswith(".csv")
    for model in MODELS:
        if report.stored and model is not Unit:
            for record in model.objects.all()[:3]:
                record.full_clean()


@pytest.fixture
def read_once():
    """Reads and takes it back again, so that each example begins from nothing."""
    owner = OwnerFactory()

    def reader(files):
        point = transaction.savepoint()
        try:
            return read_catalogue(files, dry_run=False, by=owner)
        finally:
            transaction.savepoint_rollback(point)

    return reader


@st.composite
def mutated(draw, content):
    """The file with bytes changed, lines lost or doubled, or one cell replaced by whatever people paste."""
    how = draw(st.sampled_from(["bytes", "cut", "lines", "cell"]))
    if how == "bytes":
        place = draw(st.integers(0, len(content) - 1))
        return content[:place] + draw(st.binary(max_size=4)) + content[place + draw(st.integers(0, 3)) :]
    if how == "cut":
        return content[: draw(st.integers(0, len(content)))]
    rows = list(csv.reader(io.StringIO(content.decode())))
    row = draw(st.integers(0, len(rows) - 1))
    if how == "lines":
        rows.insert(draw(st.integers(0, len(rows))), rows.pop(row) if draw(st.booleans()) else rows[row])
    else:
        rows[row] = list(rows[row])
        rows[row][draw(st.integers(0, len(rows[row]) - 1))] = draw(pasted)
    text = io.StringIO()
    csv.writer(text, delimiter=draw(st.sampled_from(",;"))).writerows(rows)
    return text.getvalue().encode("utf-8", "surrogatepass")


pasted = st.one_of(
    st.text(max_size=12),
    st.sampled_from(
        [
            "",
            " ",
            "-1",
            "0",
            "1e9",
            "nan",
            "inf",
            "9" * 30,
            "1,5",
            "=1+1",
            "<b>x</b>",
            "½",
            "٣",
            "1 mile",
            "yes",
            "\0",
        ]
    ),
)


def test_a_check_asks_the_same_questions_whatever_the_number_of_lines(read):
    def statements(count):
        files = {name: text.encode() for name, text in many_variants(count).items()}
        with CaptureQueriesContext(connection) as queries:
            read(dry_run=True, **files)
        return Counter(query["sql"].split(" ", 1)[0] for query in queries)["SELECT"]

    read(**many_variants(100))
    # the salon; makers; bases with their clips and strips; shades; pieces; variants
    assert statements(200) == statements(400) == 8


@pytest.mark.slow
def test_five_thousand_lines_go_in_and_are_changed_by_batches(read):
    files = many_variants(5000)
    with CaptureQueriesContext(connection) as queries:
        assert read(**files).stored
    assert Variant.objects.count() == 5000
    assert Variant.history.count() == 5000
    assert len(queries) < 150  # a row each would be ten thousand; SQLite takes 999 values a statement
    dearer = files["variants"].replace("1249.00", "1299.00")
    with CaptureQueriesContext(connection) as queries:
        report = read(variants=dearer)
    assert (report.tallies[0].changed, report.stored) == (5000, True)
    assert set(Variant.objects.values_list("price_minor", flat=True)) == {129900}
    assert len(queries) < 150
