"""Lets two years of strangers come, choose, buy, and now and then bring a piece back, by the deeds of the pages.

Who comes, and which of them bring theirs back, is drawn by lot in `strangers`.
"""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from functools import partial

from django.utils.timezone import localdate

from clients.consenting import give_consent
from clients.models.consent import ConsentKind
from clients.registering import register_client
from fittings.candidates import ground_of, proposals_for, with_all_that_is_read
from fittings.caring import tell_wash
from fittings.checking import check_condition
from fittings.models import Candidate, Fitting, OwnedPiece
from fittings.owning import end_piece
from fittings.taking_back import take_back_hers
from fittings.trying import choose_to_try
from fittings.visiting import begin_visit, finish_visit
from pieces.asking import note_asked_for
from pieces.models import Payment, Piece, Return, ReturnReason, SaleLine, Variant
from pieces.paying import paid_for
from pieces.stock import back_from_cleaning
from salon.demo.days import Desk, days_ago
from salon.demo.examinations import SOUND, Examination
from salon.demo.story import Story
from salon.demo.strangers import LOOKED_AT, SHORT_MARGIN_MM, TAKES_ONE, Stranger, comes_back, strangers, worn_out_after
from salon.demo.takings import Buying, Paying, buy
from salon.demo.visits import NEARLY, NOT, WELL, Choice, Look, conclude, examine, sign, try_on
from salon.models import Salon


def trade(desk: Desk, salon: Salon, story: Story, *, years: int, seed: int) -> None:
    """Let all of them come who came in so many years before now."""
    for stranger in strangers(seed, days=365 * years):
        came_at = days_ago(desk.at, stranger.days_ago, time(stranger.hour))
        story.then(came_at, _come, stranger, desk, salon, story)


def _come(stranger: Stranger, desk: Desk, salon: Salon, story: Story, at: datetime) -> None:
    """Her consult from the story to the decision; what she takes is hers some days later."""
    client = register_client(
        given_name=stranger.given_name,
        family_name=stranger.family_name,
        preferred_name="",
        phone=stranger.phone,
        email="",
        born_on=date(localdate(desk.at).year - stranger.age, 1 + stranger.number % 12, 1 + stranger.number % 28),
        guardian_name="",
        private_note="",
        by=desk.staff["desk"],
    )
    name = f"{stranger.given_name} {stranger.family_name}"
    give_consent(
        client=client, kind=ConsentKind.RECORD, signed_name=name, guardian_name="", by=desk.staff["desk"], at=at
    )
    stylist = desk.staff[stranger.stylist]
    fitting = begin_visit(client=client, stylist=stylist, at=at)
    found = _examination(stranger)
    sign(
        examine(fitting, found, salon=salon, by=stylist, at=at + timedelta(minutes=20)),
        by=stylist,
        at=at + timedelta(minutes=30),
    )
    fitting.refresh_from_db()
    candidates = _shown(stranger, fitting, salon, at + timedelta(minutes=40))
    choice = _choice(stranger, len(candidates))
    worn = try_on(fitting, candidates, choice.looks, by=stylist, at=at + timedelta(minutes=46))
    conclude(fitting, worn, choice, salon=salon, by=stylist, owner=desk.staff["owner"], at=at + timedelta(minutes=70))
    over_at = at + timedelta(minutes=80)
    finish_visit(
        fitting=fitting,
        by=stylist,
        at=over_at,
        next_visit_on=None,
        why_chosen=choice.why,
        none_chosen_because=choice.none_because,
    )
    if choice.chosen is not None:
        fetched_after = stranger.draw.randint(5, 26)
        goes_on = partial(_go_on, stranger, desk, salon, story)
        paying = Paying(stranger.draw.choice((Payment.Method.CARD, Payment.Method.CASH)))
        buying = Buying(fetched_after_days=fetched_after, then=goes_on, paying=paying)
        story.then(over_at, buy, fitting, buying, desk, salon, story)


def _shown(stranger: Stranger, fitting: Fitting, salon: Salon, at: datetime) -> list[Candidate]:
    """Some of the pieces that lie at hand and fit, or fit with a change; chance decides which, as on a busy day."""
    assessment = fitting.assessment
    assert assessment is not None  # noqa: S101  # signed off just now
    on = localdate(at)
    names = list(Piece.objects.order_by("pk").values_list("name", flat=True))
    at_hand = stranger.draw.sample(names, LOOKED_AT)
    variants = Variant.objects.offered(on=on).filter(piece__name__in=at_hand)
    offered = proposals_for(ground_of(assessment, salon, at=at, on=on), with_all_that_is_read(variants))
    fit = [one for one in offered if one.verdict != Candidate.Verdict.NOT]
    shown = stranger.draw.sample(fit, min(stranger.shown, len(fit)))
    for one in shown:
        if not one.in_drawer and stranger.draw.random() < 0.3:
            note_asked_for(visit_reference=fitting.reference, variant=one.variant, by=fitting.stylist, at=at)
    return [
        choose_to_try(fitting=fitting, variant=one.variant, salon=salon, by=fitting.stylist, at=at, on=on)
        for one in shown
    ]


def _choice(stranger: Stranger, shown: int) -> Choice:
    looks = tuple(
        Look(WELL, stranger.draw.choice((WELL, NEARLY)), stranger.draw.choice((WELL, NEARLY, NOT)))
        for _ in range(shown)
    )
    if not shown or stranger.draw.random() > TAKES_ONE:
        return Choice(looks=looks, none_because="Would like to think about it at home.")
    return Choice(looks=looks, chosen=stranger.draw.randrange(shown), why="She liked it best of those she tried.")


def _examination(stranger: Stranger) -> Examination:
    return Examination(
        told=SOUND | {"story": stranger.story},
        tapes=stranger.tapes,
        painting=stranger.painting,
        seen={
            "own_hair_length_mm": stranger.own_hair_length_mm,
            "curl_pattern": stranger.curl,
            "thickness": "fine",
            "hair_condition": "natural",
            "grey_percent": stranger.grey_percent,
            "hair_behind_ears": "yes",
        },
        wished={
            "wants_heat": "no",
            "wants_colour": "no",
            "days_per_week": 5,
            "worn_to_bed": "no",
            "wished_length_mm": stranger.own_hair_length_mm,
        },
        by_instrument=stranger.hair,
    )


def _go_on(
    stranger: Stranger, desk: Desk, salon: Salon, story: Story, line: SaleLine, owned: OwnedPiece, at: datetime
) -> None:
    if comes_back(line.margin_mm, stranger.draw):
        story.then(at + timedelta(days=stranger.draw.randint(2, 40)), _bring_back, stranger, line, desk, salon)
    else:
        worn_out_at = at + timedelta(days=worn_out_after(owned.unit.variant.piece.fibre, stranger.draw))
        story.then(worn_out_at, _wear_out, owned, stranger, desk)
        if worn_out_at > desk.at:
            lately = max(at + timedelta(days=1), desk.at - timedelta(days=stranger.draw.randint(1, 24)))
            story.then(lately, _look_after, owned, stranger, desk)


def _look_after(owned: OwnedPiece, stranger: Stranger, desk: Desk, at: datetime) -> None:
    """What is still worn was looked at and washed not long ago."""
    by = desk.staff[stranger.stylist]
    check_condition(owned=owned, grades={"fibre": 0}, by=by, at=at)
    tell_wash(owned=owned, washed_on=localdate(at), deep_care=True, by=by, at=at)


def _wear_out(owned: OwnedPiece, stranger: Stranger, desk: Desk, at: datetime) -> None:
    by = desk.staff[stranger.stylist]
    end_piece(owned=owned, until=localdate(at), ended=OwnedPiece.Ended.WORN_OUT, by=by, at=at)


def _reason(stranger: Stranger, line: SaleLine) -> ReturnReason:
    """One of the salon's own; a piece that reaches too short a way is mostly said to show or to cover too little."""
    reasons = list(ReturnReason.objects.order_by("position"))
    short = line.margin_mm is not None and line.margin_mm < SHORT_MARGIN_MM
    weights = [8, 8] if short else [1, 1]
    return stranger.draw.choices(reasons, weights + [2] * (len(reasons) - 2))[0]


def _bring_back(stranger: Stranger, line: SaleLine, desk: Desk, salon: Salon, at: datetime) -> None:
    assert line.handed_over_at is not None  # noqa: S101  # she had it with her
    days = (localdate(at) - localdate(line.handed_over_at)).days
    worn = stranger.draw.random() < 0.3
    late = days > salon.return_days
    paid = paid_for(line.sale)
    take_back_hers(
        line=line,
        salon=salon,
        by=desk.staff["desk"],
        at=at,
        reason=_reason(stranger, line),
        fate=Return.Fate.CLEANING if worn else Return.Fate.DRAWER,
        refund_minor=paid // 2 if worn or late else paid,
        method=Payment.Method.CARD,
        worn=worn,
        owner=desk.staff["owner"] if worn or late else None,
        because="She had told us of it within the days; half is given back." if worn or late else "",
    )
    if worn:
        assert line.unit is not None  # noqa: S101  # it came back just now
        back_from_cleaning(unit=line.unit, by=desk.staff["stylist"], at=at + timedelta(hours=2))
