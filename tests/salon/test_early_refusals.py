"""What is refused before the site knows who asks: a page with a sentence, not an error within an error."""

import pytest


@pytest.mark.django_db
def test_a_host_that_is_not_ours_is_refused_with_a_page(client, settings):
    settings.DEBUG = False
    client.raise_request_exception = False
    response = client.get("/sign-in/", headers={"host": "elsewhere.example"})
    assert response.status_code == 400
    assert "This can&#x27;t be read" in response.text or "This can't be read" in response.text
