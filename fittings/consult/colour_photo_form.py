"""Asks for one photo of her hair with the card or the chart in it, and takes it into her visit's photos of own hair."""

from __future__ import annotations

import uuid
from datetime import datetime

from django import forms
from django.core.exceptions import ValidationError

from clients.models import Client, Photo
from clients.models.photo import Angle, Moment
from clients.photos import take_photo
from fittings.photos.filing import begin_photo_set
from salon.models import User


class ColourPhotoForm(forms.Form):
    """One picture; whether it can be taken in is `clients.photos`' to say."""

    file = forms.FileField(
        label="Photo with the card or the chart in it",
        error_messages={"required": "Take or choose a photo first.", "empty": "This file is empty. Choose another."},
        widget=forms.FileInput(attrs={"accept": "image/*,.heic,.heif", "class": "form-control"}),
    )

    def take(self, client: Client, *, by: User, at: datetime) -> Photo | None:
        """Take it in, or put the reason on the form and return None."""
        file = self.cleaned_data["file"]
        try:
            return take_photo(
                photo_set=begin_photo_set(client=client, moment=Moment.OWN_HAIR, by=by, at=at),
                angle=Angle.COLOUR,
                file=file.file,
                size=file.size,
                upload_key=uuid.uuid4(),  # of this sending: on the page, the way back would send another file under it
                by=by,
                at=at,
            )
        except ValidationError as refusal:
            self.add_error("file", refusal.messages)
            return None
