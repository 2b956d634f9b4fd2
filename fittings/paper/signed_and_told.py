"""What a client signed, word for word, and what she told before a visit, for her full record."""

from __future__ import annotations

from datetime import datetime

from clients.intake.told import told_in
from clients.models import Client
from fittings.paper.consents_told import ConsentTold, kinds_told
from fittings.paper.measured import Fact, Picture
from fittings.paper.salon_words import SalonWords
from fittings.paper.sheet import Entry, Section


def consents_section(client: Client, words: SalonWords) -> Section:
    """Each kind in a sentence, then everything ever signed, with what became of it."""
    kinds = kinds_told(client, words)
    return Section(
        "Consents",
        facts=tuple(Fact(kind.heading, kind.stands) for kind in kinds),
        entries=tuple(_consent(kind.heading, one) for kind in kinds for one in kind.signed),
    )


def intakes_section(client: Client, words: SalonWords, *, at: datetime) -> Section:
    """Her answers, and the links that led to them: of a link only when it was made and what became of it is kept."""
    links = client.intake_links.select_related("made_by", "intake__taken_over_by")
    return Section(
        "What was told before a visit",
        entries=tuple(
            Entry(
                f"Link made on {words.moment(link.made_at)} by {link.made_by}: {link.state_at(at).label.lower()}",
                facts=_answers(link, words),
            )
            for link in links
        ),
        empty="Nothing was asked ahead.",
    )


def _consent(heading: str, told: ConsentTold) -> Entry:
    drawing = (Picture(f"Signature of {told.signed_by}", told.drawing),) if told.drawing else ()
    return Entry(
        heading,
        says=(told.words, f"{told.how} Text {told.version}."),
        pictures=drawing,
        mended=told.ended,
        stands=told.stands,
    )


def _answers(link: object, words: SalonWords) -> tuple[Fact, ...]:
    intake = getattr(link, "intake", None)
    if intake is None:
        return ()
    taken = f"on {words.moment(intake.taken_over_at)} by {intake.taken_over_by}" if intake.taken_over_at else "not yet"
    return (
        Fact("Sent", words.moment(intake.sent_at)),
        *(Fact(one.question, one.answer) for one in told_in(intake)),
        Fact("Taken into an assessment", taken),
    )
