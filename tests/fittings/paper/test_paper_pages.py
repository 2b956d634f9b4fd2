"""The summary on the screen and as a PDF: who may see it, what it carries, and that every look is kept."""

import pytest
from django.contrib.messages import get_messages
from django.urls import reverse

from clients.models import AccessEntry
from fittings.models import Override
from fittings.paper import views
from salon.common.printing import PrintingUnavailable
from tests.factories import DeskFactory, OwnerFactory, StylistFactory
from tests.fittings.paper.papers import a_salon, a_service, a_variant, decided_visit, finished, put_on_trial
from tests.fittings.visits import signed_off_visit
from tests.pieces.factories import UnitFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def stylist(client):
    user = StylistFactory()
    client.force_login(user)
    return user


def page(fitting):
    return reverse("consult-summary", args=[fitting.reference])


def pdf(fitting):
    return reverse("consult-summary-pdf", args=[fitting.reference])


def said(response):
    return " ".join(str(message) for message in get_messages(response.wsgi_request))


def test_the_page_says_what_the_paper_says(client, stylist):
    fitting = finished(decided_visit(variant=a_variant(name="Heron Weir"), decision={"why_chosen": "It is light."}))
    response = client.get(page(fitting))
    text = response.content.decode()
    for words in ("You chose Heron Weir.", "It is light.", "SALT", "£1,249.00", "A quote, not a receipt."):
        assert words in text, words
    assert text.count("<svg") >= 9
    assert 'aria-current="step"' in text
    assert response.context["steps"][-1].key == response.context["here"] == "summary"
    assert "not final" not in text


def test_an_open_visit_says_so_and_points_to_the_decision(client, stylist):
    fitting = decided_visit()
    text = client.get(page(fitting)).content.decode()
    assert "The visit is still open" in text
    assert reverse("decision", args=[fitting.reference]) in text


def test_the_page_has_no_style_or_script_of_its_own(client, stylist):
    text = client.get(page(decided_visit())).content.decode()
    assert " style=" not in text
    assert "<style" not in text


def test_what_somebody_typed_is_never_markup(client, stylist):
    fitting = decided_visit(look={"her_words": "<script>alert(1)</script>"}, preferred_name="<b>Ada</b>")
    text = client.get(page(fitting)).content.decode()
    assert "<script>alert" not in text
    assert "<b>Ada" not in text
    assert "&lt;script&gt;alert(1)&lt;/script&gt;" in text


def test_the_pdf_is_shown_kept_by_nobody_and_named_without_her(client, stylist):
    fitting = finished(decided_visit(given_name="Adelheid", family_name="Ashdown"))
    response = client.get(pdf(fitting))
    assert response.status_code == 200
    assert response["Content-Type"] == "application/pdf"
    assert response["Content-Disposition"] == f'inline; filename="consult-summary-{fitting.reference}.pdf"'
    assert response["Cache-Control"] == "private, no-store"
    assert response.content.startswith(b"%PDF-1.7")
    large = client.get(pdf(fitting), {"print": "large"})
    assert large.status_code == 200
    assert large.content != response.content


def test_every_look_is_kept(client, stylist):
    fitting = decided_visit()
    client.get(page(fitting))
    client.get(pdf(fitting))
    looks = AccessEntry.objects.filter(client=fitting.client, user=stylist).values_list("page", flat=True)
    assert sorted(looks) == [f"visit {fitting.reference}: summary", f"visit {fitting.reference}: summary, printed"]


def test_the_front_desk_may_not_see_it(client):
    fitting = decided_visit()
    client.force_login(DeskFactory())
    assert client.get(page(fitting)).status_code == client.get(pdf(fitting)).status_code == 403
    assert not AccessEntry.objects.exists()


def test_before_the_decision_it_leads_to_the_step_that_is_next(client, stylist):
    a_salon()
    fitting = signed_off_visit()
    for address in (page(fitting), pdf(fitting)):
        response = client.get(address)
        assert response.url == reverse("fitting", args=[fitting.reference])
        assert "Nothing is decided yet" in said(response)


def test_an_unknown_reference_is_not_found(client, stylist):
    assert client.get(reverse("consult-summary", args=["F-NOTTHERE"])).status_code == 404
    assert client.get(reverse("consult-summary-pdf", args=["F-NOTTHERE"])).status_code == 404


def test_where_printing_is_not_possible_a_sentence_leads_back_to_the_screen(client, stylist, monkeypatch):
    def lacking(*args, **kwargs):
        raise PrintingUnavailable("This machine lacks the libraries that make a PDF.")

    monkeypatch.setattr(views, "consult_summary_pdf", lacking)
    fitting = decided_visit()
    response = client.get(pdf(fitting))
    assert response.url == page(fitting)
    assert said(response) == "This machine lacks the libraries that make a PDF."


def test_the_page_takes_the_same_queries_for_much_as_for_little(client, stylist, queries_for):
    few = queries_for(page(decided_visit()))
    fitting = decided_visit()
    candidate = fitting.candidates.get()
    for number in range(5):
        service = a_service(fitting, "wash", candidate, note=f"No. {number}")
        Override.objects.create(
            fitting=fitting, service=service, rule_id="x", finding=f"{number}", reason="So.", owner=OwnerFactory()
        )
    for _ in range(3):
        variant = a_variant()
        put_on_trial(fitting, variant, unit=UnitFactory(variant=variant))
    assert few == queries_for(page(fitting))
