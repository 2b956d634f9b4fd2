"""The pieces a client has or had, and those that were proposed to her and tried, for her full record."""

from __future__ import annotations

from clients.models import Client
from fittings.models import Candidate, TryOn
from fittings.paper.care_sheet import dates_table, what_it_is
from fittings.paper.measured import Fact
from fittings.paper.piece_told import behind_the_hairline, cover_told, how_it_did
from fittings.paper.salon_words import SalonWords
from fittings.paper.sheet import Entry, Section, facts


def pieces_section(client: Client, words: SalonWords) -> Section:
    pieces = client.owned_pieces.with_what_they_are().prefetch_related("care_dates")
    return Section(
        "Pieces",
        entries=tuple(
            Entry(f"{owned}, {owned.reference}", facts=what_it_is(owned, words), tables=dates_table(owned, words))
            for owned in pieces
        ),
        empty="You have had none from this salon.",
    )


def proposals_section(client: Client, words: SalonWords) -> Section:
    """Each proposal as it was computed, what the rules said, and every try with what was seen and what she said."""
    rows = (
        Candidate.objects.filter(fitting__client=client)
        .select_related("fitting")
        .prefetch_related("try_ons__logged_by", "overrides__owner")
        .order_by("-fitting__began_at", "-pk")
    )
    return Section(
        "Pieces proposed and tried",
        entries=tuple(_proposal(row, words) for row in rows),
        empty="None was proposed.",
    )


def _proposal(candidate: Candidate, words: SalonWords) -> Entry:
    clips = f"{candidate.clips_holding} of {candidate.clips_total}" if candidate.clips_total else ""
    findings = [one for one in candidate.findings if not one.get("asks")]
    return Entry(
        f"{candidate.name}, in visit {candidate.fitting.reference} of {words.moment(candidate.fitting.began_at)}",
        facts=(
            *facts(
                ("Front edge", behind_the_hairline(candidate.set_back_mm, words)),
                ("Cover", cover_told(candidate.cover, candidate.uncovered_cm2)),
                ("Clips that hold", clips),
            ),
            *(Fact(str(one["severity"]).capitalize(), str(one["says"])) for one in findings),
            *(
                Fact(f"A stop that {one.owner} let pass", f"{one.finding} Because: {one.reason}")
                for one in candidate.overrides.all()
            ),
            *(_try(look, words) for look in candidate.try_ons.all()),
        ),
    )


def _try(look: TryOn, words: SalonWords) -> Fact:
    said = f" You said: “{look.her_words.strip()}”" if look.her_words.strip() else ""
    outcome = str(look.get_outcome_display())
    return Fact(outcome, f"{words.moment(look.logged_at)}: {how_it_did(look)}{said}")
