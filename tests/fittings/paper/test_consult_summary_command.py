"""`manage.py consult_summary REF --output FILE`: the paper from the terminal, and a sentence where there is none."""

import io
import subprocess
import sys
from pathlib import Path

import pypdf
import pytest
from django.core.management import CommandError, call_command

from salon.common.printing import PrintingUnavailable
from salon.management.commands import consult_summary as command
from tests.fittings.paper.papers import a_salon, decided_visit, finished
from tests.fittings.visits import signed_off_visit

pytestmark = pytest.mark.django_db


def run(reference, file, *more):
    said = io.StringIO()
    call_command("consult_summary", reference, "--output", str(file), *more, stdout=said)
    return said.getvalue()


def test_it_writes_the_paper_and_says_so(tmp_path):
    fitting = finished(decided_visit())
    said = run(fitting.reference, tmp_path / "paper.pdf")
    assert fitting.reference in said
    text = "".join(page.extract_text() for page in pypdf.PdfReader(tmp_path / "paper.pdf").pages)
    assert fitting.client.reference in text
    run(fitting.reference, tmp_path / "large.pdf", "--large-print")
    assert (tmp_path / "large.pdf").read_bytes() != (tmp_path / "paper.pdf").read_bytes()


def test_a_reference_may_be_typed_as_people_type(tmp_path):
    fitting = decided_visit()
    assert fitting.reference in run(fitting.reference.lower().replace("-", " "), tmp_path / "paper.pdf")


@pytest.mark.parametrize(
    ("reference", "sentence"),
    [
        ("nonsense", "is not a reference"),
        ("F-AAAAAAAA", "has a slip in it"),
        ("", "is not a reference"),
    ],
)
def test_a_wrong_reference_gets_a_sentence(tmp_path, reference, sentence):
    with pytest.raises(CommandError, match=sentence):
        run(reference, tmp_path / "paper.pdf")
    assert not (tmp_path / "paper.pdf").exists()


def test_somebody_elses_reference_is_told_what_a_visits_looks_like(tmp_path):
    with pytest.raises(CommandError, match=r"There is no visit C-.* begins with F"):
        run(decided_visit().client.reference, tmp_path / "paper.pdf")


def test_a_visit_without_a_decision_gets_a_sentence(tmp_path):
    a_salon()
    with pytest.raises(CommandError, match="Nothing is decided yet"):
        run(signed_off_visit().reference, tmp_path / "paper.pdf")


def test_a_place_that_cannot_be_written_gets_a_sentence(tmp_path):
    with pytest.raises(CommandError, match="can't be written"):
        run(decided_visit().reference, tmp_path / "no such folder" / "paper.pdf")


def test_a_machine_that_cannot_print_gets_a_sentence(tmp_path, monkeypatch):
    def lacking(*args, **kwargs):
        raise PrintingUnavailable("This machine lacks the libraries that make a PDF.")

    monkeypatch.setattr(command, "consult_summary_pdf", lacking)
    with pytest.raises(CommandError, match="lacks the libraries"):
        run(decided_visit().reference, tmp_path / "paper.pdf")


def test_from_a_shell_a_wrong_reference_ends_with_1(tmp_path):
    manage = Path(__file__).parents[3] / "manage.py"
    line = [sys.executable, manage, "consult_summary", "nonsense", "--output", tmp_path / "paper.pdf"]
    ended = subprocess.run(line, capture_output=True, text=True)
    assert ended.returncode == 1
    assert "“nonsense” is not a reference." in ended.stderr
    assert "Traceback" not in ended.stderr
