"""Lets an owner pass a stop on somebody else's screen: her name, her password and a written reason for each stop.

The password is checked like a sign-in, attempts are counted like sign-ins, and nothing of it is kept.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django import forms
from django.contrib.auth import authenticate
from django.core.exceptions import PermissionDenied, ValidationError

from salon.models import User


class OwnerBeside(forms.Form):
    """Adds, for each stop it is told of, a reason, and once the owner's name and password unless she is signed in."""

    def __init__(self, *args: Any, request: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.request = request
        self.stops: list[dict[str, Any]] = []

    def ask_owner_about(self, findings: Iterable[dict[str, Any]]) -> None:
        """Put the fields on the form; a stop that only asks for a fact can't be let pass and gets none."""
        self.stops = [one for one in {one["rule_id"]: one for one in findings}.values() if not one["asks"]]
        for stop in self.stops:
            self.fields[f"reason_{stop['rule_id']}"] = forms.CharField(
                label=f"Why it may pass: {stop['says']}", required=False, max_length=1000
            )
        if self.stops and not self.request.user.has_perm("fittings.pass_stop"):
            self.fields["owner_name"] = forms.CharField(label="Owner's sign-in name", required=False, max_length=150)
            self.fields["owner_password"] = forms.CharField(
                label="Owner's password",
                required=False,
                max_length=200,
                strip=False,
                widget=forms.PasswordInput(attrs={"autocomplete": "off"}),
            )

    @property
    def owner_fields(self) -> list[forms.BoundField]:
        """What is asked because of stops, for the template to set apart."""
        names = [f"reason_{stop['rule_id']}" for stop in self.stops] + ["owner_name", "owner_password"]
        return [self[name] for name in names if name in self.fields]

    def owner_and_reasons(self) -> tuple[User | None, dict[str, str]]:
        """Who lets it pass and why; nobody when no owner has signed. ValidationError for a wrong name or password."""
        reasons = {stop["rule_id"]: self.cleaned_data.get(f"reason_{stop['rule_id']}", "") for stop in self.stops}
        if not self.stops:
            return None, {}
        if self.request.user.has_perm("fittings.pass_stop"):
            return self.request.user, reasons
        name, password = self.cleaned_data.get("owner_name"), self.cleaned_data.get("owner_password")
        if not name and not password:
            return None, reasons
        try:
            owner = authenticate(self.request, username=name, password=password)
        except PermissionDenied:
            owner = None
        if not isinstance(owner, User) or not owner.has_perm("fittings.pass_stop"):
            raise ValidationError({"owner_password": "That is not the name and password of an owner."})
        return owner, reasons
