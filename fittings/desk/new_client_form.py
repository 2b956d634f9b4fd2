"""Asks for a new client in one short form, while she waits on the telephone; the rest is asked when she comes."""

from __future__ import annotations

from typing import Any

from crispy_forms.layout import Layout, Row

from clients.forms import ClientForm
from clients.models.search import PHONE_TAIL, digits_backwards


class NewClientForm(ClientForm):
    class Meta(ClientForm.Meta):
        fields = ["given_name", "family_name", "phone", "email"]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper.layout = Layout(Row("given_name", "family_name"), Row("phone", "email"))


def names_typed(typed: str) -> dict[str, str]:
    """What was looked for in vain, put where it belongs: a number is her phone, words are her names."""
    typed = " ".join(typed.split())
    if len(digits_backwards(typed)) >= PHONE_TAIL:
        return {"phone": typed}
    given, _, family = typed.partition(" ")
    return {"given_name": given, "family_name": family}
