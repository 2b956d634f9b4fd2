"""Secrets that stand in an address: made long enough not to be guessed, kept only as their digest.

Whoever reads the table can't open what the address opens; a secret is therefore shown once, when it is made. What it
opens, for how long and how often is for its keeper.
"""

from __future__ import annotations

import hashlib
import secrets

from django.http import HttpResponse
from django.utils.cache import add_never_cache_headers

BYTES = 32


def new_secret() -> str:
    """A new secret of 256 bits that can stand in an address as it is."""
    return secrets.token_urlsafe(BYTES)


def digest_of(secret: str) -> str:
    """What is kept of a secret, and looked for when one comes back: SHA-256 in 64 hexadecimal digits.

    A plain digest is enough, for a secret of 256 bits can't be tried out as a password can.
    """
    return hashlib.sha256(secret.encode()).hexdigest()


def kept_nowhere(response: HttpResponse) -> HttpResponse:
    """A page behind such an address: in no cache, on no search page, and the secret in no other site's log."""
    add_never_cache_headers(response)
    response["Referrer-Policy"] = "no-referrer"
    response["X-Robots-Tag"] = "noindex, nofollow"
    return response
