"""What is planned to be done to a piece or to the client's own hair, and who let it pass a stop."""

from __future__ import annotations

from django.db import models
from django.db.models import Q

from fittings.models.fitting import Candidate, Fitting
from salon.models import User


class Service(models.Model):
    """One thing planned in a visit. Its kind-specific facts carry the names the rules know."""

    class Kind(models.TextChoices):
        CUT_IN = "cut-in", "Cut-in"
        HEAT = "heat", "Heat styling"
        STEAM = "steam", "Steam"
        COLOUR = "colour", "Colour"
        FIXING = "fixing", "Fixing to the head"
        WASH = "wash", "Wash and care"

    fitting = models.ForeignKey(Fitting, models.PROTECT, related_name="services")
    candidate = models.ForeignKey(Candidate, models.PROTECT, related_name="services", null=True, blank=True)
    kind = models.CharField(max_length=8, choices=Kind.choices)
    facts = models.JSONField(default=dict, blank=True)
    note = models.CharField(max_length=240, blank=True)
    price_minor = models.PositiveIntegerField("price", default=0)
    findings = models.JSONField(default=list, blank=True, help_text="What the rules said when it was planned.")
    planned_by = models.ForeignKey(User, models.PROTECT, related_name="+")
    planned_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} in {self.fitting}"


class Override(models.Model):
    """An owner let a plan pass a stop, and wrote why; kept and printed."""

    fitting = models.ForeignKey(Fitting, models.PROTECT, related_name="overrides")
    service = models.ForeignKey(Service, models.PROTECT, related_name="overrides", null=True, blank=True)
    candidate = models.ForeignKey(Candidate, models.PROTECT, related_name="overrides", null=True, blank=True)
    rule_id = models.CharField(max_length=60)
    finding = models.TextField()
    reason = models.TextField()
    owner = models.ForeignKey(User, models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["pk"]
        permissions = [("pass_stop", "May go past a stop with a written reason")]
        constraints = [
            models.CheckConstraint(
                condition=Q(reason__regex=r"\S"),
                name="override_has_a_reason",
                violation_error_message="Going past a stop needs a written reason.",
            )
        ]

    def __str__(self) -> str:
        return f"{self.rule_id} in {self.fitting}"
