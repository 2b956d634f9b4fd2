"""Who may open a page: the one decorator every view wears, so that a walk over all addresses can prove it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.contrib.auth.decorators import permission_required
from django.http.response import HttpResponseBase

View = Callable[..., HttpResponseBase]  # a page, or a file in pieces


def needs(*permissions: str) -> Callable[[View], View]:
    """Open to those whose role holds every one of the permissions; the rest get a sentence and status 403.

    Signing in itself is asked by `salon.signed_in`, before this is reached.
    """

    def guard(view: View) -> View:
        guarded: Any = permission_required(permissions, raise_exception=True)(view)
        guarded.needs = permissions
        return guarded  # type: ignore[no-any-return]  # the same view, wrapped

    return guard
