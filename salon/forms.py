"""Asks for somebody's own choices and for what stands on the salon's papers."""

from __future__ import annotations

from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Layout, Row, Submit
from django import forms
from django.contrib.auth.forms import AuthenticationForm, UsernameField

from salon.models import Salon, User


class SignInForm(AuthenticationForm):
    """Django's own, which tells its longest name to the browser alone: one sent without a browser is refused too."""

    username = UsernameField(max_length=150, widget=forms.TextInput(attrs={"autofocus": True}))


class MySettingsForm(forms.ModelForm[User]):
    class Meta:
        model = User
        fields = ["first_name", "last_name", "units"]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = FormHelper()
        self.helper.layout = Layout(Row("first_name", "last_name"), "units", Submit("save", "Save"))


class SalonForm(forms.ModelForm[Salon]):
    class Meta:
        model = Salon
        fields = [
            "name",
            "address",
            "phone",
            "email",
            "after_hours_advice",
            "time_zone",
            "currency",
            "units",
            "age_of_consent",
            "card_reflectance_percent",
            "chart_edition",
        ]
        widgets = {"address": forms.Textarea(attrs={"rows": 3})}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = FormHelper()
        self.helper.layout = Layout(
            "name",
            "address",
            Row("phone", "email"),
            "after_hours_advice",
            Row("time_zone", "currency"),
            Row("units", "age_of_consent"),
            Row("card_reflectance_percent", "chart_edition"),
            Submit("save", "Save"),
        )

    def clean_currency(self) -> str:
        return str(self.cleaned_data["currency"]).upper()
