"""What a form says of an empty field that can't stay empty: the field's own words, or a sentence of its own."""

import pytest
from django import forms

from salon.common.form_fields import say_what_is_wanted
from salon.common.refusing import RefusingForm


@pytest.mark.parametrize(
    ("field", "sentence"),
    [
        (forms.CharField(label="Length of its hair"), "Write the length of its hair."),
        (forms.CharField(label="What it shows"), "Write what it shows."),
        (forms.CharField(label="The maker's name for it"), "Write the maker's name for it."),
        (forms.CharField(label="Her first password"), "Write her first password."),
        (forms.CharField(), "Write the asked for."),
        (forms.ChoiceField(label="Fibre"), "Choose the fibre."),
        (forms.FileField(label="Picture"), "Choose the picture."),
        (forms.CharField(label="Name", error_messages={"required": "Sign it."}), "Sign it."),
    ],
)
def test_an_empty_field_says_what_is_wanted_in_its_own_words(field, sentence):
    say_what_is_wanted({"asked_for": field})
    assert field.error_messages["required"] == sentence


def test_a_form_over_the_deeds_says_so_beside_the_field_and_another_form_of_its_kind_does_too():
    class Asking(RefusingForm):
        code = forms.CharField(label="Code")

        def __init__(self, *args):
            super().__init__(*args)
            self.fields["shade"] = forms.CharField()  # those added later are named as well

    for form in (Asking({}), Asking({"code": "  "})):
        assert form.errors == {"code": ["Write the code."], "shade": ["Write the shade."]}
