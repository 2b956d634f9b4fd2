"""Where a web server takes hold of the application."""

import os
from collections.abc import Callable, Iterable
from typing import Any

from django.core.wsgi import get_wsgi_application
from django.utils.http import parse_header_parameters

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "salon.settings")

_WHAT_TO_SEND = b"What was sent is not in UTF-8, and this site reads nothing else. Nothing was stored."
_site = get_wsgi_application()


def application(environ: dict[str, Any], start_response: Callable[..., Any]) -> Iterable[bytes]:
    """The site, closed to posts in another character set than the one our pages send.

    Django would decode by any codec that Python has, also by those that break on text or make half characters of it,
    and does so before a middleware is asked.
    """
    if not _is_utf8(environ.get("CONTENT_TYPE", "")):
        start_response("400 Bad Request", [("Content-Type", "text/plain; charset=utf-8")])
        return [_WHAT_TO_SEND]
    return _site(environ, start_response)


def _is_utf8(content_type: str) -> bool:
    try:
        _, parameters = parse_header_parameters(content_type)
    except ValueError:
        return False
    return parameters.get("charset", "utf-8").lower() in {"utf-8", "utf8"}
