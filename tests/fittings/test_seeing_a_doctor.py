"""Which doctor, and how soon, for every sign that the published referral advice lists."""

import pytest
from django.utils.timezone import localdate

from clients.models.assessment import ReferralSign
from fittings.pdf import consult_summary_pdf
from fittings.seeing_a_doctor import ADVICE, which_doctor_and_when
from fittings.summary import consult_summary
from tests.fittings.paper.papers import decided_visit
from tests.fittings.paper.printed import read_by_poppler

# NHS Lothian RefHelp, BNSSG Remedy, Kernow, GPnotebook (READ); the second group general teaching (MEMORY)
LISTED = {
    "smooth, shiny skin": "shiny", "extensive or persistent loss": "extensive", "pregnant, breastfeeding": "expecting",
    "children": "child", "sudden heavy shedding": "sudden", "round patches": "patchy",
    "pain, burning": "pain", "itch": "itch", "crusts": "scaling", "pustules, lumps, non-healing spot": "pustules",
    "brows or lashes": "brows", "fever, weight, joints": "unwell", "menstrual change, facial hair": "cycle",
    "pulling out one's own hair": "pulled",
}  # fmt: skip  # what is listed, and the sign that asks for it


def test_every_listed_sign_can_be_ticked_and_nothing_else():
    assert sorted(LISTED.values()) == sorted(ReferralSign.values)


def test_every_sign_has_one_piece_of_advice():
    advised = [sign for advice in ADVICE for sign in advice.signs]
    assert sorted(advised) == sorted(ReferralSign)


def test_one_kind_of_advice_names_no_signs_for_the_paper_has_just_named_them():
    assert which_doctor_and_when(["pain", "unwell"]) == ("Best in the next few days, with a family doctor.",)
    assert which_doctor_and_when([]) == ()


@pytest.mark.parametrize("sign", ReferralSign.values)
def test_the_words_are_calm_and_name_no_cause(sign):
    said = " ".join(which_doctor_and_when([sign])).lower() + ReferralSign(sign).label.lower()
    named = ("alopecia", "areata", "effluvium", "tinea", "ringworm", "trichotillomania", "hormon", "disorder")
    alarming = ("urgent", "immediately", "emergency", "serious", "danger", "bald", "normal", "problem", "suffer")
    assert not [word for word in (*named, *alarming) if word in said]


@pytest.mark.django_db
@pytest.mark.parametrize("sign", ReferralSign.values)
def test_any_sign_alone_puts_a_doctor_on_the_summary(sign):
    """The rule `refer` fires for each, and the paper says whom to see."""
    summary = consult_summary(decided_visit(story={"referral_signs": [sign]}), on=localdate())
    assert summary.doctor is not None
    assert summary.doctor.says.startswith("Please see a doctor")
    assert len(summary.doctor_when) == 1


@pytest.mark.slow
@pytest.mark.django_db
def test_the_printed_paper_says_which_doctor_and_how_soon_and_what_the_pattern_was_called(tmp_path):
    fitting = decided_visit(story={"referral_signs": ["shiny", "pustules"]}, pattern=("ludwig", "II"))
    read = read_by_poppler(consult_summary_pdf(consult_summary(fitting, on=localdate())), tmp_path)
    text = " ".join(read.split())
    assert "See a doctor" in text
    assert "smooth, shiny skin without openings" in text
    assert "Best in the next few days, with a family doctor: pustules" in text
    assert "who can send on to a dermatologist: smooth, shiny skin" in text
    assert "diagnoses nothing" in text
    assert "Pattern seen: Ludwig 1977, degree II; a name for it, no diagnosis." in text
