"""Who looked at whose health record, and when."""

from django.db import models

from clients.models.client import Client
from salon.models import User


class AccessEntry(models.Model):
    """One look at one client's health facts; only ever added."""

    client = models.ForeignKey(Client, models.PROTECT, related_name="access_entries")
    user = models.ForeignKey(User, models.PROTECT, related_name="+")
    page = models.CharField(max_length=80)
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["-at", "-pk"]
        verbose_name = "look at her record"
        verbose_name_plural = "looks at her record"

    def __str__(self) -> str:
        return f"{self.user} looked at {self.page}"
