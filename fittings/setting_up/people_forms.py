"""Asks who is let in, in which role, by which password and for which kinds of visit."""

from __future__ import annotations

from typing import Any

from crispy_forms.layout import Layout, Row, Submit
from django import forms
from django.contrib.auth.models import Group
from django.core.exceptions import ValidationError
from django.urls import reverse

from fittings.furnishing import choose_what_she_does
from fittings.models import ServiceKind
from salon.common.refusing import RefusingForm, TickedRows
from salon.making_users import change_person, give_new_password, make_user
from salon.models import User

NEW_PASSWORD = forms.PasswordInput(attrs={"autocomplete": "new-password"})
ABOUT_ROLES = (
    "The front desk books and never sees what concerns health. A stylist examines and fits. An owner does all that and "
    "sets up the salon."
)
ABOUT_PASSWORDS = "Ten characters or more; three words that do not belong together are easy to keep."


class _Named(RefusingForm):
    first_name = forms.CharField(max_length=150, required=False, help_text="As others see her.")
    last_name = forms.CharField(max_length=150, required=False)
    role = forms.ChoiceField(help_text=ABOUT_ROLES)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        roles = Group.objects.order_by("name").values_list("name", flat=True)
        self.fields["role"].choices = [("", "Choose a role"), *((role, role) for role in roles)]  # type: ignore[attr-defined]  # a ChoiceField


class NewPersonForm(_Named):
    username = forms.CharField(
        label="Name she signs in with", max_length=150, widget=forms.TextInput(attrs={"autocomplete": "off"})
    )
    password = forms.CharField(
        label="Her first password", max_length=128, strip=False, widget=NEW_PASSWORD, help_text=ABOUT_PASSWORDS
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper.layout = Layout(
            Row("first_name", "last_name"), "role", Row("username", "password"), Submit("save", "Let her in")
        )

    def keep(self, *, by: User) -> User | None:
        """Let her in, or put the reason on the form and return None."""
        try:
            return make_user(by=by, **self.cleaned_data)
        except ValidationError as refusal:
            self.refuse(refusal)
            return None


class PersonForm(_Named):
    def __init__(self, *args: Any, person: User, **kwargs: Any) -> None:
        held = person.groups.order_by("name").first()
        super().__init__(
            *args,
            initial={
                "first_name": person.first_name,
                "last_name": person.last_name,
                "role": held.name if held else "",
            },
            **kwargs,
        )
        self.person = person
        self.helper.form_action = reverse("person", args=[person.pk])  # also where another form of her page was refused
        self.helper.layout = Layout(Row("first_name", "last_name"), "role", Submit("save", "Save"))

    def keep(self, *, by: User) -> User | None:
        try:
            return change_person(user=self.person, by=by, **self.cleaned_data)
        except ValidationError as refusal:
            self.refuse(refusal)
            return None


class HerKindsForm(RefusingForm):
    """The kinds that are offered, those she does ticked."""

    kinds = TickedRows[ServiceKind](label="What she does", queryset=ServiceKind.objects.offered())

    def __init__(self, *args: Any, person: User, **kwargs: Any) -> None:
        offered = ServiceKind.objects.offered().prefetch_related("done_by")
        named = {kind.pk: {user.pk for user in kind.done_by.all()} for kind in offered}
        hers = [pk for pk, people in named.items() if not people or person.pk in people]
        super().__init__(*args, initial={"kinds": hers}, **kwargs)
        self.person = person
        self.helper.form_tag = False
        self.helper.disable_csrf = True
        self.helper.layout = Layout("kinds", Submit("save", "Save"))

    def keep(self, *, by: User) -> list[ServiceKind] | None:
        """The kinds that changed, or None with the reason on the form."""
        try:
            return choose_what_she_does(stylist=self.person, kinds=self.cleaned_data["kinds"], by=by)
        except ValidationError as refusal:
            self.refuse(refusal)
            return None


class PasswordForm(RefusingForm):
    password = forms.CharField(
        label="New password", max_length=128, strip=False, widget=NEW_PASSWORD, help_text=ABOUT_PASSWORDS
    )

    def __init__(self, *args: Any, person: User, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.person = person
        self.helper.form_tag = False
        self.helper.disable_csrf = True
        self.helper.layout = Layout("password", Submit("save", "Give her this password"))

    def keep(self, *, by: User) -> User | None:
        try:
            return give_new_password(user=self.person, password=self.cleaned_data["password"], by=by)
        except ValidationError as refusal:
            self.refuse(refusal)
            return None
