"""Lets a plan go past a stop: only an owner, and only with a written reason for each; the only writer of Override.

A stop that only asks for a missing fact can't be let pass: the fact is found out instead.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from typing import Any

from django.core.exceptions import ValidationError

from fittings.models import Candidate, Fitting, Override, Service
from salon.models import User

KeptFinding = Mapping[str, Any]


def must_be_let_pass(
    stops: Collection[KeptFinding], *, owner: User | None, reasons: Mapping[str, str]
) -> list[KeptFinding]:
    """The stops, once it is sure that an owner lets every one of them pass with a reason; ValidationError if not."""
    asking = [stop for stop in stops if stop["asks"]]
    firm = [stop for stop in stops if not stop["asks"]]
    sentences = [f"First find out and record: {question}" for stop in asking for question in stop["questions"]]
    if firm and (owner is None or not owner.has_perm("fittings.pass_stop")):
        sentences += [f"Stopped: {stop['says']}" for stop in firm]
        sentences.append("Change the plan, or ask an owner, who may let it pass with a written reason.")
    else:
        silent = [stop for stop in firm if not reasons.get(stop["rule_id"], "").strip()]
        sentences += [f"Write why this may pass: {stop['says']}" for stop in silent]
    if sentences:
        raise ValidationError(list(dict.fromkeys(sentences)))
    return firm


def record_passes(
    stops: Iterable[KeptFinding],
    *,
    fitting: Fitting,
    owner: User | None,
    reasons: Mapping[str, str],
    candidate: Candidate | None = None,
    service: Service | None = None,
) -> None:
    """Keep, for each stop, the finding in its words, the owner's reason and her name."""
    for stop in stops:
        override = Override(
            fitting=fitting,
            candidate=candidate,
            service=service,
            rule_id=stop["rule_id"],
            finding=stop["says"],
            reason=reasons[stop["rule_id"]].strip(),
            owner=owner,
        )
        override.full_clean()
        override.save()
