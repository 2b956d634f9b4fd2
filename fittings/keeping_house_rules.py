"""Keeps the owner's own value of a house rule; the only writer of HouseRule."""

from __future__ import annotations

from collections.abc import Mapping

from django.db import transaction

from fittings.house_numbers import ALL_NUMBERS
from fittings.models import HouseRule


@transaction.atomic
def keep_house_rules(*, values: Mapping[str, float]) -> list[str]:
    """Store each value that differs from the one in force, all or none; returns the labels of those changed.

    Raises ValidationError when a value is outside its rule's bounds. Who and when is kept by the record's history.
    """
    kept = {rule.key: rule for rule in HouseRule.objects.select_for_update()}
    changed = []
    for info in ALL_NUMBERS.values():
        if info.key not in values:
            continue
        rule = kept.get(info.key) or HouseRule(key=info.key, value=info.start)
        if rule.value == values[info.key]:
            continue
        rule.value = values[info.key]
        rule.full_clean()
        rule.save()
        changed.append(info.label)
    return changed
