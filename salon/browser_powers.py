"""What a page may ask of the device it is shown on: nothing, but the one page that looks through the camera.

W3C Permissions Policy: the header says it for the page and for all that it might ever hold.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any, Final

from django.http import HttpRequest, HttpResponse

HEADER: Final = "Permissions-Policy"
NOTHING: Final = "camera=(), microphone=(), geolocation=(), payment=(), usb=()"
CAMERA: Final = NOTHING.replace("camera=()", "camera=(self)")


class BrowserPowers:
    """Forbids them on every answer that does not say otherwise."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        response.headers.setdefault(HEADER, NOTHING)
        return response


def with_camera(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
    """Let the page of this view look through the camera, once whoever reads it has said yes."""

    @wraps(view)
    def let(*args: Any, **kwargs: Any) -> HttpResponse:
        response = view(*args, **kwargs)
        response.headers[HEADER] = CAMERA
        return response

    return let
