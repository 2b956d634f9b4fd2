"""What is cut when a summary is too long for its pages, and that the paper says so."""

import pytest
from django.utils.timezone import localdate

from fittings.paper.room import ROOMS, within
from fittings.summary import consult_summary
from tests.fittings.paper.papers import a_service, decided_visit, visit_with_everything

pytestmark = pytest.mark.django_db


def summary_of(fitting):
    return consult_summary(fitting, on=localdate())


def test_what_fits_is_left_as_it_is():
    summary = summary_of(decided_visit(decision={"why_chosen": "It is light."}))
    assert within(summary, ROOMS[0]) == summary
    assert within(summary, ROOMS[1]) == summary


def test_a_long_text_ends_in_an_ellipsis_and_the_paper_says_so():
    summary = summary_of(decided_visit(decision={"why_chosen": "Because. " * 100}))
    cut = within(summary, ROOMS[0])
    assert cut.why_chosen.endswith("…")
    assert len(cut.why_chosen) <= ROOMS[0].free
    assert cut.left_out == "To fit this paper, texts that end in “…” are cut. Ask us for the whole."


def test_every_room_is_tighter_than_the_one_before_and_says_what_fell():
    summary = summary_of(visit_with_everything())
    cuts = [within(summary, room) for room in ROOMS]
    lengths = [len(repr(cut)) for cut in cuts]
    assert lengths == sorted(lengths, reverse=True)
    for fallen in ("are cut", "reasons are left out", "further lines are left out", "what you said is left out"):
        assert fallen in cuts[-1].left_out


def test_in_the_tightest_room_numbers_totals_instructions_and_the_doctor_stay_and_the_gravest_findings_lead():
    summary = summary_of(visit_with_everything())
    tight = within(summary, ROOMS[-1])
    for untouched in ("measured", "instructions", "doctor", "footer", "client_reference", "visited_on"):
        assert getattr(tight, untouched) == getattr(summary, untouched)
    assert tight.quote.totals == summary.quote.totals
    assert {finding.severity for finding in tight.findings} == {"stop"}
    assert tight.dates[0].label == "First check-up"
    assert [piece.colour.verdict for piece in tight.pieces] == [piece.colour.verdict for piece in summary.pieces]


def test_services_that_find_no_line_are_added_up_in_one():
    fitting = decided_visit()
    for _ in range(30):
        a_service(fitting, "wash", fitting.candidates.get(), price_minor=1000)
    quote = within(summary_of(fitting), ROOMS[0]).quote
    assert len(quote.lines) == ROOMS[0].lines
    assert (quote.lines[-1].what, quote.lines[-1].price) == ("8 further services", "£80.00")
    assert quote.totals == ("£1,549.00",)


def test_where_it_is_tight_the_soonest_visit_to_a_doctor_stands_for_all():
    summary = summary_of(decided_visit(story={"referral_signs": ["pain", "patchy"]}))
    assert within(summary, ROOMS[0]).doctor_when == summary.doctor_when
    tight = within(summary, ROOMS[-1])
    assert tight.doctor_when == ("Best in the next few days, with a family doctor.",)
    assert tight.doctor == summary.doctor  # every sign is named there
    assert "which doctor for which sign is left out" in tight.left_out
