"""What do the rules say today about a piece that was chosen to try, where it sat on her head?

What they said when it was chosen is frozen with the candidate. Since then consent may have been taken back, a reaction
recorded, a rule or a house number changed, and as worn it may sit further back than it was placed. So they are asked
again where a try-on is logged and where the decision is kept. Nothing that stopped it before is forgotten here: a stop
goes by a changed plan, by an answer, or by an owner's written reason (`passing_stops`).
"""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from clients.models import Assessment
from fittings.candidates import ABOUT_CLIENT, ABOUT_PIECE, Ground, ground_of, rule_book, with_all_that_is_read
from fittings.in_place import facts_in_place, placed_as_chosen
from fittings.keeping_findings import kept_findings
from fittings.models import Candidate, TryOn
from fittings.plan_facts import Facts
from fittings.rules.engine import Finding, Plan
from pieces.models import Variant
from salon.models import Salon


def findings_as_worn(
    candidate: Candidate, *, set_back_mm: float | None, salon: Salon, at: datetime, on: date
) -> tuple[Finding, ...]:
    """About the piece, its place and the client herself; without a set-back as worn, where it was placed."""
    assessment = Assessment.objects.select_related("client").get(pk=candidate.assessment_id)  # as kept now
    ground = ground_of(assessment, salon, at=at, on=on)
    worn_at = candidate.set_back_mm if set_back_mm is None else set_back_mm
    plan = Plan(ground.facts | _in_place(ground, candidate, worn_at))
    return rule_book().check(plan, ground.numbers, on=on, about=(*ABOUT_PIECE, *ABOUT_CLIENT), units=ground.units)


def stops_against(look: TryOn, *, salon: Salon, at: datetime, on: date) -> list[dict[str, Any]]:
    """Every stop that has to be answered or let pass before this piece is taken: those it was chosen with, then those
    of today. A question that was answered since is asked no more.

    A date of birth that is not recorded holds nothing up here: who signed her own consent was taken as of age there
    (`clients.consenting`), and the candidates ask for it.
    """
    today = kept_findings(
        one
        for one in findings_as_worn(look.candidate, set_back_mm=look.set_back_mm, salon=salon, at=at, on=on)
        if one.severity == "stop" and not (one.asks and one.about == "client")
    )
    chosen_with = [one for one in look.candidate.findings if one["severity"] == "stop" and not one["asks"]]
    known = {one["rule_id"] for one in chosen_with}
    return [*chosen_with, *(one for one in today if one["rule_id"] not in known)]


def _in_place(ground: Ground, candidate: Candidate, set_back_mm: float) -> Facts:
    variant = with_all_that_is_read(Variant.objects.filter(pk=candidate.variant_id)).get()
    shape = variant.piece.base.shape()
    placement = placed_as_chosen(ground, shape, candidate, set_back_mm=set_back_mm)
    return facts_in_place(ground, variant, shape, placement)
