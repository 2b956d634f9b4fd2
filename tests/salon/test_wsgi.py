"""The door to the site: what no page of ours sends is refused by a sentence before anything decodes it."""

from io import BytesIO

import pytest

from salon.wsgi import application

BODY = b"username=odile"


def knock(content_type="application/x-www-form-urlencoded", cookie=""):
    """(status, text) of a post with that content type and cookie."""
    environ = {
        "REQUEST_METHOD": "POST",
        "PATH_INFO": "/sign-in/",
        "QUERY_STRING": "next=/today/",
        "SERVER_NAME": "localhost",
        "SERVER_PORT": "80",
        "wsgi.input": BytesIO(BODY),
        "wsgi.errors": BytesIO(),
        "wsgi.url_scheme": "http",
        "CONTENT_LENGTH": str(len(BODY)),
        "CONTENT_TYPE": content_type,
        "HTTP_COOKIE": cookie,
    }
    answered = []
    body = b"".join(application(environ, lambda status, headers: answered.append(status)))
    return int(answered[0].split()[0]), body.decode()


@pytest.mark.parametrize("charset", ["rot13", "base64", "utf-7", "unicode_escape", "latin-1", "no-such-charset", "''"])
@pytest.mark.parametrize("kind", ["application/x-www-form-urlencoded", "multipart/form-data; boundary=x"])
def test_another_character_set_is_refused(kind, charset):
    status, text = knock(f"{kind}; charset={charset}")
    assert status == 400
    assert "UTF-8" in text


@pytest.mark.parametrize("kind", ["text/plain; charset*=nonsense''utf-8", "a/b; " + "c=d; " * 500 + "charset=rot13"])
def test_a_header_that_makes_no_sense_is_refused(kind):
    assert knock(kind)[0] == 400


@pytest.mark.django_db  # a page that refuses names the salon
@pytest.mark.parametrize("charset", ["", "; charset=utf-8", "; charset=UTF-8", '; charset="utf8"'])
def test_our_own_posts_come_in(charset):
    status, text = knock(f"application/x-www-form-urlencoded{charset}")
    assert status == 403  # without its token a post goes no further than this
    assert "Please press again" in text


def test_a_session_key_that_no_database_can_be_asked_for_is_refused():
    status, text = knock(cookie=r'sessionid="nobody\000nobody"')
    assert status == 400
    assert "no text" in text
