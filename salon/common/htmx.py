"""Answers with a part to a swap and with the page otherwise, so that the back button never shows bare rows."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.cache import patch_vary_headers


def wants_part(request: HttpRequest) -> bool:
    """A swap, and not the browser asking for the page again on going back."""
    return request.headers.get("HX-Request") == "true" and request.headers.get("HX-History-Restore-Request") != "true"


def render_page_or_part(
    request: HttpRequest, page: str, part: str, context: dict[str, Any], status: int = 200
) -> HttpResponse:
    """The part to a swap, the page to a visit; `Vary` keeps a cache from mixing the two."""
    response = render(request, part if wants_part(request) else page, context, status=status)
    patch_vary_headers(response, ["HX-Request", "HX-History-Restore-Request"])
    return response
