"""Asks for somebody's own choices and for what stands on the salon's papers."""

from __future__ import annotations

from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import HTML, Fieldset, Layout, Row, Submit
from django import forms
from django.contrib.auth.forms import AuthenticationForm, PasswordChangeForm, UsernameField
from phonenumbers import SUPPORTED_REGIONS

from salon.making_users import change_own_password
from salon.models import Salon, Units, User

ASK_AN_ADVISER = (
    "Rates of tax stand on the price list's own pages, and none is built in: ask an adviser what applies to you. What "
    "the law gives a customer comes before the salon's own terms."
)
WHAT_WAS_READ_STAYS = (
    "Both count for what is read from now on. What was read before stays as it is, and the shade ring says where a "
    "shade was read under another setting."
)


class SignInForm(AuthenticationForm):
    """Django's own, which tells its longest name to the browser alone: one sent without a browser is refused too."""

    username = UsernameField(max_length=150, widget=forms.TextInput(attrs={"autofocus": True}))


class MySettingsForm(forms.ModelForm[User]):
    class Meta:
        model = User
        fields = ["first_name", "last_name", "units"]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        units = self.fields["units"]
        units.choices = [("", "As the salon does"), *Units.choices]  # type: ignore[attr-defined]  # it has choices
        units.help_text = ""
        self.helper = FormHelper()
        self.helper.layout = Layout(Row("first_name", "last_name"), "units", Submit("save", "Save"))


class MyPasswordForm(PasswordChangeForm):
    """Django's own, which asks for the old one first and for the new one twice."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = FormHelper()
        self.helper.layout = Layout("old_password", "new_password1", "new_password2", Submit("save", "Change it"))

    def keep(self) -> User | None:
        """Change it, or put the reason on the form and return None."""
        try:
            return change_own_password(user=self.user, password=self.cleaned_data["new_password1"])
        except forms.ValidationError as refusal:
            self.add_error("new_password1", refusal.messages)
            return None


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
            "country",
            "units",
            "age_of_consent",
            "prices_include_tax",
            "tax_number",
            "return_days",
            "dead_stock_days",
            "card_reflectance_percent",
            "chart_edition",
        ]
        widgets = {"address": forms.Textarea(attrs={"rows": 3})}
        help_texts = {
            "card_reflectance_percent": "Printed on the card or in its papers; the usual one reflects 18. A colour "
            "read by the card is only as right as this figure.",
            "chart_edition": "The date stands on its back. The patches were changed a little in November 2014, and a "
            "colour read by the chart is held against the ones chosen here.",
        }
        error_messages = {
            "card_reflectance_percent": dict.fromkeys(
                ("required", "invalid", "min_value", "max_value"),
                "Write what the grey card reflects, a number from 5 to 95 such as 18 or 17.5.",
            )
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = FormHelper()
        self.helper.layout = Layout(
            "name",
            "address",
            Row("phone", "email"),
            "after_hours_advice",
            Row("time_zone", "currency", "country"),
            Row("units", "age_of_consent"),
            Fieldset(
                "Selling and taking back",
                HTML(f'<p class="small">{ASK_AN_ADVISER}</p>'),
                "prices_include_tax",
                "tax_number",
                Row("return_days", "dead_stock_days"),
            ),
            Fieldset(
                "Colours read from photos",
                HTML(f'<p class="small">{WHAT_WAS_READ_STAYS}</p>'),
                Row("card_reflectance_percent", "chart_edition"),
            ),
            Submit("save", "Save"),
        )

    def clean_currency(self) -> str:
        return str(self.cleaned_data["currency"]).upper()

    def clean_country(self) -> str:
        """One whose numbers can be checked; a code that nobody dials would take every number for a wrong one."""
        country = str(self.cleaned_data["country"]).upper()
        if country not in SUPPORTED_REGIONS:
            raise forms.ValidationError(
                f"“{country}” is no country whose telephone numbers are known; write two letters such as GB or IE."
            )
        return country
