"""The owner's own values of the house rules; where none is kept, the start value holds."""

from __future__ import annotations

from typing import ClassVar

from django.core.exceptions import ValidationError
from django.db import models
from simple_history.models import HistoricalRecords

from fittings.house_numbers import ALL_NUMBERS, start_numbers


class HouseRuleQuerySet(models.QuerySet["HouseRule"]):
    def current(self) -> dict[str, float]:
        """Every house rule at its value now, in one query."""
        return start_numbers() | dict(self.values_list("key", "value"))


class HouseRule(models.Model):
    """One number the trade holds by habit, changed by the owner."""

    key = models.CharField(max_length=60, unique=True)
    value = models.FloatField()

    history = HistoricalRecords()
    objects: ClassVar[HouseRuleQuerySet] = HouseRuleQuerySet.as_manager()  # type: ignore[assignment]  # as_manager's own type hides our methods

    class Meta:
        ordering = ["key"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(
                    *(
                        models.Q(key=rule.key, value__gte=rule.low, value__lte=rule.high)
                        for rule in ALL_NUMBERS.values()
                    ),
                    _connector=models.Q.OR,
                ),
                name="house_rule_within_its_bounds",
                violation_error_message="This value is outside the bounds of its rule, or the rule is not known.",
            )
        ]

    def __str__(self) -> str:
        return self.key

    def clean(self) -> None:
        rule = ALL_NUMBERS.get(self.key)
        if rule is None:
            raise ValidationError({"key": f"There is no house rule “{self.key}”."})
        if not rule.low <= self.value <= rule.high:
            raise ValidationError({"value": f"“{rule.label}” lies between {rule.low:g} and {rule.high:g} {rule.unit}."})
