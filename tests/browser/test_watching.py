"""The browser fixtures themselves: a page that complains can't pass unnoticed."""

import pytest

pytestmark = pytest.mark.browser


@pytest.mark.parametrize(
    ("script", "complaint"),
    [
        ("setTimeout(() => { throw new Error('the map is torn') })", "the map is torn"),
        ("Promise.reject(new Error('no tapes')); 0", "no tapes"),
        ("console.error('the head stands still')", "the head stands still"),
    ],
)
def test_an_error_in_a_page_is_seen(page, javascript_errors, script, complaint):
    page.evaluate(script)
    page.evaluate("new Promise(done => setTimeout(done))")  # the error comes first, then this answer
    assert len(javascript_errors) == 1
    assert complaint in javascript_errors[0]
    javascript_errors.clear()  # provoked above


def test_a_page_of_another_window_is_watched_too(new_context, javascript_errors):
    phone = new_context(viewport={"width": 390, "height": 844}, has_touch=True).new_page()
    phone.evaluate("console.error('too narrow')")
    assert phone.viewport_size["width"] == 390
    assert phone.evaluate("navigator.maxTouchPoints") > 0
    assert javascript_errors == ["too narrow"]
    javascript_errors.clear()  # provoked above
