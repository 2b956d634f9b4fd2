"""The paper of a client's consents: word for word what was signed, by whom and when, and what was taken back."""

import io
from datetime import UTC, date, datetime

import pypdf
import pytest
from django.contrib.messages import get_messages
from django.core.exceptions import ValidationError
from django.urls import reverse

from clients.consent_texts import CONSENT_TEXTS
from clients.consenting import withdraw_by_link, withdraw_consent
from clients.models import AccessEntry
from fittings.paper import consent_views
from fittings.paper.consents_told import consents_paper
from fittings.pdf import consents_pdf
from salon.common.printing import PrintingUnavailable
from salon.models import Salon
from tests.clients.intake_scene import DRAWN, adult, child
from tests.factories import ClientFactory, ConsentFactory, DeskFactory
from tests.fittings.test_pdf import figures_under, opened, pages_of, tags_under

pytestmark = pytest.mark.django_db

MARCH = datetime(2026, 3, 2, 10, 30, tzinfo=UTC)
JULY = datetime(2026, 7, 2, 10, 30, tzinfo=UTC)  # 11:30 in London
DAY = date(2026, 11, 25)


def paper_of(her):
    return consents_paper(her, salon=Salon.objects.default(), on=DAY)


def text_of(her, **how):
    return " ".join(pages_of(consents_pdf(paper_of(her), **how)))


@pytest.fixture
def her():
    """One drawn and standing, one typed and taken back by her, one taken back and signed anew."""
    her, desk = adult(), DeskFactory(first_name="Wilma", last_name="Orchard")
    ConsentFactory(client=her, signature=DRAWN, where="tablet", by=desk, at=MARCH)
    photos = ConsentFactory(client=her, kind="photos", by=desk, at=MARCH)
    withdraw_by_link(consent=photos, at=JULY)
    reminders = ConsentFactory(client=her, kind="reminders", by=desk, at=MARCH)
    withdraw_consent(consent=reminders, by=desk, at=JULY)
    ConsentFactory(client=her, kind="reminders", by=desk, at=JULY)
    return her


def test_it_prints_the_exact_words_the_signatures_the_versions_and_the_ends(her):
    text = text_of(her)
    for consent in her.consents.all():
        assert " ".join(consent.text.split()) in text
        assert consent.text_version in text
    for words in (
        "What Ada Wren has agreed to",
        "Agreed to on 2 March 2026, 10:30, and not taken back.",
        "Signed by Ada Wren on 2 March 2026, 10:30, with a drawn signature, on the salon's tablet; the link was made "
        "by Wilma Orchard. Text record-1.",
        "Agreed to before, and taken back.",
        "Taken back on 2 July 2026, 11:30, by herself, by a link.",
        "Not agreed to.",
        "Agreed to on 2 July 2026, 11:30, and not taken back.",
        "Taken back on 2 July 2026, 11:30, taken down by Wilma Orchard.",
    ):
        assert words in text, words
    assert text.count("Signed before and taken back") == 2


def test_the_salons_address_stands_in_one_line_as_on_the_other_papers(her):
    Salon.objects.update(address="3 Tide Lane\nThornquay\n")
    assert paper_of(her).salon_address == "3 Tide Lane, Thornquay"


def test_it_prints_the_words_of_then_and_not_those_asked_now(her):
    her.consents.filter(kind="record").update(text="I agree to what was asked in those days.", text_version="record-0")
    text = text_of(her)
    assert "I agree to what was asked in those days." in text
    assert "Text record-0." in text
    assert CONSENT_TEXTS["record"].words[40:90] not in text


def test_the_guardian_is_named():
    her = child()
    ConsentFactory(client=her, signed_name="Maud Wren", guardian_name="Maud Wren", at=MARCH)
    text = text_of(her)
    assert "Signed by Maud Wren, guardian, on 2 March 2026, 10:30, with her or his name, typed" in text
    assert "The guardian signs for Ida Wren" in text


@pytest.mark.parametrize("large_print", [False, True])
def test_it_is_tagged_the_signature_is_described_and_pages_are_numbered(her, large_print):
    pdf = consents_pdf(paper_of(her), large_print=large_print)
    with opened(pdf) as document:
        root = document.Root
        assert (str(root.Lang), bool(root.MarkInfo.Marked)) == ("en-GB", True)
        with document.open_metadata() as metadata:
            assert metadata["pdfuaid:part"] == "1"
        assert {"/H1", "/H2", "/H3", "/P", "/Figure"} <= set(tags_under(root.StructTreeRoot))
        assert [str(one.Alt) for one in figures_under(root.StructTreeRoot)] == ["Signature of Ada Wren"]
    pages = pages_of(pdf)
    for number, page in enumerate(pages, 1):
        assert f"{her.reference} · page {number} of {len(pages)}" in page
        assert "25 November 2026" in page


def test_words_and_signature_stand_on_one_page(her):
    for kind in ("photos", "publicity"):
        ConsentFactory(client=her, kind=kind, signature=DRAWN, at=JULY)
    for large_print in (False, True):
        pages = pages_of(consents_pdf(paper_of(her), large_print=large_print))
        for words, signed in (("shows photos of me outside", "Text publicity-1"), ("reminds me", "Text reminders-1")):
            assert all(signed in page for page in pages if words in page)
            assert any(words in page for page in pages)


def test_what_somebody_typed_is_text_and_never_markup():
    sly = '<img src="http://192.0.2.1/x.png"><b>Ada</b>'
    her = adult()
    ConsentFactory(client=her, signed_name=sly, signature=DRAWN)
    assert sly in text_of(her)


def test_nothing_signed_is_nothing_to_print(client):
    her = ClientFactory()
    with pytest.raises(ValidationError, match="nothing to print"):
        paper_of(her)
    client.force_login(DeskFactory())
    response = client.get(reverse("client-consents-paper", args=[her.reference]))
    assert response.url == reverse("client-consents", args=[her.reference])
    assert "Nothing has been signed yet" in str(next(iter(get_messages(response.wsgi_request))))
    assert "Print" not in client.get(response.url).content.decode()


def test_the_desk_prints_it_in_either_size_and_it_is_kept_nowhere(client, her):
    client.force_login(DeskFactory())
    address = reverse("client-consents-paper", args=[her.reference])
    assert address in client.get(reverse("client-consents", args=[her.reference])).content.decode()
    usual, large = client.get(address), client.get(address + "?print=large")
    assert len(pypdf.PdfReader(io.BytesIO(large.content)).pages) > len(pypdf.PdfReader(io.BytesIO(usual.content)).pages)
    assert usual["Cache-Control"] == "private, no-store"
    assert usual["Content-Disposition"] == f'inline; filename="consents-{her.reference}.pdf"'
    with opened(usual.content) as document:
        assert str(document.docinfo.Title).startswith(f"Consents {her.reference}, ")


def test_printing_it_is_a_look_at_her_record(client, her):
    desk = DeskFactory()
    client.force_login(desk)
    client.get(reverse("client-consents-paper", args=[her.reference]))
    look = AccessEntry.objects.get(client=her)
    assert (look.user, look.page) == (desk, "consents, printed")


def test_a_machine_that_cannot_print_says_so(client, her, monkeypatch):
    def refuse(*args, **kwargs):
        raise PrintingUnavailable("This machine lacks the libraries that make a PDF.")

    monkeypatch.setattr(consent_views, "consents_pdf", refuse)
    client.force_login(DeskFactory())
    response = client.get(reverse("client-consents-paper", args=[her.reference]))
    assert "lacks the libraries" in str(next(iter(get_messages(response.wsgi_request))))


def test_it_takes_one_query(her, django_assert_num_queries):
    salon = Salon.objects.default()
    with django_assert_num_queries(1):
        consents_paper(her, salon=salon, on=DAY)
