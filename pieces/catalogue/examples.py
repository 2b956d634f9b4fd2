"""Where the example files lie: the demo salon's own catalogue, one file for each kind."""

from __future__ import annotations

from pathlib import Path

from django.conf import settings


def example_file(kind_name: str) -> Path:
    return Path(settings.BASE_DIR) / "salon" / "demo" / "catalogue" / f"{kind_name}.csv"
