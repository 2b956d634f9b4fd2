"""What is refused before the site knows who asks: a page with a sentence, not an error within an error."""

import pytest
from django.test import Client


@pytest.mark.django_db
def test_a_host_that_is_not_ours_is_refused_with_a_page(client, settings):
    settings.DEBUG = False
    client.raise_request_exception = False
    response = client.get("/sign-in/", headers={"host": "elsewhere.example"})
    assert response.status_code == 400
    assert "This can&#x27;t be read" in response.text or "This can't be read" in response.text


@pytest.mark.django_db
def test_a_press_on_a_page_opened_before_signing_in_again_is_refused_with_a_page():
    response = Client(enforce_csrf_checks=True).post("/sign-in/", {"username": "imke", "password": "wrong"})
    assert response.status_code == 403
    assert "load the page again and press once more" in response.text
    assert "verification failed" not in response.text
