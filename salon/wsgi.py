"""Where a web server takes hold of the application."""

import os
from collections.abc import Callable, Iterable
from typing import Any

from django.core.wsgi import get_wsgi_application
from django.utils.http import parse_header_parameters

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "salon.settings")

_UNREADABLE = (
    b"What was sent is not in UTF-8, or holds a character that stands in no text; this site reads neither. "
    b"Nothing was stored."
)
_NUL_IN_A_COOKIE = r"\000"  # as it is quoted there; PostgreSQL answers a key that holds one with an error
_site = get_wsgi_application()


def application(environ: dict[str, Any], start_response: Callable[..., Any]) -> Iterable[bytes]:
    """The site, closed to what none of its pages sends and Django can't be asked about: another character set than
    UTF-8 (it would decode by any codec that Python has, also by those that break on text or make half characters of
    it, before a middleware is asked), and cookies with a NUL."""
    if not _is_utf8(environ.get("CONTENT_TYPE", "")) or _NUL_IN_A_COOKIE in environ.get("HTTP_COOKIE", ""):
        start_response("400 Bad Request", [("Content-Type", "text/plain; charset=utf-8")])
        return [_UNREADABLE]
    return _site(environ, start_response)


def _is_utf8(content_type: str) -> bool:
    try:
        _, parameters = parse_header_parameters(content_type)
    except ValueError:
        return False
    return parameters.get("charset", "utf-8").lower() in {"utf-8", "utf8"}
