"""Where does a visit stand: the steps from the story to the summary, which are done and which comes next.

Examining may be done in any order until it is signed off; what is computed from it waits for that.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, TypedDict

from django.db.models import Exists, OuterRef
from django.urls import reverse

from clients.assessing import OWN_HAIR, STORY, TAPES, WISHES
from clients.models import Assessment, ColourReading
from fittings.models import Candidate, Fitting, TryOn
from fittings.models.kinds_and_places import Purpose
from fittings.visiting import was_for_care

State = Literal["done", "current", "open", "waiting"]


@dataclass(frozen=True)
class Step:
    """One step of a visit. `url` is empty while it waits for an earlier one."""

    key: str
    label: str
    url: str
    state: State


class Found(TypedDict):
    """Whether other tables hold a colour reading, a candidate of this assessment, a try-on, a choice."""

    read: bool
    proposed: bool
    tried: bool
    chosen: bool


# key, label, address of the step in the visit
_EXAMINING = (
    ("story", "Story", "consult-story"),
    ("tapes", "Tapes", "consult-tapes"),
    ("map", "Map", "consult-map"),
    ("own-hair", "Own hair", "consult-own-hair"),
    ("wishes", "Wishes", "consult-wishes"),
    ("sign-off", "Sign off", "consult-sign-off"),
)
_HANDS_ON = frozenset({Purpose.CUT_IN, Purpose.COLOUR, Purpose.WASH, Purpose.CHECK_UP, Purpose.REPAIR})
_CHOOSING = (
    ("candidates", "Candidates", "candidates"),
    ("try-ons", "Try-ons", "try-ons"),
    ("decision", "Decision", "decision"),
    ("summary", "Summary", "consult-summary"),
)


def steps_of(fitting: Fitting) -> tuple[Step, ...]:
    """Every step of the visit in order, in one query; the first that is open and not done is the current one."""
    assessment = fitting.assessment
    signed = assessment is not None and not assessment.is_draft
    found = _found(fitting)
    examined = _examined(assessment, found["read"])
    if signed:
        examined = dict.fromkeys(examined, True)  # closed, also where nothing was asked
    done = examined | {
        "sign-off": signed,
        "candidates": found["proposed"],
        "try-ons": found["tried"],
        "decision": found["chosen"] or bool(fitting.none_chosen_because),
        "summary": fitting.is_finished,
    }
    reachable = {
        "candidates": signed,
        "try-ons": signed and found["proposed"],
        "decision": signed,
        "summary": signed and done["decision"],
    }
    steps: list[Step] = []
    for key, label, name in (*_EXAMINING, *_CHOOSING):
        if not reachable.get(key, True):
            steps.append(Step(key, label, "", "waiting"))
            continue
        is_current = not done[key] and not fitting.is_finished and not any(step.state == "current" for step in steps)
        state: State = "done" if done[key] else "current" if is_current else "open"
        steps.append(Step(key, label, _address(fitting, key, name, signed=signed), state))
    return tuple(steps)


def where_it_stands(fitting: Fitting) -> str:
    """The address of the step that comes next; of the last one when nothing is left to do.

    Where something is done to her pieces, and none is chosen, that is the page of services.
    """
    if _is_about_services(fitting):
        return reverse("services", args=[fitting.reference])
    steps = [step for step in steps_of(fitting) if step.url]
    return next((step.url for step in steps if step.state == "current"), steps[-1].url)


def step_after(steps: tuple[Step, ...], key: str) -> Step:
    """The examining step that follows."""
    keys = [step.key for step in steps]
    return steps[keys.index(key) + 1]


def _is_about_services(fitting: Fitting) -> bool:
    """She came to have something done, or had something done, and nothing was proposed to her."""
    if fitting.none_chosen_because or fitting.candidates.exists():
        return False
    if fitting.is_finished or fitting.assessment is None or fitting.assessment.is_draft:
        return fitting.is_finished
    if was_for_care(fitting):
        return True
    if fitting.appointment is not None:
        return fitting.appointment.kind.purpose in _HANDS_ON
    signed_at = fitting.assessment.signed_at
    return signed_at is not None and signed_at < fitting.began_at  # begun on a piece's page, with nothing examined


def _address(fitting: Fitting, key: str, name: str, *, signed: bool) -> str:
    if signed and any(key == examining for examining, _, _ in _EXAMINING) and fitting.assessment is not None:
        return f"{reverse('assessment', args=[fitting.assessment.reference])}#{key}"
    return reverse(name, args=[fitting.reference])


def _found(fitting: Fitting) -> Found:
    """What has been written down in other tables so far."""
    proposed = Candidate.objects.filter(fitting=OuterRef("pk"), assessment=OuterRef("assessment"))
    tried = TryOn.objects.filter(fitting=OuterRef("pk"))
    return (
        Fitting.objects.filter(pk=fitting.pk)
        .values(
            read=Exists(ColourReading.objects.filter(assessment=OuterRef("assessment"))),
            proposed=Exists(proposed),
            tried=Exists(tried),
            chosen=Exists(tried.filter(outcome=TryOn.Outcome.CHOSEN)),
        )
        .get()
    )


def _examined(assessment: Assessment | None, is_read: bool) -> dict[str, bool]:
    """Which examining steps hold anything; half filled counts, for empty means not asked."""
    if assessment is None:
        return dict.fromkeys(("story", "tapes", "map", "own-hair", "wishes"), False)
    return {
        "story": _holds(assessment, STORY),
        "tapes": _holds(assessment, TAPES),
        "map": assessment.map_painted,
        "own-hair": _holds(assessment, OWN_HAIR) or is_read,
        "wishes": _holds(assessment, WISHES),
    }


def _holds(assessment: Assessment, fields: tuple[str, ...]) -> bool:
    values = [getattr(assessment, field) for field in fields]
    return any(value is not None and value is not False and value not in ("", []) for value in values)
