"""The summary on the screen, at the widths it is read at."""

import pytest
from django.urls import reverse

from tests.browser.test_every_page_is_accessible import look, sticking_out
from tests.fittings.paper.papers import decided_visit

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.mark.parametrize("width", [360, 390, 500, 820, 1024, 1366])
def test_the_colours_side_by_side_fit_the_screen(signed_in_page, live_server, width):
    fitting = decided_visit()
    page = signed_in_page(fitting.stylist, viewport={"width": width, "height": 800})
    look(page, live_server, reverse("consult-summary", args=[fitting.reference]))
    assert page.get_by_role("table", name="Colour, side by side").is_visible()
    assert sticking_out(page) == []
