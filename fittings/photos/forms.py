"""Asks for what is on her head, for one photo, for another angle, and for the reason of a removal."""

from __future__ import annotations

from django import forms

from clients.models import Photo
from clients.models.photo import MOST_FRAMES, Angle, Moment


class MomentForm(forms.Form):
    moment = forms.ChoiceField(
        choices=Moment.choices,
        error_messages=dict.fromkeys(
            ("required", "invalid_choice"),
            "Choose what is seen: her own hair, the piece on or off her head, a strand.",
        ),
    )


class AngleForm(forms.Form):
    angle = forms.ChoiceField(
        label="Seen from",
        choices=Angle.choices,
        error_messages=dict.fromkeys(("required", "invalid_choice"), "Choose from where the photo looks at her head."),
    )


class TakeForm(AngleForm):
    """One photo; whether it may be kept is `clients.photos`' to say.

    A page that sends by itself makes the `upload_key`; a form without JavaScript has none, as the browser's way back
    would send another file under the same one.
    """

    photo = forms.FileField(
        error_messages={
            "required": "Choose a photo first.",
            "invalid": "Choose a photo first.",
            "missing": "Choose a photo first.",
            "empty": "This file is empty. Take the photo again.",
        }
    )
    upload_key = forms.UUIDField(
        required=False, error_messages={"invalid": "The page sent this photo wrongly. Load it again, then try again."}
    )
    frame = forms.IntegerField(
        required=False,
        min_value=1,
        max_value=MOST_FRAMES,
        error_messages=dict.fromkeys(
            ("invalid", "min_value", "max_value"), f"A turn has places 1 to {MOST_FRAMES}; load the page again."
        ),
    )


class RemoveForm(forms.Form):
    because = forms.CharField(
        label="Because",
        max_length=Photo._meta.get_field("removed_because").max_length,
        error_messages={"required": "Write why the photo is removed."},
    )


def first_refusal(form: forms.Form) -> str:
    """What is wrong with a form that has no page of its own to say it on."""
    return str(next(iter(form.errors.values()))[0])
