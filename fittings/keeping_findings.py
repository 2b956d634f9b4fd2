"""How a finding is kept with what it was about, so that an old visit shows the advice it was given."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from fittings.rules.engine import Finding

KEPT = ("rule_id", "about", "severity", "says", "because", "instead", "source", "printed", "asks", "questions")


def kept_findings(findings: Iterable[Finding]) -> list[dict[str, Any]]:
    """Plain data for a JSON column; the date of the rule's entry says which version spoke."""
    return [
        {name: _plain(getattr(finding, name)) for name in KEPT} | {"since": finding.since.isoformat()}
        for finding in findings
    ]


def _plain(value: Any) -> Any:
    return list(value) if isinstance(value, tuple) else value
