"""Which findings stand on the client's paper, in which order, and where an owner let a stop pass.

The words are the rules' own, frozen when the piece was chosen or the service planned; a client's own findings are asked
of the rules of that day with what the signed assessment says. Questions that nobody answered are the salon's, not hers,
and stay off the paper.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from clients.models import Assessment
from fittings.candidates import ABOUT_CLIENT, rule_book
from fittings.keeping_findings import kept_findings
from fittings.models import Override
from fittings.rules.engine import Plan

SEE_A_DOCTOR = "refer"
# notes that are instructions stand where the client looks for them: rule id to key of `wearing`
BELONGS_TO = {
    "mri": "scan",
    "heat-home": "heat",
    "curl-back": "washing",
    "lace-own-hair": "putting on",
    "ears": "putting on",
}
FOR_THE_STYLIST = {"ears"}  # what to do instead is hers to cut
_WORDS = {"stop": "Stop", "caution": "Caution", "note": "Note"}
_ORDER = tuple(_WORDS)

KeptFinding = Mapping[str, Any]


@dataclass(frozen=True)
class Told:
    """One finding as it is printed. `let_pass` is who let a stop pass and the reason, empty otherwise."""

    severity: str
    word: str
    about: str
    says: str
    because: str
    instead: str
    let_pass: str = ""


def client_findings(assessment: Assessment, numbers: Mapping[str, float], *, on: date) -> Sequence[KeptFinding]:
    """What the rules of that day say about the client herself, from what she told and what was seen."""
    facts: dict[str, object] = {
        "chemotherapy": assessment.chemotherapy or None,
        "days_per_week": assessment.days_per_week,
    }
    if assessment.referral_signs_asked or assessment.referral_signs:
        facts["referral_signs"] = assessment.referral_signs
    return kept_findings(rule_book().check(Plan(facts), numbers, on=on, about=ABOUT_CLIENT))


def told(sources: Iterable[tuple[str, Sequence[KeptFinding]]], overrides: Iterable[Override]) -> tuple[Told, ...]:
    """Stops that were let pass first, then cautions, then notes; each once.

    sources: what findings are about (“” for the chosen piece or the client) and the findings.
    """
    passed: dict[tuple[str, str], list[Override]] = {}
    for override in overrides:
        passed.setdefault((override.rule_id, override.finding), []).append(override)
    lines: dict[tuple[str, str], Told] = {}
    for about, findings in sources:
        for one in findings:
            key = (one["rule_id"], one["says"])
            if _is_told(one) and key not in lines:
                lines[key] = _line(one, about, passed.pop(key, []))
    for key, passes in passed.items():  # a pass is printed even where its finding is no longer kept beside it
        lines[key] = _line({"severity": "stop", "says": passes[0].finding}, "", passes)
    return tuple(sorted(lines.values(), key=lambda line: _ORDER.index(line.severity)))


def instructions_in(findings: Iterable[KeptFinding]) -> dict[str, tuple[str, ...]]:
    """What the findings add to the instructions for wearing, by the key of `wearing`."""
    sentences: dict[str, tuple[str, ...]] = {}
    for one in findings:
        key = BELONGS_TO.get(one["rule_id"])
        if key and not one.get("asks"):
            instead = "" if one["rule_id"] in FOR_THE_STYLIST else one.get("instead", "")
            sentences[key] = (*sentences.get(key, ()), one["says"], instead)
    return {key: tuple(filter(None, said)) for key, said in sentences.items()}


def doctor_among(findings: Iterable[KeptFinding]) -> Told | None:
    """The finding that sends her to a doctor, which stands by itself on the paper."""
    found = next((one for one in findings if one["rule_id"] == SEE_A_DOCTOR and not one.get("asks")), None)
    return _line(found, "", []) if found else None


def _is_told(finding: KeptFinding) -> bool:
    return not finding.get("asks") and finding["rule_id"] not in BELONGS_TO and finding["rule_id"] != SEE_A_DOCTOR


def _line(finding: KeptFinding, about: str, passes: Sequence[Override]) -> Told:
    severity = str(finding["severity"])
    return Told(
        severity=severity,
        word="Let pass by the owner" if passes else _WORDS[severity],
        about=about,
        says=finding["says"],
        because=finding.get("because", ""),
        instead=finding.get("instead", ""),
        let_pass=" ".join(dict.fromkeys(f"{one.owner} let it pass: “{one.reason}”" for one in passes)),
    )
