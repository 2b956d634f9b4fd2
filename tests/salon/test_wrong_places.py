"""Where a refused form is wrong: the list above it leads to what takes the focus."""

import pytest
from django import forms
from django.core.exceptions import ValidationError
from django.template import Context, Template

from salon.common.wrong_places import WrongPlace, wrong_places


class Asking(forms.Form):
    given_name = forms.CharField(label="Given name")
    way = forms.ChoiceField(label="Which way", choices=[("", "Not said"), ("left", "Left")], widget=forms.RadioSelect)
    said = forms.MultipleChoiceField(choices=[], widget=forms.CheckboxSelectMultiple)
    once = forms.UUIDField(widget=forms.HiddenInput, error_messages={"required": "Load the page again."})


def shown(form):
    template = Template('{% include "components/_what_is_wrong.html" %}')
    return template.render(Context({"form": form}))


def test_each_place_has_its_label_its_sentences_and_what_takes_the_focus_in_the_order_asked():
    assert [(place.label, place.anchor) for place in wrong_places(Asking({}))] == [
        ("Given name", "id_given_name"),
        ("Which way", "id_way_0"),  # the first choice: the group itself takes no focus
        ("Said", ""),
        ("Once", ""),
    ]
    assert wrong_places(Asking({}))[3] == WrongPlace("Once", ("Load the page again.",), "")


def test_a_form_that_was_not_sent_or_is_right_has_none():
    assert wrong_places(Asking()) == []
    assert shown(Asking()).strip() == shown(None).strip() == ""


def test_the_list_takes_the_focus_without_a_script_and_says_what_a_hidden_field_says():
    form = Asking({"given_name": "Ada"})
    form.add_error(None, ValidationError("She is here already."))
    page = shown(form)
    assert 'tabindex="-1" autofocus' in page
    for said in ("She is here already.", '<a href="#id_way_0">Which way</a>', "Load the page again."):
        assert said in page
    assert "id_given_name" not in page


@pytest.mark.parametrize("prefix", [None, "second"])
def test_two_forms_of_a_page_lead_each_to_its_own(prefix):
    expected = "id_second-given_name" if prefix else "id_given_name"
    assert wrong_places(Asking({}, prefix=prefix))[0].anchor == expected
