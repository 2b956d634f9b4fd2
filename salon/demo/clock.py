"""Sets the clock back while the demo's past is made, so that what the database dates by itself is dated right too."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from unittest import mock


@contextmanager
def clock_at(moment: datetime) -> Iterator[None]:
    """Let Django's clock stand at this moment: “registered at” and “logged at” are read from it, not handed in.

    For the whole process: nothing else may be going on in it.
    """
    with mock.patch("django.utils.timezone.now", return_value=moment):
        yield
