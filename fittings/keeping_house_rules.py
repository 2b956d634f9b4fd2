"""Keeps the owner's own value of a house rule; the only writer of HouseRule.

Whoever changes a number says which value she was shown. One that somebody else changed meanwhile is not changed again
unseen: it is refused with both values. Each change is kept by the record's history, a way back as a change of its own.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from itertools import pairwise

from django.core.exceptions import ValidationError
from django.db import transaction

from fittings.house_numbers import ALL_NUMBERS
from fittings.models import HouseRule
from fittings.placement.house_rules import HouseRuleInfo
from salon.models import User

# numbers that only make sense in this order; where the second of a pair must be the greater, not merely no smaller, the
# word is "above"
IN_ORDER = (
    ("above", ("band_disappears", "band_close", "band_shows")),
    ("at least", ("clips_medium", "clips_medium_most")),
    ("at least", ("curly_crown_hair_low_mm", "curly_crown_hair_high_mm")),
    ("at least", ("coloured_hair_warm_c", "hair_warm_c")),
)
ABOVE_NOTHING = ("band_disappears",)  # a band up to nothing would hold no colour


@dataclass(frozen=True, slots=True)
class Change:
    """One number as it was and as it is now."""

    info: HouseRuleInfo
    was: float
    now: float

    def __str__(self) -> str:
        return f"{self.info.label}: {self.was:g} → {self.now:g} {self.info.unit}".rstrip()


@transaction.atomic
def keep_house_rules(*, values: Mapping[str, float], shown: Mapping[str, float], by: User) -> list[Change]:
    """Store each value that differs from the one `shown`, all or none; returns what changed.

    Raises ValidationError with a sentence under each number's key: outside its bounds, out of order with its
    neighbours, or changed by somebody else since it was shown. A number that is the same as shown is left as it is now.
    """
    wanted = {key: value for key, value in values.items() if value != shown[key]}
    if not wanted:
        return []
    rules = _held(wanted)
    refused = {
        key: f"Meanwhile this was changed from {shown[key]:g} to {rules[key].value:g}; you wrote {value:g}. "
        "Save again to keep yours."
        for key, value in wanted.items()
        if rules[key].value not in (shown[key], value)
    } or _not_possible(wanted, {key: rule.value for key, rule in rules.items()} | wanted)
    if refused:
        raise ValidationError({key: [sentence] for key, sentence in refused.items()})
    changes = []
    for key, value in wanted.items():
        rule = rules[key]
        if rule.value != value:
            changes.append(Change(ALL_NUMBERS[key], rule.value, value))
            rule.value = value
            rule._history_user = by  # type: ignore[attr-defined]  # the history library reads it
            rule.full_clean()
            rule.save()
    return changes


def put_back(*, key: str, to: int | None, shown: float, by: User) -> list[Change]:
    """Give a number its start value, or with `to` the value of that entry of its own history.

    Raises ValidationError when there is no such entry, or when the number was changed since it was shown.
    """
    value = ALL_NUMBERS[key].start
    if to is not None:
        earlier = HouseRule.history.filter(key=key, history_id=to).first()
        if earlier is None:
            raise ValidationError({key: ["There is no such entry in the history of this number."]})
        value = earlier.value
    return keep_house_rules(values={key: value}, shown={key: shown}, by=by)


def _held(keys: Collection[str]) -> dict[str, HouseRule]:
    """The rows of these numbers and of those they must be in order with, made where there were none, and locked."""
    needed = sorted({*keys, *(one for _, chain in IN_ORDER if set(chain) & set(keys) for one in chain)})
    starts = [HouseRule(key=key, value=ALL_NUMBERS[key].start) for key in needed]
    HouseRule.objects.bulk_create(starts, ignore_conflicts=True)  # without history: nobody changed anything yet
    locked = HouseRule.objects.select_for_update().filter(key__in=needed).order_by("key")
    return {rule.key: rule for rule in locked}


def _not_possible(wanted: Mapping[str, float], then: Mapping[str, float]) -> dict[str, str]:
    """What can't be, by number: bounds first, then order."""
    refused = {}
    for key, value in wanted.items():
        info = ALL_NUMBERS[key]
        if not info.low <= value <= info.high or (key in ABOVE_NOTHING and value <= 0):
            least = "above 0" if key in ABOVE_NOTHING else f"{info.low:g}"
            refused[key] = f"Give {least} to {info.high:g} {info.unit}".rstrip() + f", not {value:g}."
    if refused:
        return refused
    for word, chain in IN_ORDER:
        for low, high in pairwise(chain):
            if not ({low, high} & set(wanted)):
                continue
            if then[low] > then[high] or (word == "above" and then[low] == then[high]):
                at_fault = high if high in wanted else low
                refused[at_fault] = (
                    f"“{ALL_NUMBERS[high].label}” ({then[high]:g}) must be {word} "
                    f"“{ALL_NUMBERS[low].label}” ({then[low]:g})."
                )
    return refused
