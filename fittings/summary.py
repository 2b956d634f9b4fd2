"""What does a consult summary say? Everything, in words and numbers; `pdf` and the page draw it and decide nothing.

It reads what was frozen in the visit: the signed assessment, the candidates with the piece itself, its price, colour
difference, findings and house rules, the try-ons, the planned services and the owner's passes. So a piece measured or
priced anew, or a house rule changed later, leaves an old summary as it was. The salon's own address and telephone are
those of the day it is printed. Lengths and temperatures are in the salon's units, days by its clock.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from django.core.exceptions import ValidationError

from clients.models import Assessment
from clients.scalp.head import Head
from clients.scalp.loss_map import LossMap
from fittings.house_numbers import start_numbers
from fittings.models import Candidate, Fitting, Override, Service, TryOn
from fittings.paper.colour_told import colours_explained
from fittings.paper.dates import WHILE_TESTING, is_open, next_dates
from fittings.paper.findings_told import KeptFinding, Told, client_findings, doctor_among, told
from fittings.paper.measured import Base, Fact, Measured, measured
from fittings.paper.piece_told import Chosen, PieceTold, TriedTold, tried_told
from fittings.paper.quote import Quote, quote, service_in_words
from fittings.paper.salon_words import SalonWords, in_one_line
from fittings.paper.sheet import GUIDANCE
from fittings.paper.wearing import Instruction, instructions
from fittings.seeing_a_doctor import which_doctor_and_when
from salon.models import Salon

Taken = tuple[Candidate, TryOn]

NONE_TAKEN = (
    "Nothing was bought or ordered today.",
    "What was measured is kept in your record, so the next visit starts from it.",
    "Pieces come on other bases, in other fibres and shades: call us when you would like to see more.",
)


@dataclass(frozen=True)
class ConsultSummary:
    """The paper in the client's hand. Empty texts and tuples are left out where it is drawn."""

    salon_name: str
    salon_address: str
    salon_phone: str
    salon_email: str
    after_hours: str
    client_name: str
    client_reference: str
    visit_reference: str
    visited_on: str
    printed_on: str
    """Empty on the day of the visit itself."""
    stylist: str
    is_final: bool
    headline: str
    measured: Measured
    pieces: tuple[PieceTold, ...]
    about_colours: str
    why_chosen: str
    none_because: str
    none_next: tuple[str, ...]
    tried: tuple[TriedTold, ...]
    doctor: Told | None
    doctor_when: tuple[str, ...]
    """Which doctor, and how soon, in calm words."""
    findings: tuple[Told, ...]
    instructions: tuple[Instruction, ...]
    dates: tuple[Fact, ...]
    while_testing: str
    quote: Quote
    footer: str = GUIDANCE
    left_out: str = ""
    """What was cut to make it fit its pages; see `paper.room`."""

    @property
    def title(self) -> str:
        return f"Consult summary {self.client_reference}, {self.visited_on}"


def consult_summary(fitting: Fitting, *, on: date) -> ConsultSummary:
    """The summary of a visit as it is printed that day, in a fixed number of queries.

    Raises ValidationError with a sentence while there is nothing to sum up: the assessment is not signed off, or
    nothing is decided yet.
    """
    salon = Salon.objects.default()
    words = SalonWords.of(salon)
    candidates = _candidates(fitting)
    taken = _taken(candidates)
    if not taken and not fitting.none_chosen_because:
        raise ValidationError("Nothing is decided yet: choose a piece that was tried, or write why none is taken.")
    assessment = taken[0][0].assessment if taken else _signed(fitting, candidates)
    head, loss_map = Head.from_tapes(**assessment.tapes()), LossMap.from_hex(assessment.density_hex)
    services = _services(fitting, taken)
    chosen = [Chosen(look, candidate, services, head, loss_map) for candidate, look in taken]
    visited_on = words.day_of(fitting.began_at)
    numbers = chosen[0].numbers if chosen else start_numbers()
    hers = client_findings(assessment, numbers, on=visited_on)
    open_tests = [test for test in fitting.client.skin_tests.all() if is_open(test, on=on, words=words)]
    return ConsultSummary(
        salon_name=salon.name,
        salon_address=in_one_line(salon.address),
        salon_phone=salon.phone,
        salon_email=salon.email,
        after_hours=salon.after_hours_advice,
        client_name=fitting.client.preferred_name or fitting.client.given_name,
        client_reference=fitting.client.reference,
        visit_reference=fitting.reference,
        visited_on=words.day(visited_on),
        printed_on="" if on == visited_on else words.day(on),
        stylist=str(fitting.stylist),
        is_final=fitting.is_finished,
        headline=_headline(chosen),
        measured=measured(assessment, head, loss_map, _drawn(chosen), words),
        pieces=tuple(one.told(heading, words) for one, heading in zip(chosen, _headings(chosen), strict=False)),
        about_colours=_about_colours(chosen[0].candidate, numbers) if chosen else "",
        why_chosen=fitting.why_chosen.strip(),
        none_because=fitting.none_chosen_because.strip(),
        none_next=() if chosen else NONE_TAKEN,
        tried=_tried(candidates, taken),
        doctor=doctor_among(hers),
        doctor_when=which_doctor_and_when(assessment.referral_signs),
        findings=told(_sources(chosen, services, hers, words), _overrides(fitting, taken)),
        instructions=instructions(
            [one.worn(name) for one, name in zip(chosen, ("First piece", "Second piece"), strict=False)], words
        ),
        dates=next_dates(fitting, open_tests, numbers if chosen else None, words),
        while_testing=WHILE_TESTING if open_tests else "",
        quote=quote([one.candidate for one in chosen], services, currency=salon.currency, units=words.units),
    )


def _about_colours(candidate: Candidate, numbers: Mapping[str, float]) -> str:
    return colours_explained(candidate.colour, candidate.assessment.readings.all(), numbers)


def _candidates(fitting: Fitting) -> list[Candidate]:
    return list(
        fitting.candidates.select_related("assessment").prefetch_related("assessment__readings", "try_ons__unit")
    )


def _taken(candidates: list[Candidate]) -> list[Taken]:
    """The chosen piece, then the second of the pair, each with the look that was decided on."""
    by_outcome = {
        look.outcome: (candidate, look)
        for candidate in candidates
        for look in candidate.try_ons.all()
        if look.outcome != TryOn.Outcome.TRIED
    }
    return [by_outcome[one] for one in (TryOn.Outcome.CHOSEN, TryOn.Outcome.SECOND) if one in by_outcome]


def _tried(candidates: list[Candidate], taken: list[Taken]) -> tuple[TriedTold, ...]:
    """Those that were tried and left; the newest look at a piece speaks for it."""
    newest = {candidate.pk: look for candidate in candidates for look in candidate.try_ons.all()}
    left = [candidate for candidate in candidates if candidate.pk in newest and not _is_of(taken, candidate.pk)]
    return tuple(tried_told(candidate, newest[candidate.pk]) for candidate in left)


def _services(fitting: Fitting, taken: list[Taken]) -> list[Service]:
    """What is planned or done for her own hair or a piece she takes; a service for a piece that was left is off."""
    planned = fitting.services.standing().select_related("candidate")
    return [one for one in planned if one.candidate_id is None or _is_of(taken, one.candidate_id)]


def _overrides(fitting: Fitting, taken: list[Taken]) -> list[Override]:
    passes = fitting.overrides.select_related("owner", "service")
    about = [(one, one.service.candidate_id if one.service is not None else one.candidate_id) for one in passes]
    return [one for one, candidate_id in about if candidate_id is None or _is_of(taken, candidate_id)]


def _is_of(taken: list[Taken], candidate_id: int) -> bool:
    return any(candidate.pk == candidate_id for candidate, _ in taken)


def _signed(fitting: Fitting, candidates: list[Candidate]) -> Assessment:
    """The assessment of a visit in which nothing was taken."""
    if fitting.assessment is not None and not fitting.assessment.is_draft:
        return fitting.assessment
    if candidates:
        return candidates[-1].assessment
    raise ValidationError("Sign the assessment off first; the summary is made from what it says.")


def _headings(chosen: list[Chosen]) -> tuple[str, ...]:
    return ("The first of your pair", "The second of your pair") if len(chosen) > 1 else ("The piece you chose",)


def _headline(chosen: list[Chosen]) -> str:
    if not chosen:
        return "No piece was chosen on this visit."
    names = [one.piece.name for one in chosen]
    return f"You chose {names[0]}, and {names[1]} as the second of a pair." if names[1:] else f"You chose {names[0]}."


def _drawn(chosen: list[Chosen]) -> Base | None:
    return Base(chosen[0].piece.name, chosen[0].shape, chosen[0].placement) if chosen else None


def _sources(
    chosen: list[Chosen], services: list[Service], hers: Sequence[KeptFinding], words: SalonWords
) -> list[tuple[str, Sequence[KeptFinding]]]:
    """What findings are about, and the findings, in the order in which they are printed."""
    sources: list[tuple[str, Sequence[KeptFinding]]] = [("", hers)]
    for number, one in enumerate(chosen):
        sources.append(("second piece" if number else "", one.candidate.findings))
    for service in services:
        kind = service_in_words(service, words.units)
        sources.append((f"{kind[0].lower()}{kind[1:]}", service.findings))
    return sources
