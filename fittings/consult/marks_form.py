"""Reads the marks of one photo, and keeps what they read as colours of her own hair.

Nothing is kept that was not seen: the page sends back the fingerprint of the reading it showed (`seen`) and that of her
stored readings it would replace (`base`). An instrument's reading is replaced only where she says so.
"""

from __future__ import annotations

import hashlib
import json
from functools import cached_property
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from clients.assessing import ReadingTaken, StaleRevision, save_own_hair
from clients.models import Assessment, ColourReading, Photo
from fittings.consult.photo_reading import REGIONS, HairRead, marks_kept, read_hair
from salon.colour.marks import LONGEST_TEXT, MarksError, marks_from_json
from salon.colour.reading import ReadingRefused
from salon.models import Salon, User

UNMARKED = '{"reference": null, "spots": {}}'
MOVED_SINCE = "The marks were moved after this reading was shown. This is what they read now; look at it, then keep it."
SAVED_MEANWHILE = (
    "Her colours were saved meanwhile, in another tab or on another device. What is stored now stands below; look "
    "again, then keep this reading."
)


class MarksForm(forms.Form):
    """The marks, read as they are cleaned; `read` is what they gave, `refused` why they gave nothing."""

    marks = forms.CharField(required=False, max_length=LONGEST_TEXT, widget=forms.HiddenInput)
    seen = forms.CharField(required=False, max_length=16, widget=forms.HiddenInput)
    base = forms.CharField(required=False, max_length=16, widget=forms.HiddenInput)
    over_instrument = forms.BooleanField(label="Replace what the instrument read", required=False)

    def __init__(self, data: Any = None, *, assessment: Assessment, photo: Photo, salon: Salon) -> None:
        self.assessment, self.photo, self.salon = assessment, photo, salon
        self.read: HairRead | None = None
        self.refused: ReadingRefused | None = None
        self.look_again = ""
        self.left: list[str] = []  # zones that stay as an instrument read them
        kept = marks_kept(self.stored.values(), photo)
        # opened again, a photo shows at once what its marks read
        super().__init__({"marks": kept} if data is None and kept else data)

    def clean(self) -> dict[str, Any]:
        if self.errors:
            return self.cleaned_data
        try:
            marks = marks_from_json(self.cleaned_data["marks"] or UNMARKED, regions=REGIONS)
            self.read = read_hair(self.photo, marks, self.salon)
        except MarksError as error:
            self.add_error(None, str(error))
        except ReadingRefused as refusal:
            self.refused = refusal
        except FileNotFoundError:
            self.add_error(None, "The file of this photo is missing. Take the photo again.")
        return self.cleaned_data

    @cached_property
    def stored(self) -> dict[str, ColourReading]:
        """Her stored readings by zone."""
        return {reading.zone: reading for reading in self.assessment.readings.all()}

    @property
    def fingerprint(self) -> str:
        """Of her stored readings, whoever wrote them."""
        stored = [
            [zone, one.method, *one.lab, one.doubt, one.scale, one.photo_id]
            for zone, one in sorted(self.stored.items())
        ]
        return hashlib.sha256(json.dumps(stored).encode()).hexdigest()[:16]

    @property
    def replaced(self) -> list[ColourReading]:
        """What is stored where this photo was read now, and is another reading; from the roots on."""
        read = self.read.taken if self.read else {}
        both = [zone for zone in REGIONS if zone in self.stored and zone in read]
        return [self.stored[zone] for zone in both if _is_another(self.stored[zone], read[zone])]

    @property
    def is_kept(self) -> bool:
        """Whether all that was read now is what is stored."""
        return self.read is not None and self.read.taken.keys() <= self.stored.keys() and not self.replaced

    @property
    def by_instrument(self) -> list[ColourReading]:
        """Those of them that a photo never beats."""
        return [one for one in self.replaced if one.method == ColourReading.Method.INSTRUMENT]

    def keep(self, *, by: User) -> list[str] | None:
        """Store what was read and say which zones; or put the reason on the form and return None."""
        if self.read is None:
            return None
        if self.cleaned_data["seen"] != self.read.fingerprint:
            self.look_again = MOVED_SINCE
        elif self.cleaned_data["base"] != self.fingerprint:
            self.look_again = SAVED_MEANWHILE
        else:
            return self._store(by)
        return None

    def _store(self, by: User) -> list[str] | None:
        assert self.read is not None  # noqa: S101  # asked by `keep`
        left = [] if self.cleaned_data["over_instrument"] else [one.zone for one in self.by_instrument]
        kept = {zone: taken for zone, taken in self.read.taken.items() if zone not in left}
        if not kept:
            self.add_error(
                None,
                "Nothing would be kept: everything read here was read by an instrument too, and a photo never beats "
                "that. Tick below to replace it all the same.",
            )
            return None
        try:
            save_own_hair(assessment=self.assessment, revision=self.assessment.revision, by=by, readings=kept)
        except StaleRevision:
            self.look_again = SAVED_MEANWHILE
            return None
        except ValidationError as refusal:
            self.add_error(None, refusal.messages)
            return None
        self.left = [REGIONS[zone] for zone in left]
        return [name for zone, name in REGIONS.items() if zone in kept]


def _is_another(stored: ColourReading, read: ReadingTaken) -> bool:
    photo = read.photo.pk if read.photo else None
    kept = (stored.method, stored.lab, stored.doubt, stored.scale, stored.photo_id)
    return kept != (read.method, read.lab, read.doubt, read.scale, photo)
